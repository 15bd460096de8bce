"""Nothing is lost or half written when a process is killed; kill_runs.py does the same 200 times."""

import random

import kill_runs
import pytest

from saltriage.batch.run import CHUNK_LINES


@pytest.mark.long
def test_killed_batches(tmp_path):
    """Every part is a beginning of the whole output, and the resumed output equals it byte for byte."""
    tally = kill_runs.batch_kills(tmp_path, 4, random.Random(9), lines=CHUNK_LINES + 30)

    assert tally.kills == 4
    assert tally.finished >= 1


@pytest.mark.parametrize(("kind", "write"), [("case", kill_runs.write_case), ("cache", kill_runs.write_cache)])
def test_killed_writers(tmp_path, kind, write):
    """The file holds the old content or the new one."""
    contents = [write(tmp_path, which).read_bytes() for which in (0, 1)]
    path = write(tmp_path, 0)

    tally = kill_runs.writer_kills(kind, tmp_path, contents, path, 4, random.Random(9))

    assert (tally.kills, tally.finished) == (4, 4)
