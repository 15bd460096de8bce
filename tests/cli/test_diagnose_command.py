"""`saltriage diagnose` and `water` as a user runs them: in a terminal, in a pipe, with nonsense."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from in_process import command

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "cases" / "demo" / "low-salt-after-rain.yaml"


def run(*words: str, given: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The command with these words, run from the checkout."""
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT / "engine"), **environment}
    typed = [sys.executable, "-m", "saltriage", *words]
    return subprocess.run(typed, cwd=ROOT, env=surroundings, input=given, capture_output=True, timeout=120, check=False)


def deep(levels: int) -> bytes:
    return b"symptoms: " + b"[" * levels


NONSENSE = {
    "ph-seventy": (b"readings: {ph: 70}", "ph"),
    "negative-salt": (b"readings: {salt: '-5 mg/L'}", "salt"),
    "no-volume": (b"pool: {volume: '0 m3'}", "volume"),
    "not-a-number": (b"readings: {ph: .nan}", ".nan"),
    "list-for-number": (b"readings: {salt: [1, 2]}", "salt"),
    "unknown-symptom": (b"symptoms: {low-salt-warnin: yes}", "low-salt-warning"),
    "wrong-kind-of-unit": (b"readings: {salt: '84 degF'}", "degF"),
    "bare-gallons": (b"pool: {volume: '12000 gal'}", "gal"),
    "deep-nest": (deep(100_000), ""),
    "five-megabytes": (b"a: [" + b"[],\n" * 1_300_000 + b"]", "512"),
    "anchor-bomb": (b"a: &a [x, x]\nb: &b [*a, *a]\nsymptoms: [*b, *b]\n", "Anchor"),
    "bytes": (bytes(range(256)), ""),
    "nothing": (b"", ""),
}


@pytest.mark.parametrize("name", NONSENSE)
def test_nonsense_is_refused_by_name(name: str) -> None:
    """Exit code 2, the reason on standard error, nothing on standard output, no traceback."""
    given, word = NONSENSE[name]

    ended = command("water" if name in ("ph-seventy", "no-volume") else "diagnose", "-", at=ROOT, given=given)

    assert ended.returncode == 2
    assert ended.stdout == ""
    assert word in ended.stderr
    assert ended.stderr.strip()
    assert "Traceback" not in ended.stderr


def test_a_missing_file_is_refused() -> None:
    """By its name."""
    ended = command("diagnose", "no-such-file.yaml", at=ROOT)

    assert ended.returncode == 2
    assert "no-such-file.yaml" in ended.stderr


@pytest.mark.parametrize(
    "words", [("diagnose", str(DEMO)), ("diagnose", str(DEMO), "--for", "support"), ("water", str(DEMO))]
)
def test_a_report_fits_a_terminal_of_eighty_columns_and_has_no_colour_in_a_pipe(words: tuple[str, ...]) -> None:
    """Also in the C locale."""
    ended = run(*words, LC_ALL="C", PYTHONUTF8="1")

    assert ended.returncode == 0
    text = ended.stdout.decode()
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text


def test_colour_says_no_more_than_text() -> None:
    """Without its escape codes a coloured report is the plain one; NO_COLOR wins."""
    import re

    plain = run("diagnose", str(DEMO)).stdout
    coloured = run("diagnose", str(DEMO), FORCE_COLOR="1").stdout

    assert coloured != plain
    assert re.sub(rb"\x1b\[[0-9;]*m", b"", coloured) == plain
    assert run("diagnose", str(DEMO), FORCE_COLOR="1", NO_COLOR="1").stdout == plain


def test_standard_input_is_a_case_like_any_other() -> None:
    """'-' gives the same report as the file."""
    assert run("diagnose", "-", given=DEMO.read_bytes()).stdout == run("diagnose", str(DEMO)).stdout


def test_a_reader_that_goes_away_leaves_no_trace() -> None:
    """`saltriage diagnose CASE | head -1` says nothing on standard error."""
    typed = f"{sys.executable} -m saltriage diagnose {DEMO} --for support | head -1"

    ended = subprocess.run(
        ["bash", "-c", typed],
        env={**os.environ, "PYTHONPATH": str(ROOT / "engine")},
        capture_output=True,
        timeout=60,
        check=False,
    )

    assert ended.stderr == b""


def test_full_leaves_nothing_out_and_says_no_word_of_itself() -> None:
    """In text and on the page; the short one says how to get it."""
    short, full = (command("diagnose", str(DEMO), *more, at=ROOT).stdout for more in ((), ("--full",)))
    page = command("diagnose", str(DEMO), "--full", "--format", "html", at=ROOT).stdout

    assert "CAUTIONS" in full
    assert "CAUTIONS" not in short
    assert "--full" in short
    assert "--full" not in full
    assert len(short.split()) < len(full.split()) / 2
    assert '<details class="more whole" open>' in page
