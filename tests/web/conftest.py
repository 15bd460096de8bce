"""A running server and a browser for the tests of pages and API."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import httpx
import pytest

from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.web.settings import Settings
from web_server import running

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page

ROOT = Path(__file__).parents[2]
# No sandbox: tests run as root in containers. The rest keeps the browser off the network.
ARGUMENTS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update",
)  # fmt: skip


def chromium() -> str:
    """The browser: SALTRIAGE_BROWSER, Debian's chromium, or ''."""
    named = os.environ.get("SALTRIAGE_BROWSER", "")
    return named or shutil.which("chromium") or ""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Without a browser its tests are left out, which the summary says; where CI is set they stay in, and fail.

    A browser beside other work on a small machine now and then takes longer than any wait: a test of it may fail once.
    """
    left = [item for item in items if "browser_page" in getattr(item, "fixturenames", ())]
    if chromium() or os.environ.get("CI"):
        for item in left:
            item.add_marker(pytest.mark.flaky(reruns=1))
        return
    items[:] = [item for item in items if item not in left]
    config.hook.pytest_deselected(items=left)


def pytest_terminal_summary(terminalreporter: Any) -> None:
    if not chromium() and not os.environ.get("CI"):
        terminalreporter.write_line(
            "NOT RUN: the browser tests in tests/web. Install Debian's chromium, or name one in SALTRIAGE_BROWSER."
        )


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@pytest.fixture(scope="session")
def address(knowledge: Knowledge) -> Iterator[str]:
    with running(knowledge, Settings()) as base:
        yield base


@pytest.fixture
def client(address: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=address, timeout=60, trust_env=False) as made:
        yield made


@pytest.fixture(scope="session")
def _browser() -> Iterator["Browser"]:
    from playwright.sync_api import sync_playwright

    found = chromium()
    if not found:
        pytest.fail("chromium is not installed, and CI is set: apt-get install chromium")
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=found, args=list(ARGUMENTS))
        yield made
        made.close()


# A refused case, a call that changed and a lost line are no errors of the page, though the browser notes them as such.
_NO_TROUBLE = ("status of 409", "status of 422", "ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


def _is_trouble(line: "ConsoleMessage") -> bool:
    return line.type == "error" and not any(each in line.text for each in _NO_TROUBLE)


@pytest.fixture
def browser_page(_browser: "Browser", address: str) -> Iterator[Callable[..., "Page"]]:
    """Opens pages: browser_page(path, width=..., dark=..., script=...). Fails on errors and on outside requests."""
    contexts: list[BrowserContext] = []
    troubles: list[str] = []

    def opened(path: str = "/", width: int = 1280, dark: bool = False, script: bool = True) -> "Page":
        context = _browser.new_context(
            base_url=address,
            viewport={"width": width, "height": 900},
            color_scheme="dark" if dark else "light",
            java_script_enabled=script,
            locale="en-GB",  # units are guessed from it
            accept_downloads=True,
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: troubles.append(f"script: {error}"))
        page.on("console", lambda line: troubles.append(line.text) if _is_trouble(line) else None)
        page.on(
            "request",
            lambda sent: None if sent.url.startswith((address, "blob:", "data:")) else troubles.append(sent.url),
        )
        page.goto(path)
        return page

    yield opened
    for context in contexts:
        assert context.cookies() == []
        context.close()
    assert troubles == []
