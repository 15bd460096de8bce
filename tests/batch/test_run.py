"""A whole run: every line once, in order, the same bytes whatever the workers, resumed or not."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest

from saltriage.batch import pool, run, run_batch
from saltriage.batch.run import CHUNK_LINES, file_chunks
from saltriage.errors import UsageRefused


def test_every_line_once_and_in_order(many, whole):
    """Line n of the output answers line n of the input."""
    numbers = [json.loads(line)["line"] for line in whole.splitlines()]

    assert list(range(1, len(many.read_bytes().splitlines()) + 1)) == numbers


def test_summary_counts_what_is_there(many, whole, tmp_path):
    """Lines and errors as they stand in the file."""
    summary = run_batch(many, tmp_path / "out", workers=1)

    errors = sum("error" in json.loads(line) for line in whole.splitlines())
    assert (len(whole.splitlines()), errors, 0) == (summary.lines, summary.errors, summary.resumed)
    assert errors > 0


def test_two_workers_give_the_same_bytes(many, whole, tmp_path):
    """Processes do not change a byte."""
    run_batch(many, tmp_path / "out", workers=2)

    assert whole == (tmp_path / "out").read_bytes()


@pytest.mark.parametrize("cut", [0, 1, 5_000, 0.3, 0.5, 0.77, 0.999, 1.0])
def test_resumed_run_equals_the_uninterrupted_one(many, whole, tmp_path, cut):
    """Wherever the part was cut off, the resumed output is the whole one."""
    part = tmp_path / "out.part"
    part.write_bytes(whole[: round(cut * len(whole)) if isinstance(cut, float) else cut])

    summary = run_batch(many, tmp_path / "out", resume=True)

    assert whole == (tmp_path / "out").read_bytes()
    assert not part.exists()
    assert summary.resumed % CHUNK_LINES == 0
    assert summary.resumed <= whole[: round(cut * len(whole)) if isinstance(cut, float) else cut].count(b"\n")


def test_part_is_not_overwritten_unasked(many, tmp_path):
    """Without --resume a part that is there is left alone and named."""
    (tmp_path / "out.part").write_bytes(b"kept\n")

    with pytest.raises(UsageRefused, match=r"out\.part is there .* --resume"):
        run_batch(many, tmp_path / "out")

    assert (tmp_path / "out.part").read_bytes() == b"kept\n"


def test_part_of_other_cases_is_refused(many, whole, tmp_path):
    """A part that these cases and rules would not give is not gone on with."""
    other = tmp_path / "other.ndjson"
    other.write_bytes(b"\n".join(reversed(many.read_bytes().splitlines())))
    (tmp_path / "out.part").write_bytes(whole)

    with pytest.raises(UsageRefused, match="made from other cases or with other rules"):
        run_batch(other, tmp_path / "out", resume=True)

    assert whole == (tmp_path / "out.part").read_bytes()


def test_finished_file_is_never_overwritten(many, tmp_path):
    """A target that exists is refused before anything is read."""
    (tmp_path / "out").write_bytes(b"precious")

    with pytest.raises(UsageRefused, match="exists"):
        run_batch(many, tmp_path / "out", resume=True)

    assert (tmp_path / "out").read_bytes() == b"precious"


@pytest.mark.parametrize(
    ("source", "target", "said"),
    [("nothing", "out", "nothing: no such file"), ("in", "no/such/out", "no such folder")],
)
def test_wrong_paths_are_named(tmp_path, source, target, said):
    """A missing input or folder is named, and nothing is left behind."""
    (tmp_path / "in").write_bytes(b"{}\n")

    with pytest.raises(UsageRefused, match=said):
        run_batch(tmp_path / source, tmp_path / target)

    assert [each.name for each in tmp_path.iterdir()] == ["in"]


def test_two_runs_cannot_write_one_part(many, tmp_path):
    """The second run is told that the first is at work."""
    with run._part(tmp_path / "out.part"), pytest.raises(UsageRefused, match="being written by another run"):
        run_batch(many, tmp_path / "out", resume=True)


def test_progress_tells_lines_and_share(many, tmp_path):
    """Called after each chunk; ends with all lines and the whole input."""
    told: list[tuple[int, float]] = []
    run_batch(many, tmp_path / "out", progress=lambda lines, share: told.append((lines, share)))

    assert told[-1] == (150, 1.0)
    assert [lines for lines, _ in told] == [64, 128, 150]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (b"", []),
        (b"a", [(1, b"a")]),
        (b"a\r\n\r\nb\n", [(1, b"a"), (2, b""), (3, b"b")]),
        (b"x" * 25 + b"\nb\n", [(1, b"x" * 10), (2, b"b")]),
        (b"x" * 20 + b"\nb", [(1, b"x" * 10), (2, b"b")]),
        (b"x" * 10 + b"\nb", [(1, b"x" * 10), (2, b"b")]),
        (b"x" * 30, [(1, b"x" * 10)]),
    ],
)
def test_lines_as_they_stand(tmp_path, monkeypatch, text, expected):
    """Every line counts once, however it ends and however long it is."""
    monkeypatch.setattr(run, "LONGEST_LINE", 10)
    (tmp_path / "in").write_bytes(text)

    with open(tmp_path / "in", "rb") as lines:
        assert expected == [line for chunk in file_chunks(lines, 0) for line in chunk]


def test_lost_worker_costs_nothing(many, whole, tmp_path):
    """A worker killed in the middle is replaced; the output is the same."""
    killed: list[int] = []

    def kill_once(lines: int, share: float) -> None:
        if not killed:
            import multiprocessing

            victim = multiprocessing.active_children()[0]
            killed.append(victim.pid)
            os.kill(victim.pid, signal.SIGKILL)

    run_batch(many, tmp_path / "out", workers=2, progress=kill_once)

    assert killed
    assert whole == (tmp_path / "out").read_bytes()


def test_worker_lost_again_and_again_ends_the_run(many, tmp_path, monkeypatch):
    """Where every worker dies at once, the run gives up, says where, and keeps the part."""
    monkeypatch.setattr(pool, "_settle_in", pool_initializer_that_dies)

    with pytest.raises(UsageRefused, match="lines 1 to 64"):
        run_batch(many, tmp_path / "out", workers=2)

    assert (tmp_path / "out.part").read_bytes() == b""


def pool_initializer_that_dies() -> None:
    os._exit(9)


def test_workers_end_with_their_parent(many, tmp_path):
    """Nothing stays behind when the run itself is killed."""
    source = tmp_path / "in"
    source.write_bytes(many.read_bytes() * 20)
    command = [sys.executable, "-m", "saltriage", "batch", str(source), str(tmp_path / "out"), "--workers", "2"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL, start_new_session=True, env=environment)
    deadline = time.monotonic() + 60
    while not (tmp_path / "out.part").exists() or not (tmp_path / "out.part").stat().st_size:
        assert process.poll() is None, "ended before it was killed"
        assert time.monotonic() < deadline
        time.sleep(0.05)
    process.kill()
    process.wait()

    while time.monotonic() < deadline:
        if not members(process.pid):
            return
        time.sleep(0.1)
    pytest.fail(f"still there: {members(process.pid)}")


def members(session: int) -> list[int]:
    """Processes of a session, zombies left out (Linux: session and state from /proc/PID/stat)."""
    found = []
    for entry in os.listdir("/proc"):
        if entry.isdigit():
            try:
                with open(f"/proc/{entry}/stat") as stat:
                    state, _, _, own = stat.read().rpartition(")")[2].split()[:4]
            except OSError:
                continue
            if int(own) == session and state != "Z":
                found.append(int(entry))
    return found
