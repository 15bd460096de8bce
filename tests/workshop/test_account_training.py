"""Training the reader of accounts: deterministic, fresh, honest about voices, and as good as was measured."""

import json
from pathlib import Path

import numpy as np
import pytest

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.words.accounts import ACCOUNTS_FOLDER, AccountReader, read_account_weights
from saltriage.words.learned import CORPUS_FOLDER as SAYINGS_FOLDER
from saltriage.workshop.account_check import account_findings
from saltriage.workshop.account_training import accounts_text, train_accounts, write_accounts

OWN = data_folder("rules")
KNOWLEDGE = load_knowledge()
SETS = ("w1", "w2", "v1")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Rules with some accounts of two written sets and of one voice of calls."""
    folder, sayings = tmp_path / "rules" / ACCOUNTS_FOLDER, tmp_path / "rules" / SAYINGS_FOLDER
    folder.mkdir(parents=True)
    sayings.mkdir(parents=True)
    about = (OWN / ACCOUNTS_FOLDER / "corpus.yaml").read_text(encoding="utf-8").split("sets:\n")[0]
    sets = "".join(f"  {name}: {{speaks: Plainly.}}\n" for name in SETS)
    (folder / "corpus.yaml").write_text(f"{about}sets:\n{sets}", encoding="utf-8")
    for name, count in (("w1", 60), ("w2", 60), ("v1", 12)):
        lines = (OWN / ACCOUNTS_FOLDER / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()[:count]
        (folder / f"{name}.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    calls = (OWN / SAYINGS_FOLDER / "v1.jsonl").read_text(encoding="utf-8")
    (sayings / "v1.jsonl").write_text(calls, encoding="utf-8")
    return tmp_path / "rules"


def findings(rules: Path) -> list[str]:
    return [finding.code for finding in account_findings(rules, KNOWLEDGE.causes)]


def test_training_is_deterministic_and_freshness_is_checked(small: Path) -> None:
    """The same bytes twice; missing, damaged and older weights are found (R092); a reader knows what it has learned."""
    assert findings(small) == ["R092"]
    path = write_accounts(small, train_accounts(small, KNOWLEDGE).learned())
    first = path.read_bytes()
    assert write_accounts(small, train_accounts(small, KNOWLEDGE).learned()).read_bytes() == first
    assert findings(small) == []

    reader = AccountReader(read_account_weights(path))
    learned = small / ACCOUNTS_FOLDER / "w1.jsonl"
    line = json.loads(learned.read_text(encoding="utf-8").splitlines()[0])
    assert reader.weights.causes[int(np.argmax(reader.chances(line["said"])))] in line["causes"]

    learned.write_text(learned.read_text(encoding="utf-8").replace("the", "that", 1), encoding="utf-8")
    assert findings(small) == ["R092"]
    path.write_bytes(first[:1000])
    assert findings(small) == ["R092"]


def test_a_voice_kept_aside_has_no_part_in_its_weights(small: Path) -> None:
    """Fewer of its calls change nothing in what is learned without it."""
    before = train_accounts(small, KNOWLEDGE).learned(["v1"])
    calls = small / ACCOUNTS_FOLDER / "v1.jsonl"
    calls.write_text("\n".join(calls.read_text(encoding="utf-8").splitlines()[:5]) + "\n", encoding="utf-8")

    after = train_accounts(small, KNOWLEDGE).learned(["v1"])

    assert (after.shares == before.shares).all()
    assert (after.steps == before.steps).all()


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('{"id": "w1-9001", "said": "It hums.", "causes": ["no-such-thing"]}', "R040"),
        ('{"id": "w2-9001", "said": "It hums.", "causes": ["cold-water"]}', "R032"),
        ('{"id": "w1-9001", "said": "It hums.", "causes": []}', "R025"),
        ('{"id": "w1-9001", "causes": ["cold-water"]}', "R093"),
        ('{"id": "w1-0001", "said": "It hums.", "causes": ["cold-water"]}', "R036"),
        ('{"id": "w1-9001", "said": "It hums."', "R016"),
    ],
)
def test_what_is_wrong_with_a_line_is_found(small: Path, line: str, code: str) -> None:
    """At its line, with a remedy; nothing is learned then."""
    path = small / ACCOUNTS_FOLDER / "w1.jsonl"
    path.write_text(path.read_text(encoding="utf-8") + line + "\n", encoding="utf-8")

    found = [each for each in account_findings(small, KNOWLEDGE.causes) if each.code == code]

    assert [(each.line, bool(each.mend)) for each in found] == [(61, True)]
    with pytest.raises(KnowledgeRefused):
        train_accounts(small, KNOWLEDGE)


def test_a_copy_an_unknown_file_and_a_missing_one_are_found(small: Path) -> None:
    folder = small / ACCOUNTS_FOLDER
    lines = (folder / "w1.jsonl").read_text(encoding="utf-8").splitlines()
    copy = json.dumps({**json.loads(lines[0]), "id": "w1-9002"}, ensure_ascii=False)
    (folder / "w1.jsonl").write_text("\n".join([*lines, copy]) + "\n", encoding="utf-8")
    (folder / "w9.jsonl").write_text("", encoding="utf-8")
    (folder / "w2.jsonl").unlink()

    assert {"R091", "R035", "R001"} <= set(findings(small))
    with pytest.raises(UsageRefused, match="no corpus of accounts"):
        train_accounts(folder, KNOWLEDGE)


@pytest.mark.slow
def test_floors_of_voices_kept_aside() -> None:
    """A notch under what was reached for calls of voices that nothing was learned from."""
    learner = train_accounts(OWN, KNOWLEDGE)

    figures = [each for each in learner.figures() if each.voice in ("v4", "v5")]

    print(accounts_text(figures))
    assert sum(each.first * each.accounts for each in figures) >= 0.60 * sum(each.accounts for each in figures) > 0
    assert sum(each.first_three * each.accounts for each in figures) >= 0.80 * sum(each.accounts for each in figures)
