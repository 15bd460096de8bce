"""Every test of the store runs on both databases."""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from account_visits import SetClock
from desk_homes import KINDS, TESTS, DeskHomes, running_server, server_programs

from saltriage.desk.desk import Desk
from saltriage.desk.opening import open_desk
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.web.settings import DeskSettings, Settings
from web_server import running

sys.path += [str(TESTS / each) for each in ("learning", "workshop")]
ENOUGH = 100_000_000  # bytes; all desks of a run in files take a third of it


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return load_knowledge()


@pytest.fixture(scope="session")
def home_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where desks in files lie: in memory, if there is room.

    Each change of a desk waits for the disk, and the tests need not; a killed process leaves the same there.
    """
    memory = Path("/dev/shm")
    if os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > ENOUGH:
        with tempfile.TemporaryDirectory(prefix="desks-", dir=memory) as name:
            yield Path(name)
    else:
        yield tmp_path_factory.mktemp("desks")


@pytest.fixture(scope="session")
def homes(home_folder: Path) -> Iterator[DeskHomes]:
    """Desks in files and, where there is a PostgreSQL, on it. Continuous integration must have one."""
    programs = server_programs()
    if programs is None:
        assert not os.environ.get("CI"), "no PostgreSQL: apt-get install postgresql"
        yield DeskHomes(home_folder, None)
        return
    with running_server(programs) as server:
        yield DeskHomes(home_folder, server)


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest, homes: DeskHomes) -> str:
    """Each database in turn."""
    if request.param == "postgresql" and homes.server is None:
        pytest.skip("no PostgreSQL here: apt-get install postgresql")
    return str(request.param)


@pytest.fixture
def address(kind: str, homes: DeskHomes) -> str:
    """Where a desk without calls lies."""
    return homes.fresh(kind)


@pytest.fixture
def desk(address: str) -> Desk:
    return open_desk(address)


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def client(address: str, knowledge: Knowledge) -> Iterator[httpx.Client]:
    """A client of a server that keeps its calls in the desk of the test."""
    settings = Settings(desk=DeskSettings(address, "kim"))
    with running(knowledge, settings) as base, httpx.Client(base_url=base, timeout=60, trust_env=False) as made:
        yield made
