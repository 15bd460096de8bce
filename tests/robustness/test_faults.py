"""Trouble from outside: a full disk, no right to write, a reader that leaves, no home, no locale, no network, a clock
that jumps. The command says what happened, leaves nothing half written, and works wherever it can."""

import json
import os
import resource
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from sampled_cases import sampled_lines

from saltriage.batch.run import CHUNK_LINES
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.bundle import bundle_file, contents_of, read_bundle
from saltriage.knowledge.home import data_folder

DEMO = data_folder("cases") / "demo" / "low-salt-after-rain.yaml"
SMALL = Path(__file__).resolve().parents[1] / "knowledge" / "good" / "rules"
# A runner's own switches must not reach the commands under test.
BARE = {"PATH": os.environ["PATH"], "PYTHONPATH": os.pathsep.join(each for each in sys.path if each)}


@pytest.fixture(scope="module")
def cache(tmp_path_factory) -> str:
    """A cache with the bundle in it."""
    folder = tmp_path_factory.mktemp("cache")
    assert saltriage("diagnose", DEMO, SALTRIAGE_CACHE=str(folder)).returncode == 0
    return str(folder)


@pytest.fixture(scope="module")
def expected(cache) -> bytes:
    """What an undisturbed diagnosis prints."""
    return saltriage("diagnose", DEMO, "--format", "json", SALTRIAGE_CACHE=cache).stdout


def saltriage(*arguments: object, before=None, prefix=(), **environment: str) -> subprocess.CompletedProcess[bytes]:
    command = [*prefix, sys.executable, "-m", "saltriage", *map(str, arguments)]
    return subprocess.run(command, env=BARE | environment, capture_output=True, preexec_fn=before, check=False)


def clean(done: subprocess.CompletedProcess[bytes]) -> bool:
    """No traceback, whatever happened."""
    return b"Traceback" not in done.stderr


def largest_file(size: int):
    """Makes a process unable to write files beyond this size: as a full disk, writing fails in the middle."""

    def limit() -> None:
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    return limit


def test_disk_full_in_a_batch(cache, tmp_path):
    """Exit 2 with the reason; the part stays, and once there is room the run goes on to the same bytes."""
    source, target, whole = tmp_path / "in", tmp_path / "out", tmp_path / "whole"
    source.write_text("".join(f"{line}\n" for line in sampled_lines(CHUNK_LINES + 8)), encoding="utf-8")
    batch = ("batch", "--workers", 1, source, target)
    assert saltriage("batch", "--workers", 1, source, whole, SALTRIAGE_CACHE=cache).returncode in (0, 1)
    lines = whole.read_bytes().splitlines(keepends=True)

    full = saltriage(*batch, before=largest_file(sum(map(len, lines[: CHUNK_LINES + 3]))), SALTRIAGE_CACHE=cache)

    assert full.returncode == 2
    assert b"File too large" in full.stderr
    assert clean(full)
    assert not target.exists()
    assert (tmp_path / "out.part").stat().st_size > 0
    assert saltriage(*batch, "--resume", SALTRIAGE_CACHE=cache).returncode in (0, 1)
    assert target.read_bytes() == whole.read_bytes()


def test_disk_full_when_the_bundle_is_written(tmp_path, expected):
    """The diagnosis is printed all the same; no half bundle is left."""
    folder = tmp_path / "cache"

    done = saltriage("diagnose", DEMO, "--format", "json", before=largest_file(50_000), SALTRIAGE_CACHE=str(folder))

    assert (done.returncode, done.stdout) == (0, expected)
    assert clean(done)
    assert list(folder.iterdir()) == []


def test_place_of_the_cache_cannot_be_used(tmp_path, expected):
    """A file where the cache folder should be: the rules are read anew each time, the answer is the same."""
    (tmp_path / "cache").write_bytes(b"in the way")

    done = saltriage("diagnose", DEMO, "--format", "json", SALTRIAGE_CACHE=str(tmp_path / "cache"))

    assert (done.returncode, done.stdout, done.stderr) == (0, expected, b"")


@pytest.mark.skipif(shutil.which("unshare") is None or os.geteuid() != 0, reason="needs unshare and root")
def test_read_only_cache(cache, tmp_path, expected):
    """On a read-only file system the bundle is read, and where there is none, done without."""
    script = 'mount -t tmpfs -o ro none "$0" && exec "$@"'
    place = tmp_path / "cache"
    place.mkdir()
    prefix = ("unshare", "--mount", "sh", "-c", script, str(place))
    if subprocess.run([*prefix, "true"], capture_output=True, check=False).returncode:
        pytest.skip("this container may not mount")

    done = saltriage("diagnose", DEMO, "--format", "json", prefix=prefix, SALTRIAGE_CACHE=str(place))

    assert (done.returncode, done.stdout, done.stderr) == (0, expected, b"")


@pytest.fixture
def small(tmp_path, monkeypatch) -> Path:
    """A folder of few rules and an empty cache."""
    shutil.copytree(SMALL, tmp_path / "rules")
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    return tmp_path / "rules"


@pytest.mark.parametrize("damage", ["empty", "cut", "flipped", "header", "other format", "folder", "no bundle"])
def test_damaged_bundle_is_made_anew(small, damage):
    """Whatever is wrong with the bundle, the knowledge is right and a good bundle stands there afterwards."""
    knowledge, place = load_knowledge(small), bundle_file(small)
    good = place.read_bytes()
    place.unlink()
    spoilt = {
        "empty": b"", "cut": good[:-7], "flipped": good[:900] + bytes([good[900] ^ 1]) + good[901:],
        "header": b"{}\n" + good, "other format": good.replace(b'"format":1', b'"format":0', 1), "folder": None,
        "no bundle": b"[" * 100_000,
    }[damage]  # fmt: skip
    if spoilt is None:
        place.mkdir()
    else:
        place.write_bytes(spoilt)

    assert load_knowledge(small) == knowledge

    if spoilt is not None:
        assert place.read_bytes() == good


def test_stale_bundle_is_made_anew(small):
    """A rule that changed after the bundle was made is what counts, also where only its bytes changed."""
    before = load_knowledge(small)
    rule = next((small / "readings").glob("*.yaml"))
    rule.write_text(rule.read_text().replace("title: ", "title: Other ", 1))

    after = load_knowledge(small)

    assert after.readings[rule.stem].title == f"Other {before.readings[rule.stem].title}"
    assert after.fingerprint != before.fingerprint
    assert read_bundle(bundle_file(small), contents_of(small).whole) is not None


def test_many_first_starts_at_once(small):
    """Processes that all find no bundle and write one at the same time agree, and leave one good bundle."""
    code = "import sys, saltriage; print(saltriage.load_knowledge(sys.argv[1]).fingerprint)"
    command = [sys.executable, "-c", code, str(small)]
    cache = bundle_file(small).parent

    environment = BARE | {"SALTRIAGE_CACHE": str(cache)}
    started = [subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) for _ in range(3)]

    assert {each.communicate()[0].decode().strip() for each in started} == {load_knowledge(small).fingerprint}
    assert [each.suffix for each in cache.iterdir()] == [".json"]
    assert read_bundle(bundle_file(small), contents_of(small).whole) is not None


def test_reader_that_leaves(cache):
    """`| head -1`: the rest is not printed, nothing is said about it, exit code 0."""
    command = [sys.executable, "-m", "saltriage", "diagnose", str(DEMO), "--format", "json"]
    environment = BARE | {"SALTRIAGE_CACHE": cache}
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.close()

    said = process.stderr.read()

    process.stderr.close()
    assert (process.wait(), said) == (0, b"")


def test_output_that_cannot_be_written(cache):
    """A full device behind standard output is told with exit code 2 and its reason, not with a traceback."""
    if not os.path.exists("/dev/full"):
        pytest.skip("no /dev/full")
    command = [sys.executable, "-m", "saltriage", "diagnose", str(DEMO)]
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            command, env=BARE | {"SALTRIAGE_CACHE": cache}, stdout=full, stderr=subprocess.PIPE, check=False
        )

    assert done.returncode == 2
    assert b"No space left" in done.stderr
    assert clean(done)


@pytest.mark.parametrize(
    "environment",
    [
        {"HOME": "/no/such/home"},
        {"HOME": "/", "XDG_CACHE_HOME": "/proc/nothing", "LC_ALL": "C"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "SALTRIAGE_CACHE": ""},
        {"LC_ALL": "xx_XX.nothing", "SALTRIAGE_CACHE": ""},
        {"LANG": "de_DE.ISO-8859-1", "PYTHONIOENCODING": "latin-1", "SALTRIAGE_CACHE": ""},
        {"TZ": "No/Such_Zone", "TERM": "", "COLUMNS": "0", "LINES": "-1", "SALTRIAGE_CACHE": ""},
    ],
    ids=lambda environment: " ".join(f"{key}={value}" for key, value in environment.items()),
)
def test_strange_surroundings(environment, expected, cache):
    """No home folder, no locale, the C locale without UTF-8, an unknown time zone: the JSON is the same."""
    ready = {"SALTRIAGE_CACHE": cache} if "SALTRIAGE_CACHE" in environment else {}  # the others find no bundle

    done = saltriage("diagnose", DEMO, "--format", "json", **(environment | ready))

    assert done.returncode == 0, done.stderr
    encoding = environment.get("PYTHONIOENCODING", "utf-8")
    assert json.loads(done.stdout.decode(encoding)) == json.loads(expected)
    assert clean(done)


@pytest.mark.parametrize("form", ["text", "html"])
def test_text_in_the_c_locale(cache, form):
    """Degree signs and dashes do not stop a report where the terminal knows ASCII only."""
    surroundings = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"}

    done = saltriage("diagnose", DEMO, "--format", form, "--for", "support", SALTRIAGE_CACHE=cache, **surroundings)

    assert done.returncode == 0, done.stderr
    assert len(done.stdout) > 1000


@pytest.mark.skipif(shutil.which("unshare") is None or os.geteuid() != 0, reason="needs unshare and root")
def test_no_network(cache, expected):
    """In a network name space without any interface the answer is the same."""
    prefix = ("unshare", "--net")
    if subprocess.run([*prefix, "true"], capture_output=True, check=False).returncode:
        pytest.skip("this container may not take the network away")

    done = saltriage("diagnose", DEMO, "--format", "json", prefix=prefix, SALTRIAGE_CACHE=cache)

    assert (done.returncode, done.stdout) == (0, expected)


@pytest.mark.parametrize("jump", [-5_000_000_000.0, -3600.0, 3600.0, 5_000_000_000.0])
def test_clock_that_jumps(tmp_path, monkeypatch, jump):
    """Wall-clock jumps in the middle of a run change no byte and remove no fresh file."""
    import itertools
    import time

    from saltriage.batch import run_batch

    source = tmp_path / "in"
    source.write_text("".join(f"{line}\n" for line in sampled_lines(20)), encoding="utf-8")
    run_batch(source, tmp_path / "steady")
    real, turns = time.time, itertools.count()
    monkeypatch.setattr(time, "time", lambda: real() + (jump if next(turns) % 2 else 0.0))
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))

    run_batch(source, tmp_path / "jumping")

    assert (tmp_path / "jumping").read_bytes() == (tmp_path / "steady").read_bytes()
    assert load_knowledge(SMALL).causes
    assert bundle_file(SMALL).exists()


def test_sources_are_never_written_to(cache, tmp_path):
    """A diagnosis from a read-only folder, by name and by standard input, creates nothing beside the case."""
    shutil.copyfile(DEMO, tmp_path / "case.yaml")

    by_name = saltriage("diagnose", tmp_path / "case.yaml", SALTRIAGE_CACHE=cache)

    assert by_name.returncode == 0
    assert [path.name for path in Path(tmp_path).iterdir()] == ["case.yaml"]
