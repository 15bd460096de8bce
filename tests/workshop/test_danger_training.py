"""Training the reader of dangers: deterministic, fresh, and as good as was measured."""

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

from saltriage.errors import UsageRefused
from saltriage.knowledge.bundle import contents_of
from saltriage.knowledge.home import data_folder
from saltriage.words.danger import DangerReader
from saltriage.words.danger.reader import CORPUS_FOLDER
from saltriage.words.danger.weights import WEIGHTS_FILE, read_weights, rounded
from saltriage.workshop.danger_check import danger_findings
from saltriage.workshop.danger_corpus import read_corpus
from saltriage.workshop.danger_figures import figures_of, figures_text
from saltriage.workshop.danger_thresholds import scale_of, verdict
from saltriage.workshop.danger_training import learned, scored_by_mind, train

OWN = data_folder("rules") / CORPUS_FOLDER


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Rules with a corpus of the first 70 lines of three voices."""
    folder = tmp_path / "rules" / CORPUS_FOLDER
    folder.mkdir(parents=True)
    about = (OWN / "corpus.yaml").read_text(encoding="utf-8").split("voices:\n")[0]
    voices = "".join(f"  {voice}: {{mind: of-{voice}, speaks: As told.}}\n" for voice in ("v01", "v06", "v17"))
    (folder / "corpus.yaml").write_text(f"{about}voices:\n{voices}", encoding="utf-8")
    for voice in ("v01", "v06", "v17"):
        lines = (OWN / f"{voice}.jsonl").read_text(encoding="utf-8").splitlines()[:70]
        (folder / f"{voice}.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tmp_path / "rules"


def test_the_same_bytes_twice_in_any_order(small: Path) -> None:
    """Neither the run nor the order of lines matters to what is learned."""
    path, weights, _ = train(small)
    first = path.read_bytes()
    train(small)
    assert path.read_bytes() == first
    for voice in small.rglob("*.jsonl"):
        lines = voice.read_text(encoding="utf-8").splitlines()
        voice.write_text("\n".join(reversed(lines)) + "\n", encoding="utf-8")

    _, again, _ = train(small)

    assert np.array_equal(weights.values, again.values)
    assert weights.scale == again.scale


def test_weights_are_checked_to_be_fresh(small: Path) -> None:
    """Missing, damaged and older weights are found (R092); fresh ones are not."""
    assert [finding.code for finding in danger_findings(small)] == ["R092"]
    path, _, _ = train(small)
    assert danger_findings(small) == []

    lines = small / CORPUS_FOLDER / "v01.jsonl"
    text = lines.read_text(encoding="utf-8")
    lines.write_text(text.replace('"severity": 3', '"severity": 2', 1), encoding="utf-8")
    assert [finding.code for finding in danger_findings(small)] == ["R092"]
    lines.write_text(text, encoding="utf-8")
    path.write_bytes(path.read_bytes()[:1000])
    assert [finding.code for finding in danger_findings(small)] == ["R092"]


def test_the_projects_own_weights_are_fresh_and_small() -> None:
    """They were trained with the lines that stand there, and take at most 3 MB."""
    assert danger_findings(data_folder("rules")) == []
    assert (OWN / WEIGHTS_FILE).stat().st_size <= 3_000_000


def test_the_projects_own_corpus_is_sound() -> None:
    """No finding; 17 voices that tell dangers, more than 3,400 lines, half of them harmless."""
    corpus, findings = read_corpus(OWN)

    assert findings == []
    assert corpus is not None
    lines = [line for line in corpus.lines if line.mind in corpus.minds]
    assert len(lines) >= 3400
    near = [line for line in lines if not line.ordinary]
    assert 0.4 <= sum(not line.danger for line in near) / len(near) <= 0.6
    assert len({line.voice for line in lines}) >= 17


def test_the_corpus_is_no_rule(small: Path) -> None:
    """A start reads and hashes the rules alone."""
    shutil.copy(data_folder("rules") / "sources.yaml", small)

    assert list(contents_of(small).files) == ["sources.yaml"]


def test_no_corpus_is_said(tmp_path: Path) -> None:
    """And it is no finding of rules that bring none."""
    assert danger_findings(tmp_path) == []
    with pytest.raises(UsageRefused, match="no corpus"):
        train(tmp_path)


def test_weights_of_another_format_are_refused(small: Path) -> None:
    """Rather than read wrongly."""
    path, _, _ = train(small)
    with np.load(path) as kept:
        parts = dict(kept)
    told = json.loads(parts["about"].tobytes()) | {"format": 0}
    np.savez(path, **(parts | {"about": np.frombuffer(json.dumps(told).encode(), dtype=np.uint8)}))

    with pytest.raises(UsageRefused, match="another format"):
        read_weights(path)


def test_rounding_loses_little() -> None:
    """Half a step at most, in each column."""
    table = np.random.default_rng(7).normal(size=(500, 3)) * [0.01, 1.0, 80.0]

    values, steps = rounded(table)

    assert np.all(np.abs(values * steps - table) <= 0.5001 * steps)


def test_thresholds_keep_what_was_asked(small: Path) -> None:
    """Of harmless lines of minds kept aside, no more stand or are asked back than the corpus allows."""
    corpus, _ = read_corpus(small / CORPUS_FOLDER)
    assert corpus is not None
    aside = scored_by_mind(corpus)
    scale = scale_of(aside, corpus)

    figures = figures_of(aside, scale)

    assert figures.false <= corpus.harmless_that_stand + 0.02
    assert figures.asked <= corpus.harmless_asked_back + 0.04
    assert figures.heard > 0.3
    assert "severity 3" in figures_text(aside, scale)
    assert {verdict(each, scale) for each in aside} == {"sure", "ask", ""}


def test_what_was_learned_is_known(small: Path) -> None:
    """A reader knows the lines it learned from."""
    corpus, _ = read_corpus(small / CORPUS_FOLDER)
    assert corpus is not None

    reader = DangerReader(learned(corpus.lines, corpus))

    right = [(reader.windows_of(line.said)[-1].score > 0) == bool(line.danger) for line in corpus.lines]
    assert sum(right) / len(right) > 0.97


@pytest.mark.slow
def test_minds_kept_aside_are_heard() -> None:
    """The figures that were measured, less what another version of the learner may cost."""
    corpus, _ = read_corpus(OWN)
    assert corpus is not None
    aside = scored_by_mind(corpus)
    scale = scale_of(aside, corpus)

    every = figures_of([each for each in aside if not each.line.ordinary], scale)
    life = figures_of([each for each in aside if each.line.severity == 3], scale)
    calls = [each for each in aside if each.line.ordinary]

    assert every.heard >= 0.91
    assert life.heard >= 0.95
    assert every.false <= 0.02
    assert every.asked <= 0.17
    stand = sum(each.line.stands_for for each in calls if verdict(each, scale) == "sure")
    assert 0 < stand <= 0.035 * sum(each.line.stands_for for each in calls)
