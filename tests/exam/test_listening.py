"""With what an exam hears: other weights, and recorded answers of a model's reader beside the built-in one."""

import json
from pathlib import Path

import pytest
from calls import form, key, sheet, written

from in_process import command
from saltriage.exam import Listening, Mode, listening_with, read_papers, sit
from saltriage.knowledge import load_knowledge

RULES = load_knowledge()
SAID = "Ann here. The water froths like beer in the evening, I think."
SMALL = Path(__file__).parents[1] / "knowledge" / "good" / "rules" / "corpus" / "sayings" / "weights.npz"


@pytest.fixture
def papers(tmp_path):
    """One call that the built-in reader is not asked to understand."""
    return read_papers([written(tmp_path, [sheet(said=SAID)], [form(facts=[])], [key()])], RULES)


def recorded(home: Path, words: str = "froths like beer", id: str = "A-1") -> Path:
    path = home / "recorded.jsonl"
    says = [{"id": "foam", "polarity": "present", "words": words}]
    path.write_text(json.dumps({"id": id, "answer": {"says": says}}), encoding="utf-8")
    return path


def test_a_recorded_answer_is_heard_with_its_words(papers, tmp_path):
    """As likely, never sure: it is no answer of the case."""
    listening = listening_with(papers, RULES, recorded=recorded(tmp_path))
    heard = listening.heard(SAID, RULES)

    assert ("foam", "recorded") in {(each.id, each.by) for each in heard.pieces if each.words == "froths like beer"}
    assert "foam" in {each.id for each in (*heard.likely, *heard.symptoms)}
    assert {each.id for each in heard.symptoms} == {each.id for each in Listening().heard(SAID, RULES).symptoms}
    assert sit(papers.scored[0], Mode.words, RULES, listening).diagnosis is not None


def test_words_that_nobody_said_are_not_heard(papers, tmp_path):
    listening = listening_with(papers, RULES, recorded=recorded(tmp_path, "froths like cola"))

    assert listening.heard(SAID, RULES) == Listening().heard(SAID, RULES)


def test_other_weights_hear_otherwise(papers):
    """The small ones of the tests know two symptoms of other rules."""
    text = "the salt light is on again, the water has gone green and the jets are weak"
    small = listening_with(papers, RULES, weights=SMALL)

    assert {each.id for each in small.heard(text, RULES).pieces} < {
        each.id for each in Listening().heard(text, RULES).pieces
    }


def test_what_cannot_be_heard_with_is_refused(papers, tmp_path):
    """With exit code 2: no weights, answers to other sheets, and a form, which is not heard."""
    other = recorded(tmp_path, id="B-7")
    for words, told in (
        (("--mode", "words", "--weights", "calls.jsonl"), "cannot be read"),
        (("--mode", "words", "--recorded", other.name), "no answer is for a sheet"),
        (("--recorded", other.name), "a form is not heard"),
    ):
        done = command("cases", "exam", "calls.jsonl", *words, at=tmp_path)
        assert done.returncode == 2
        assert told in done.stderr
