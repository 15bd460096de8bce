"""The caller's words as a whole among the evidence: told as such, never the whole ground for being sure."""

from dataclasses import replace
from pathlib import Path

import pytest

from saltriage.case import Case
from saltriage.diagnosis import diagnose, examine
from saltriage.interview import Interview
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.report.diagnosis.text import diagnosis_text

ROOT = Path(__file__).parents[2]
RAINED = "We had rain all week and the water went over the edge. Since then the salt is low."


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def case(rules: Knowledge, said: str = "", **data: object) -> Case:
    return Case.from_data({"case": "told", "said": said, **data}, rules)


def test_words_alone_name_a_likely_cause_and_say_why(rules: Knowledge) -> None:
    """Its evidence is the words, weighed as the ranking without them shows."""
    found = diagnose(case(rules, RAINED), rules)

    first = found.causes[0]
    assert first.cause == "salt-diluted-by-rain"
    words = [line for line in first.evidence_for if line.kind == "words"]
    assert len(words) == 1
    before = diagnose(case(rules), rules).posteriors[first.cause]
    odds = first.probability / (1 - first.probability)
    judged = 1 - rules.scales.misjudged
    found_odds, odds_before = (chance / judged / (1 - chance / judged) for chance in (first.probability, before))
    assert words[0].factor == pytest.approx(found_odds / odds_before, rel=1e-6)
    assert odds > before / (1 - before)
    assert "Callers with it speak like this one" in diagnosis_text(found, full=True)


def test_what_speaks_otherwise_is_against(rules: Knowledge) -> None:
    told = replace(rules, accounts=lambda text: {"cold-water": 0.5})
    found = diagnose(case(told, RAINED, symptoms={"low-salt-warning": "yes", "water-cold": "yes"}), told)

    lines = [line for cause in found.causes for line in cause.evidence_against if line.kind == "words"]
    assert lines
    assert {line.title for line in lines} == {"Callers with it mostly speak otherwise"}


def test_without_words_nothing_changes(rules: Knowledge) -> None:
    """Nor where a reader says nothing of any cause."""
    known = {"symptoms": {"low-salt-warning": "yes", "heavy-rain": "yes"}}
    silent = examine(case(rules, **known), rules)
    deaf = examine(case(rules, RAINED, **known), replace(rules, accounts=lambda text: {}))

    assert deaf.chances == silent.chances
    assert not silent.spoken_for
    assert examine(case(rules, RAINED, **known), rules).chances != silent.chances


def test_no_talk_ends_on_words_alone(rules: Knowledge) -> None:
    """However sure they make one cause, it is tested by questions first."""
    sure = replace(rules, accounts=lambda text: {"salt-diluted-by-rain": 1000.0})
    interview = Interview.start(sure, Case.from_data({"case": "told"}, sure))
    interview = interview.answer({"heavy-rain": "yes"}, words=RAINED)
    assert interview.standing.chances["salt-diluted-by-rain"] > sure.asking.sure

    asked = 0
    while (question := interview.next_question()) is not None:
        asked += 1
        interview = interview.answer({item.id: "unknown" for item in question.items}, question)
    assert asked >= sure.asking.answered.questions_after_words > 0
