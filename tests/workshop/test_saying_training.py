"""Training the reader of sayings: deterministic, fresh, and as good as was measured."""

import json
from pathlib import Path

import numpy as np
import pytest

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.words.learned import CORPUS_FOLDER, WEIGHTS_FILE, SayingReader, read_weights
from saltriage.words.learned.evidence import NUMBERS
from saltriage.workshop.saying_check import saying_findings
from saltriage.workshop.saying_corpus import read_sayings_corpus
from saltriage.workshop.saying_figures import hearing_text, voices_aside
from saltriage.workshop.saying_thresholds import Judged, thresholds_of
from saltriage.workshop.saying_training import train_sayings, write_learned

OWN = data_folder("rules") / CORPUS_FOLDER
KNOWLEDGE = load_knowledge()


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Rules with a corpus of some lines of two sets of sayings and three voices of calls."""
    folder = tmp_path / "rules" / CORPUS_FOLDER
    folder.mkdir(parents=True)
    about = (OWN / "corpus.yaml").read_text(encoding="utf-8").split("sets:\n")[0]
    sets = ["  a: {holds: sayings, voices: 8, speaks: Plainly.}"]
    sets += [f"  {name}: {{holds: calls, voices: 9, judges: true, speaks: As told.}}" for name in ("v1", "v2", "v4")]
    (folder / "corpus.yaml").write_text(f"{about}sets:\n" + "\n".join(sets) + "\n", encoding="utf-8")
    for name, count in (("a", 150), ("v1", 12), ("v2", 12), ("v4", 12)):
        lines = (OWN / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()[:count]
        (folder / f"{name}.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tmp_path / "rules"


def findings(rules: Path) -> list[str]:
    return [finding.code for finding in saying_findings(rules, KNOWLEDGE.symptoms, KNOWLEDGE.readings)]


def test_training_is_deterministic_and_freshness_is_checked(small: Path) -> None:
    """The same bytes twice; missing, damaged and older weights are found (R092); a reader knows what it has learned."""
    assert findings(small) == ["R092"]
    weights = train_sayings(small, KNOWLEDGE).learned()
    path = write_learned(small, weights)
    first = path.read_bytes()
    assert write_learned(small, train_sayings(small, KNOWLEDGE).learned()).read_bytes() == first
    assert findings(small) == []

    reader = SayingReader(read_weights(path))
    line = json.loads((small / CORPUS_FOLDER / "a.jsonl").read_text(encoding="utf-8").splitlines()[0])
    scores = reader.scores(line["say"], [(0, len(line["say"]))])[0]
    assert weights.symptoms[int(np.argmax(scores[: len(weights.symptoms)]))] == line["finding"]

    lines = small / CORPUS_FOLDER / "a.jsonl"
    lines.write_text(lines.read_text(encoding="utf-8").replace("present", "absent", 1), encoding="utf-8")
    assert findings(small) == ["R092"]
    path.write_bytes(first[:1000])
    assert findings(small) == ["R092"]


def test_a_voice_kept_aside_has_no_part_in_its_weights(small: Path) -> None:
    """Other words in its calls change nothing in what is learned without it."""
    before = train_sayings(small, KNOWLEDGE).weights(["v4"])
    calls = small / CORPUS_FOLDER / "v4.jsonl"
    kept = calls.read_text(encoding="utf-8").splitlines()[:6]
    calls.write_text("\n".join(kept) + "\n", encoding="utf-8")

    after = train_sayings(small, KNOWLEDGE).weights(["v4"])

    shared = [before.symptoms.index(symptom) for symptom in after.symptoms]
    assert np.abs(before.values[:, shared].astype(int) - after.values[:, : len(shared)].astype(int)).max() <= 1
    assert np.array_equal(before.habits[shared], after.habits)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('{"id": "a-9001", "say": "It hums.", "finding": "no-such-thing", "polarity": "present"}', "R040"),
        ('{"id": "b-9001", "say": "It hums.", "finding": "pump-hums", "polarity": "present"}', "R032"),
        ('{"id": "a-9001", "say": "It hums.", "finding": "pump-hums", "polarity": "perhaps"}', "R022"),
        ('{"id": "a-9001", "said": "It hums.", "says": [], "idle": ["It sings."]}', "R093"),
        ('{"id": "a-0001", "say": "It hums.", "finding": "pump-hums", "polarity": "present"}', "R036"),
    ],
)
def test_what_is_wrong_with_a_line_is_found(small: Path, line: str, code: str) -> None:
    """At its line, with a remedy."""
    path = small / CORPUS_FOLDER / "a.jsonl"
    path.write_text(path.read_text(encoding="utf-8") + line + "\n", encoding="utf-8")

    found = read_sayings_corpus(small / CORPUS_FOLDER, KNOWLEDGE.symptoms, KNOWLEDGE.readings)[1]

    assert code in {finding.code for finding in found if finding.line == 151}


def test_a_near_copy_is_found(small: Path) -> None:
    """Copies make the reader look better than it is."""
    path = small / CORPUS_FOLDER / "a.jsonl"
    first = json.loads(path.read_text(encoding="utf-8").splitlines()[0])
    copy = json.dumps({**first, "id": "a-9001"})
    path.write_text(path.read_text(encoding="utf-8") + copy + "\n", encoding="utf-8")

    assert "R091" in findings(small)


def test_thresholds_keep_what_was_asked() -> None:
    """Of chances that are right as often as they say, 0.8 and more are right in 0.9."""
    drawn = np.random.default_rng(3)
    chances = drawn.uniform(size=4000)
    judged = [
        Judged("c", "s", np.zeros(NUMBERS), int(drawn.uniform() < chance), None, 1, float(chance)) for chance in chances
    ]

    sure, _, likely = thresholds_of(judged, 0.9, 0.5)

    assert sure == pytest.approx(0.8, abs=0.06)
    assert likely == pytest.approx(0.25, abs=0.1)


def test_the_projects_own_weights_are_fresh_and_small() -> None:
    """They were trained with the lines that stand there, and take at most 3 MB."""
    assert findings(data_folder("rules")) == []
    assert (OWN / WEIGHTS_FILE).stat().st_size <= 3_000_000


def test_no_corpus_is_said(tmp_path: Path) -> None:
    """And it is no finding of rules that bring none."""
    assert findings(tmp_path) == []
    with pytest.raises(UsageRefused, match="no corpus"):
        train_sayings(tmp_path, KNOWLEDGE)


@pytest.mark.slow
def test_a_voice_kept_aside_is_heard() -> None:
    """The hardest of the five, trained once without it; reached 0.41 heard, 0.72 of the sure right, 0.28 of the likely.

    A notch under what was measured, for what another version of the learner may cost; all voices are in DEVELOPERS.md.
    """
    (aside,) = voices_aside(train_sayings(data_folder("rules"), KNOWLEDGE), only=["v5"])
    figures = aside.figures()

    assert figures.heard >= 0.38
    assert figures.opposite <= 0.01
    assert figures.sure >= 45
    assert figures.sure_right >= 0.66
    assert figures.likely_right >= 0.25
    assert figures.heard > aside.of_phrases().heard
    assert hearing_text([aside]).splitlines()[1].startswith("v5")
