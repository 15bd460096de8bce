"""Writers killed at any moment: what was acknowledged is there, nothing is doubled, nothing is half there."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.desk.rows import calls_of, every_number

KILLS = 20
LONGEST_S = 0.5  # of writing before a kill; some hundred calls


@pytest.mark.long
def test_what_was_acknowledged_survives_kills(address):
    """Twenty times SIGKILL while calls are taken and noted on."""
    chance = random.Random(20261130)
    took: set[str] = set()
    noted: set[str] = set()
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(each for each in sys.path if each)}
    for kill in range(KILLS):
        process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("desk_writer.py")), address, str(100_000 * kill)],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment, text=True,
        )  # fmt: skip
        assert process.stdout is not None
        said = [process.stdout.readline()]  # it is writing
        time.sleep(chance.uniform(0, LONGEST_S))
        process.send_signal(signal.SIGKILL)
        rest, trouble = process.communicate()
        assert process.returncode == -signal.SIGKILL, trouble
        for line in "".join([*said, rest]).splitlines(keepends=True):
            if line.endswith("\n"):  # the last may be cut, and was then not said
                word, uid = line.split()
                (took if word == "took" else noted).add(uid)

    desk = open_desk(address)
    with desk.connected.reading() as opened:
        calls = calls_of(opened, every_number(opened))
    uids = [call.uid for call in calls]
    assert len(took) >= KILLS
    assert len(uids) == len(set(uids)), "a call is there twice"
    assert took <= set(uids), "an acknowledged call is lost"
    assert {call.uid for call in calls if call.notes} >= noted, "an acknowledged note is lost"
    assert all(len(call.notes) <= 1 for call in calls), "a note is there twice"
    assert len(uids) - len(took) <= KILLS, "more than what was on its way when it was killed"
    assert check_desk(desk.connected) == (len(calls), [])
