"""An interview asks for danger before everything else, and asks back what words may mean."""

from pathlib import Path

import pytest

from saltriage.case import Case
from saltriage.guard import danger_look
from saltriage.interview import Ending, Interview
from saltriage.knowledge import Knowledge, load_knowledge

ROOT = Path(__file__).parents[2]
LONGEST_LOOK_MINUTES = 0.1  # six seconds
MOST_ROWS = 7


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def opened(interview: Interview) -> Interview:
    """Past the look, with none of it."""
    question = interview.next_question()
    assert question is not None
    return interview.answer({item.id: "no" for item in question.items}, question)


def test_the_look_comes_first_whatever_was_told(rules: Knowledge) -> None:
    """Seven lines at most, six seconds at most, and no question that counts against patience."""
    for interview in (Interview.start(rules), Interview.start(rules).answer({"low-salt-warning": "yes"})):
        question = interview.next_question()

        assert question is not None
        assert [item.id for item in question.items] == list(danger_look(rules))
        assert len(question.items) <= MOST_ROWS
        assert question.minutes <= LONGEST_LOOK_MINUTES
    after = opened(Interview.start(rules).answer({"low-salt-warning": "yes"}))
    assert after.questions_asked == 0
    following = after.next_question()
    assert following is not None
    assert not {item.id for item in following.items} & set(danger_look(rules))


def test_an_imported_case_may_skip_it(rules: Knowledge) -> None:
    case = Case.from_data({"symptoms": {"low-salt-warning": "yes"}}, rules)
    question = Interview.start(rules, case).next_question()

    assert question is not None
    assert not {item.id for item in question.items} & set(danger_look(rules))


@pytest.mark.parametrize("answer", ["unknown", "later"])
def test_a_look_that_was_passed_over_is_not_asked_again(rules: Knowledge, answer: str) -> None:
    interview = Interview.start(rules).answer({"low-salt-warning": "yes"})
    question = interview.next_question()
    assert question is not None
    following = interview.answer({item.id: answer for item in question.items}, question).next_question()

    assert following is not None
    assert not {item.id for item in following.items} & set(danger_look(rules))


def test_every_row_ends_the_interview_with_orders_or_keeps_people_out(rules: Knowledge) -> None:
    for row in danger_look(rules):
        standing = Interview.start(rules).answer({row: "yes"}).standing

        assert standing.stops
        assert standing.orders
        assert (standing.ending is Ending.stop) is (standing.stops[0].level != "unfit")


def test_words_that_surely_tell_a_danger_stop_at_once_and_go_on_when_denied(rules: Knowledge) -> None:
    interview = Interview.start(rules).told("low salt. and every time I grab the ladder I get a tingle up my arm")

    assert interview.standing.ending is Ending.stop
    assert interview.standing.stops[0].sure == "heard"
    assert "tingle" in interview.standing.stops[0].words
    assert interview.answer({"danger-electricity": "no"}).standing.ending is None


def test_words_that_may_tell_one_are_asked_back_in_one_line_and_the_call_goes_on(rules: Knowledge) -> None:
    """Before the look and before every other question; after a no the call goes on."""
    interview = Interview.start(rules).told("Can it be that the box is a little bit warm when I touch?")
    question = interview.next_question()

    assert question is not None
    assert len(question.items) == 1
    assert question.words
    after = interview.answer({question.items[0].id: "no"}, question)
    assert after.standing.ending is None
    following = after.next_question()
    assert following is not None
    assert not following.words


def test_words_are_kept_with_the_interview(rules: Knowledge) -> None:
    """Saved and gone on with, undone, and never changed."""
    interview = Interview.start(rules).told("the rail bites when I am wet").answer({"low-salt-warning": "yes"})
    again = Interview.from_data(interview.to_data(), rules)

    assert again.case.said == interview.case.said == "the rail bites when I am wet"
    assert interview.undo().undo().case.said == ""
