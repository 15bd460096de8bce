"""The interview as data: answers, undo, what is given up, stop rules, endings, saving."""

import json

import pytest

from saltriage.case import load_case_text
from saltriage.errors import CaseRefused
from saltriage.guard import danger_look
from saltriage.interview import Ending, Interview, Question
from saltriage.interview.complaints import common_complaints
from saltriage.interview.saved import interview_of_text, saved_text
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def begun(**said: str) -> Interview:
    return Interview.start(KNOWLEDGE).answer({key.replace("_", "-"): answer for key, answer in said.items()})


def asked(interview: Interview) -> Question:
    question = interview.next_question()
    assert question is not None
    return question


def test_an_answer_makes_a_new_interview() -> None:
    """The old one stays as it was."""
    first = Interview.start(KNOWLEDGE)
    second = first.answer({"low-salt-warning": "yes"})

    assert (first.case.symptoms, dict(second.case.symptoms)) == ({}, {"low-salt-warning": True})


def test_a_question_that_was_answered_is_not_asked_again() -> None:
    """Neither after an answer nor after 'don't know' or 'can't now'."""
    for answer in ("no", "unknown", "later"):
        interview, seen = begun(low_salt_warning="yes"), set()
        for _ in range(6):
            question = interview.next_question()
            if question is None:
                break
            ids = {item.id for item in question.items}
            assert not ids & seen, answer
            seen |= ids
            said = {item.id: answer if item.kind == "symptom" or answer != "no" else "later" for item in question.items}
            interview = interview.answer(said, question)
        assert len(seen) > 3


def test_a_line_of_a_list_without_an_answer_was_not_settled() -> None:
    """It counts as 'can't now', never as no."""
    interview = begun(low_salt_warning="yes")
    question = asked(interview)
    first, *others = [item.id for item in question.items]
    assert others

    interview = interview.answer({first: "yes"}, question)

    assert set(others) <= interview.skipped
    assert not set(others) & set(interview.case.symptoms)


def test_undo_takes_back_one_step_and_the_next_question_is_the_same() -> None:
    """Undoing everything gives the beginning."""
    interview = begun(low_salt_warning="yes")
    question = asked(interview)
    later = interview.answer({item.id: "no" for item in question.items if item.kind == "symptom"}, question)

    assert later.undo() == interview
    assert asked(later.undo()).id == question.id
    assert later.undo().undo() == Interview.start(KNOWLEDGE) == later.undo().undo().undo()


def test_a_refused_answer_takes_nothing() -> None:
    """A list of answers of which one cannot be is refused whole."""
    interview = begun(low_salt_warning="yes")

    with pytest.raises(CaseRefused, match="ph"):
        interview.answer({"foam": "yes", "ph": "19"})
    with pytest.raises(CaseRefused, match="unknown id"):
        interview.answer({"no-such-thing": "yes"})
    assert dict(interview.case.symptoms) == {"low-salt-warning": True}


def test_a_stop_rule_ends_it_at_once() -> None:
    """A tingle in the water: nothing more is asked, not even by somebody who insists."""
    interview = begun(low_salt_warning="yes").answer({"tingle": "yes"})

    assert interview.next_question() is None
    assert interview.standing.ending is Ending.stop
    assert interview.standing.stops
    assert interview.go_on().next_question() is None


def test_once_everybody_is_safe_what_is_known_already_is_asked() -> None:
    """The electrician wants to know it; nobody is sent to the plant, the water or a test for it."""
    interview = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe()
    look = set(danger_look(KNOWLEDGE))
    questions = []
    while (question := interview.next_question()) is not None:
        questions.append(question)
        interview = interview.answer({item.id: "unknown" for item in question.items}, question)

    assert {item.id for item in questions[0].items} < look, "the dangers of other kinds come first"
    assert "danger-electricity" not in {item.id for item in questions[0].items}
    assert len(questions) > 1
    assert interview.standing.stops
    for question in questions[1:]:
        assert question.from_memory
        assert not look & {item.id for item in question.items}
        assert question.is_numbers or question.risk == "none"
        for item in question.items:
            ask = (KNOWLEDGE.symptoms if item.kind == "symptom" else KNOWLEDGE.readings)[item.id].ask
            assert question.is_numbers or KNOWLEDGE.symptoms[item.id].kind != "test"
            assert item.kind == "reading" or (ask is not None and ask.needs == "" and ask.minutes <= 1)
            assert item.kind == "symptom" or item.ask.support == f"{item.title}: is the number known?"


def test_a_danger_that_comes_up_later_stops_it_again() -> None:
    """That all are safe was said of the tingle, not of the gas; kept and taken up again as well."""
    interview = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe()
    later = interview.answer({"danger-gas": "yes"})

    assert interview.next_question() is not None
    assert later.standing.ending is Ending.stop
    assert later.next_question() is None
    again = Interview.from_data(json.loads(json.dumps(interview.to_data())), KNOWLEDGE)
    assert again == interview
    assert again.answer({"danger-gas": "yes"}).standing.ending is Ending.stop
    assert later.all_safe().next_question() is not None


def test_words_that_may_tell_another_danger_are_asked_back_though_all_were_safe() -> None:
    interview = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe()
    question = interview.told("my daughter feels dizzy and coughs").next_question()

    assert question is not None
    assert [item.id for item in question.items] == ["danger-gas"]
    assert question.words


def test_what_is_denied_and_told_anew_is_another_danger() -> None:
    interview = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe().answer({"tingle": "no"})

    assert interview.standing.ending is None
    assert interview.answer({"tingle": "yes"}).standing.ending is Ending.stop


def test_that_all_are_safe_is_a_step_that_can_be_taken_back() -> None:
    """Not with the question after it, and without what was told before it."""
    stopped = begun(low_salt_warning="yes").answer({"tingle": "yes"})
    interview = stopped.all_safe()
    question = asked(interview)

    later = interview.answer({item.id: "unknown" for item in question.items}, question)

    assert later.undo() == interview
    assert later.undo().next_question() is not None
    assert later.undo().undo() == stopped


@pytest.mark.parametrize("safe", ["stop-tingle", [1], None, {}])
def test_stops_that_are_no_list_of_ids_are_refused(safe: object) -> None:
    data = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe().to_data()
    data["steps"][-1]["safe"] = safe
    with pytest.raises(CaseRefused, match="another form"):
        Interview.from_data(data, KNOWLEDGE)


def test_no_stop_is_safe_before_it_stands() -> None:
    """Neither an id that there is not nor one of a danger that nobody told."""
    data = begun(low_salt_warning="yes").answer({"tingle": "yes"}).all_safe().to_data()
    data["steps"][-1]["safe"] = ["no-such-stop", "stop-danger-gas"]

    assert Interview.from_data(data, KNOWLEDGE).safe == frozenset()


def test_it_ends_by_itself() -> None:
    """Truthful answers about one plain fault end it before patience does, with that fault first."""
    true = {"low-salt-warning", "heavy-rain", "salt-shown-low", "salt-falling", "salt-below-band", "cell-current-low"}
    interview = begun(low_salt_warning="yes")
    while (question := interview.next_question()) is not None:
        said: dict[str, object] = {item.id: "yes" if item.id in true else "no" for item in question.items}
        said |= {item.id: "later" for item in question.items if item.kind == "reading"}
        if any(item.id == "salt" for item in question.items):
            said["salt"] = "2100 ppm"
        interview = interview.answer(said, question)

    assert interview.standing.ending is not None
    assert interview.questions_asked <= 10
    assert interview.standing.leader in ("salt-diluted-by-rain", "salt-too-low", "rain-dilution")


def test_go_on_asks_more() -> None:
    """After the end somebody may still want to know more."""
    interview = begun(low_salt_warning="yes")
    while (question := interview.next_question()) is not None:
        interview = interview.answer({item.id: "unknown" for item in question.items}, question)

    assert interview.standing.ending is Ending.long
    assert interview.go_on().next_question() is not None


def test_a_reading_that_is_given_up_is_not_asked_for_as_a_yes_or_no() -> None:
    """Who cannot measure the salt cannot say whether it is below the band."""
    interview = begun(low_salt_warning="yes").answer({"salt": "later"})
    while (question := interview.next_question()) is not None:
        assert "salt-below-band" not in {item.id for item in question.items}
        interview = interview.answer({item.id: "later" for item in question.items}, question)


def test_what_would_change_is_what_does_change() -> None:
    """The reason given for a question is worked out with the same sums as the ranking."""
    interview = begun(low_salt_warning="yes")
    question = asked(interview)
    for change in interview.what_would_change(question)[:4]:
        then = interview.answer({change.item: change.answer}).standing

        assert change.leader == then.leader
        assert change.then == pytest.approx(then.chances[then.leader])


def test_data_and_back() -> None:
    """Through JSON, with what was given up and unknown."""
    interview = begun(low_salt_warning="yes", foam="unknown").answer({"salt": "2600 ppm", "ph": "later"})
    data = json.loads(json.dumps(interview.to_data()))

    assert Interview.from_data(data, KNOWLEDGE) == interview
    assert Interview.from_data(data, KNOWLEDGE).undo() == interview.undo()


@pytest.mark.parametrize("data", [None, [], {}, {"version": 1}, {"version": 1, "steps": [3], "beginning": {}}])
def test_other_data_is_refused(data: object) -> None:
    """By name, never with a traceback."""
    with pytest.raises(CaseRefused):
        Interview.from_data(data, KNOWLEDGE)


def test_a_saved_interview_is_a_case() -> None:
    """What is saved loads as a case, and as the same interview."""
    interview = begun(low_salt_warning="yes").answer({"salt": "2600 ppm", "ph": "later"})
    text = saved_text(interview)

    assert load_case_text(text, KNOWLEDGE) == interview.case
    assert interview_of_text(text, KNOWLEDGE) == interview


def test_a_case_changed_by_hand_counts_more_than_what_was_asked() -> None:
    """The case in the file is the truth; its interview begins anew."""
    text = saved_text(begun(low_salt_warning="yes")).replace("low-salt-warning: 'yes'", "low-salt-warning: 'no'", 1)
    again = interview_of_text(text, KNOWLEDGE)

    assert dict(again.case.symptoms) == {"low-salt-warning": False}
    assert again.steps == ()


def test_complaints_to_begin_with_are_complaints() -> None:
    """A short list, most frequent first, without double entries."""
    complaints = common_complaints(KNOWLEDGE)

    assert len(set(complaints)) == 12
    assert all(KNOWLEDGE.symptoms[each].silence_counts for each in complaints)
