"""A call is kept, listed, found again, followed up and closed; the same on both databases."""

from dataclasses import replace

import pytest
from sample_calls import MARA, RAIN, TINGLE, diagnosed, plain_call

from saltriage.desk.call import CallOutcome, Doing, NamedId, Person
from saltriage.desk.checking import check_desk
from saltriage.errors import UsageRefused


def test_a_call_comes_back_as_it_was_kept(desk, knowledge):
    """Case, diagnosis, dangers, promises and person."""
    for data in (RAIN, TINGLE):
        call = diagnosed(data, knowledge, MARA)
        kept = desk.take(call)

        assert desk.call(kept.number) == call
        assert desk.call(kept.number).last.fingerprint == knowledge.fingerprint
    assert check_desk(desk.connected) == (2, [])


def test_of_every_day_the_newest_are_listed(desk, knowledge):
    """However many dangers there were before; among the newest dangers come first."""
    for day, data in enumerate((TINGLE, TINGLE, RAIN, TINGLE, RAIN), 1):
        desk.take(replace(diagnosed(data, knowledge), taken=f"2026-11-{day:02d}T10:00:00Z"))

    assert [each.number for each in desk.newest(3)] == [4, 5, 3]


def test_dangers_stand_first(desk, knowledge):
    """In lists of today, of open calls and of what is due, whatever came before or after."""
    before, danger, after = (desk.take(diagnosed(each, knowledge)).number for each in (RAIN, TINGLE, RAIN))

    assert desk.call(danger).last.danger == "life"
    assert [each.number for each in desk.since("")] == [danger, after, before]
    assert [each.number for each in desk.open()] == [danger, before, after]
    assert [each.danger for each in desk.open()] == ["life", "", ""]


def test_who_rings_again_is_found_by_number(desk):
    """With or without the country, however the digits are set apart; another number is another person."""
    first = desk.take(plain_call(1, MARA))
    again = desk.take(plain_call(2, Person(phone="+49 (171) 5550134"), taken="2026-12-02T10:00:00Z"))
    desk.take(plain_call(3, Person("Mara Tolben", "0171 555 0135")))

    assert again.person == MARA
    for typed in ("0171 555 0134", "+49 171 5550134", "0049-171-555-0134", "1715550134", "555 0134"):
        assert [each.number for each in desk.calls_from(typed)] == [again.number, first.number], typed
    assert desk.calls_from("0134") == []


def test_two_people_on_one_number_are_asked_apart(desk):
    """A name tells them apart; without one nothing is guessed and nothing kept."""
    desk.take(plain_call(1, MARA))
    other = desk.take(plain_call(2, replace(MARA, name="Jon Tolben")))

    with pytest.raises(UsageRefused, match=r"'Mara Tolben', 'Jon Tolben'.*--name"):
        desk.take(plain_call(3, Person(phone=MARA.phone)))
    assert other.person.name == "Jon Tolben"
    assert len(desk.since("")) == 2


def test_what_is_told_later_of_a_person_counts_for_earlier_calls(desk):
    """A name that comes with the second call finds the first one."""
    first = desk.take(plain_call(1, Person(phone=MARA.phone)))
    second = desk.take(plain_call(2, MARA))

    assert {each.number for each in desk.find("tolben")} == {first.number, second.number}
    assert check_desk(desk.connected) == (2, [])


def test_a_follow_up_is_due_when_it_was_promised(desk, knowledge):
    """After doing it; asking ticks it off, closing takes it from the list."""
    call = desk.take(diagnosed(RAIN, knowledge))
    promised = call.due[0]
    assert promised.due > call.taken

    done = desk.did(call.number, [Doing(promised.action, "26 kg", "2030-01-01T08:00:00Z", "kim")], "kim")
    moved = next(each for each in done.due if each.action == promised.action)
    assert moved.due.startswith("2030-01-0")
    assert all(each.due.action != promised.action for each in desk.due("2029-12-31T00:00:00Z"))
    late = "2030-02-01T00:00:00Z"
    assert {each.due.action for each in desk.due(late)} == {each.action for each in call.due}
    looked, over = desk.looked(call.number, "kim", late)
    assert len(over) == len(call.due)
    assert all(each.looked and each.by == "kim" for each in looked.due)
    assert desk.due(late) == []
    with pytest.raises(UsageRefused, match="no follow-up is due"):
        desk.looked(call.number, "kim", late)
    assert desk.call(call.number).doings == done.doings


def test_a_closed_call_says_what_came_of_it(desk):
    """It leaves the open ones, is found by its confirmed cause, and is changed only after it was opened again."""
    call = desk.take(plain_call(1))
    end = CallOutcome((NamedId("salt-too-low", "Salt was lost"),), "test", "2026-12-01", "lee", (), (), "drop test")
    closed = desk.close(call.number, end, seen=1)

    assert (closed.outcome, closed.version, closed.is_open) == (end, 2, False)
    assert desk.open() == []
    assert [each.number for each in desk.of_cause("salt-too-low")] == [call.number]
    assert [each.number for each in desk.of_cause("a")] == [call.number]  # its likeliest
    assert [each.number for each in desk.find("salt lost")] == [call.number]
    for change in (
        lambda: desk.close(call.number, end),
        lambda: desk.revise(call.number, plain_call(2), "kim", 2),
        lambda: desk.did(call.number, [], "kim"),
    ):
        with pytest.raises(UsageRefused, match=f"desk reopen {call.number}"):
            change()
    assert desk.reopen(call.number, "kim").version == 3
    assert desk.of_cause("salt-too-low") == []
    assert check_desk(desk.connected) == (1, [])


def test_no_call_of_this_number(desk):
    """Said so, whatever the number."""
    for number in (1, 2**31, 2**70, -1, 0):
        with pytest.raises(UsageRefused, match=f"there is no call {number}"):
            desk.call(number)
        with pytest.raises(UsageRefused, match=f"there is no call {number}"):
            desk.note(number, "x", "kim")
