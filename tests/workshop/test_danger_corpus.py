"""The corpus of dangers: each mistake is found at its line."""

import json
from pathlib import Path

import pytest

from saltriage.workshop.corpus_files import files_fingerprint
from saltriage.workshop.danger_alike import alike
from saltriage.workshop.danger_corpus import read_corpus

ABOUT = """\
kinds: {electric: Shocks., gas: Fumes.}
thresholds: {harmless-that-stand: 0.03, harmless-asked-back: 0.12, handicap: 2.5}
weights: {harmless: 1.0, severity-1: 1.0, severity-2: 1.0, severity-3: 1.3}
voices:
  one: {mind: first, speaks: Plainly.}
  two: {mind: second, speaks: Oddly.}
"""
LINES = {
    "one": [("the ladder bites my hand", "electric", 3), ("how much salt do I need", None, 0)],
    "two": [("fumes come off the bucket", "gas", 2), ("the pool smells clean", None, 0)],
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound corpus of two voices."""
    (tmp_path / "corpus.yaml").write_text(ABOUT)
    for voice, lines in LINES.items():
        told = [
            json.dumps({"id": f"{voice}-{n:03d}", "said": said, "danger": kind, "severity": bad, "what": "because"})
            for n, (said, kind, bad) in enumerate(lines, 1)
        ]
        (tmp_path / f"{voice}.jsonl").write_text("\n".join(told) + "\n")
    return tmp_path


def changed(folder: Path, old: str, new: str, name: str = "two.jsonl") -> None:
    """The corpus with one mistake."""
    text = (folder / name).read_text()
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1))


def test_a_sound_corpus(folder: Path) -> None:
    """Lines in the order of their ids, with the mind of their voice."""
    corpus, findings = read_corpus(folder)

    assert findings == []
    assert corpus is not None
    assert [line.id for line in corpus.lines] == ["one-001", "one-002", "two-001", "two-002"]
    assert corpus.minds == ("first", "second")
    assert corpus.lines[1].danger == ""


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ('"the pool smells clean"', '"the pool smells clean', "R016", 2),
        ('"severity": 2', '"severity": 7', "R022", 1),
        ('"what": "because"', '"why": "because"', "R012", 1),
        ('"two-002"', '"two-001"', "R036", 2),
        ('"two-002"', '"one-009"', "R032", 2),
        ('"gas"', '"ghost"', "R040", 1),
        ('"gas"', "null", "R090", 1),
        ("the pool smells clean", "The ladder bites my hand!", "R091", 2),
        ("\n", "\n\n", "R016", 2),
    ],
)
def test_a_mistake_is_found_at_its_line(folder: Path, old: str, new: str, code: str, line: int) -> None:
    """The file, the line, the code; and nothing is learned from it."""
    changed(folder, old, new)

    corpus, findings = read_corpus(folder)

    assert (code, line, "two.jsonl") in {(each.code, each.line, Path(each.file).name) for each in findings}
    assert corpus is None


def test_voices_and_files_agree(folder: Path) -> None:
    """A file without a voice, and a voice without its file."""
    (folder / "two.jsonl").rename(folder / "three.jsonl")

    _, findings = read_corpus(folder)

    assert {finding.code for finding in findings} == {"R001", "R035"}


def test_no_corpus_yaml(tmp_path: Path) -> None:
    """Is said, not raised."""
    corpus, findings = read_corpus(tmp_path)

    assert corpus is None
    assert [finding.code for finding in findings] == ["R001"]


def test_the_fingerprint_follows_the_lines(folder: Path) -> None:
    """It changes with a word, not with the line ends of a checkout or with weights beside."""
    before = files_fingerprint(folder)
    (folder / "weights.npz").write_bytes(b"anything")
    (folder / "one.jsonl").write_bytes((folder / "one.jsonl").read_bytes().replace(b"\n", b"\r\n"))
    assert files_fingerprint(folder) == before

    changed(folder, "clean", "cleaner")

    assert files_fingerprint(folder) != before


def test_near_copies_are_paired() -> None:
    """A word changed is a copy; the same thing in other words is none."""
    texts = [
        "my pump hums but will not start today",
        "the hum is there, no start",
        "My pump hums but won't start today!",
    ]

    assert list(alike(texts)) == []
    assert list(alike([*texts, "my pump hums but will not start now"])) == [(0, 3)]
