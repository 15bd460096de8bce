"""The three modes: what the program is given, what it asks, and what becomes of what cannot be believed."""

from typing import Any

import pytest
from calls import RAIN, form, key, sheet, written

from saltriage.exam import Mode, Paper, Sitting, answers_shown, read_papers, sit
from saltriage.exam.sitting import MOST_ASKED
from saltriage.guard import danger_look
from saltriage.knowledge import load_knowledge

RULES = load_knowledge()


@pytest.fixture
def paper(tmp_path):
    """A paper with changes to its sheet and form."""

    def made(*, said: str = RAIN, **of_form: Any) -> Paper:
        files = written(tmp_path, [sheet(said=said)], [form(**of_form)], [key()])
        return read_papers([files], RULES).scored[0]

    return made


def told(sitting: Sitting) -> dict[str, bool]:
    assert sitting.diagnosis is not None
    return {each.symptom: each.present for each in sitting.diagnosis.answers if each.origin == "told"}


def numbers(sitting: Sitting) -> set[str]:
    assert sitting.diagnosis is not None
    return {each.reading for each in sitting.diagnosis.readings if each.origin in ("told", "setting")}


def test_the_form_holds_everything(paper):
    sitting = sit(paper(), Mode.form, RULES)

    assert set(told(sitting)) == {"heavy-rain", "overflowed-in-rain", "low-salt-warning", "plates-scaled"}
    assert {"salt", "pool-volume", "cell-age"} <= numbers(sitting)
    assert answers_shown(sitting.diagnosis)[0] == "salt-diluted-by-rain"
    assert (sitting.talk, sitting.refusals) == (None, ())


def test_words_are_heard_and_the_pool_is_on_file(paper):
    """Nothing that the form got from a question, and nothing that the clerk understood and the program did not."""
    sitting = sit(paper(), Mode.words, RULES)
    deaf = sit(paper(said="Good morning to you."), Mode.words, RULES)

    assert "plates-scaled" not in told(sitting)
    assert told(sitting)["low-salt-warning"]
    assert numbers(sitting) == numbers(deaf) == {"pool-volume", "cell-age"}
    assert told(deaf) == {}


def test_readings_in_the_words_are_heard(paper):
    assert "salt" in numbers(sit(paper(said="Low salt light, salt is 2300 ppm by drops"), Mode.words, RULES))


def test_a_talk_asks_and_the_form_answers(paper):
    sitting = sit(paper(), Mode.talk, RULES)
    talk = sitting.talk

    assert talk is not None
    assert 0 < talk.questions <= MOST_ASKED
    assert talk.minutes > 0
    assert 0 <= talk.answerable <= talk.lines
    assert talk.facts == 2
    assert talk.facts_asked_for <= talk.facts_told <= talk.facts
    assert set(told(sitting)) <= {fact.id for fact in paper().form.facts} | set(told(sit(paper(), Mode.words, RULES)))


def test_a_silent_form_leaves_everything_unknown(paper):
    """The look for dangers comes first, and no answer is made up for it."""
    sitting = sit(paper(facts=[], said="It does not work."), Mode.talk, RULES)

    assert sitting.talk is not None
    assert (sitting.talk.answerable, sitting.talk.facts) == (0, 0)
    assert not {*told(sitting)} & set(danger_look(RULES))
    assert not sitting.stop


def test_a_danger_that_the_form_holds_is_found_by_the_look(paper):
    """It stops the talk, though the opening words say nothing of it; once its orders are carried out it goes on."""
    danger = danger_look(RULES)[0]
    facts = [{"from": "asked", "ask": 0, "symptom": danger, "answer": "yes"}]
    sitting = sit(paper(facts=facts, said="The low salt light is on."), Mode.talk, RULES)

    assert sitting.talk is not None
    assert sitting.stop in ("life", "harm")
    assert sitting.talk.questions > 1
    assert sitting.talk.ending != "stop"
    assert (sitting.talk.facts, sitting.talk.facts_asked_for) == (1, 1)


def test_a_danger_in_the_words_is_raised_in_every_mode(paper):
    for mode in Mode:
        sitting = sit(paper(said="My boy got a shock from the ladder, he is still in the water."), mode, RULES)
        assert sitting.stop or sitting.asked_back


def test_a_form_that_cannot_be_believed_is_refused(paper):
    """As a case file is; its reason is told."""
    impossible = [{"from": "asked", "ask": 0, "reading": "ph", "value": 70, "unit": ""}]
    sitting = sit(paper(facts=impossible), Mode.form, RULES)

    assert sitting.diagnosis is None
    assert "readings.ph" in sitting.refusals[0]


def test_what_is_refused_in_a_talk_is_left_out_and_told(paper):
    """A number that cannot be: what was said beside it still counts."""
    sitting = sit(paper(said="The low salt light is on, the water is 400 F, it rained a lot"), Mode.words, RULES)
    heard = sit(paper(said="The low salt light is on, it rained a lot"), Mode.words, RULES)

    assert told(sitting) == told(heard) != {}
    assert [text.split(": found ")[0] for text in sitting.refusals] == ["readings.water-temperature.value"]
    assert "pool-volume" in numbers(sitting)  # as it is on file


def test_what_is_on_file_is_told_once(paper):
    """A clerk who ticks the volume again does not get the case refused."""
    again = [{"from": "asked", "ask": 0, "reading": "pool-volume", "value": 42, "unit": "m3"}]

    assert sit(paper(facts=again), Mode.form, RULES).refusals == ()
