"""Calls saved again and again by a page: kept once, never lost, each with the version that the change began with."""

from dataclasses import replace

import pytest
from at_once import at_once
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_calls import MARA, RAIN, diagnosed, plain_call
from sqlalchemy import func, select

from saltriage.desk.call import CallDiagnosis, CallOutcome, CauseLine, DueFollowUp, Person
from saltriage.desk.checking import check_desk
from saltriage.desk.forgetting import forget_calls
from saltriage.desk.opening import open_desk
from saltriage.desk.tables import people
from saltriage.errors import CallChanged, CallClosed, CallMissing

END = CallOutcome((), "caller", "2026-12-01", "lee")


def answered(call, **answers: str):
    return replace(call, case={**call.case, "symptoms": {**call.case.get("symptoms", {}), **answers}})


def person_rows(desk) -> int:
    with desk.connected.reading() as opened:
        return opened.scalar(select(func.count()).select_from(people)) or 0


def test_the_same_again_is_kept_once(desk):
    """As when the answer to a save was lost on the way."""
    first = plain_call(sheet={"notes": "son has the kit"}, ring_back="2026-12-01T17:00:00Z")

    assert desk.save(first, "kim", 0) == desk.save(first, "kim", 0) == first
    assert [each.version for each in desk.since("")] == [1]
    later = answered(first, foam="yes")
    assert desk.save(later, "kim", 1).version == desk.save(later, "kim", 1).version == 2
    assert desk.find("kit")[0].uid == first.uid
    assert check_desk(desk.connected) == (1, [])


def test_who_comes_too_late_is_told_who_changed_what(desk):
    kept = desk.save(plain_call(), "kim", 0)
    desk.save(replace(answered(kept, foam="yes"), ring_back="2026-12-01T17:00:00Z"), "lee", 1)

    with pytest.raises(CallChanged) as refused:
        desk.save(answered(kept, foam="no"), "kim", 1)

    assert (refused.value.seen, refused.value.now) == (1, 2)
    assert [(each.who, each.did, list(each.what)) for each in desk.changes(kept.number, 1)] == [
        ("lee", "revised", ["symptoms.foam", "ring-back"])
    ]
    assert desk.call(kept.number).case["symptoms"]["foam"] == "yes"


def test_a_first_save_of_a_call_that_is_there_is_too_late_as_well(desk):
    desk.save(plain_call(), "kim", 0)
    with pytest.raises(CallChanged):
        desk.save(answered(plain_call(), foam="no"), "kim", 0)


def test_a_closed_call_takes_no_more_until_it_is_reopened(desk):
    kept = desk.save(plain_call(), "kim", 0)
    closed = desk.close(kept.number, END)
    with pytest.raises(CallClosed):
        desk.save(answered(kept, foam="no"), "kim", closed.version)
    opened = desk.reopen(kept.number, "lee")
    assert desk.save(answered(kept, foam="no"), "kim", opened.version).case["symptoms"]["foam"] == "no"


@pytest.mark.parametrize("seen", [0, 1])
def test_a_late_save_brings_nothing_forgotten_back(desk, seen):
    """A page that was open somewhere still holds the call, and sends it."""
    kept = desk.save(plain_call(), "kim", 0)
    forget_calls(desk.connected, [kept.number], "lee")

    with pytest.raises(CallMissing, match="forgotten"):
        desk.save(answered(kept, foam="no"), "kim", seen)
    assert desk.since("") == []


def test_a_name_typed_letter_by_letter_is_one_person(desk):
    """The page saves what there is at any moment; the rows of people do not pile up."""
    call = plain_call()
    version = 0
    for end in range(1, len("0171 5550134") + 1):
        version = desk.save(replace(call, person=Person("Mara"[:end], "0171 5550134"[:end])), "kim", version).version

    assert person_rows(desk) == 1
    assert [each.name for each in desk.find("5550134")] == ["Mara"]
    assert check_desk(desk.connected) == (1, [])


def test_a_caller_who_rings_again_becomes_the_person_of_before(desk):
    """Once number and name are whole, however the number was typed; another name on the number is another person."""
    desk.take(plain_call(1, MARA))
    again = plain_call(2)
    version = desk.save(replace(again, person=Person("", "+49 171 555-0134")), "kim", 0).version
    assert person_rows(desk) == 2
    told = replace(again, person=Person("mara tolben", "+49 171 555-0134", "Lindenwyk, Mill Lane 4"))
    kept = desk.save(told, "kim", version)

    assert person_rows(desk) == 1
    assert kept.person == Person("Mara Tolben", "0171 555 0134", "Lindenwyk, Mill Lane 4")
    assert [each.number for each in desk.find("mill lane 4")] == [kept.number, 1]
    desk.save(replace(plain_call(3), person=Person("Jon Tolben", "0171 5550134")), "kim", 0)
    assert person_rows(desk) == 2
    assert len(desk.calls_from("01715550134")) == 3
    assert check_desk(desk.connected) == (3, [])


def test_taking_the_person_away_leaves_no_row(desk):
    kept = desk.save(plain_call(person=Person("Mara")), "kim", 0)
    assert desk.save(replace(kept, person=None), "kim", 1).person is None
    assert person_rows(desk) == 0


def found(made: str, cause: str) -> CallDiagnosis:
    return CallDiagnosis(made, "f00d", "1.0.0", "cause", (CauseLine(cause, cause, 0.7),))


def test_diagnoses_of_one_talk_are_one(desk):
    """Not one for every letter; one of the next day stands beside it."""
    first = plain_call(findings=(found("2026-11-30T10:00:00Z", "a"),))
    version = desk.save(first, "kim", 0).version
    for made, cause, left in (
        ("2026-11-30T10:00:05Z", "b", ["b"]), ("2026-11-30T11:59:59Z", "c", ["c"]),
        ("2026-12-01T09:00:00Z", "d", ["c", "d"]),
    ):  # fmt: skip
        kept = desk.save(replace(answered(first, foam=made), findings=(found(made, cause),)), "kim", version)
        version = kept.version
        assert [each.causes[0].cause for each in kept.findings] == left


def test_what_was_looked_after_stays_and_the_rest_is_promised_anew(desk):
    promise = DueFollowUp("add-salt", "Add salt", "Salt rises", 24.0, "2026-11-30T12:00:00Z")
    other = replace(promise, action="brush", title="Brush", due="2026-12-01T12:00:00Z")
    call = desk.save(plain_call(due=(promise, other)), "kim", 0)
    desk.looked(call.number, "lee", "2026-11-30T12:00:00Z")
    fresh = (replace(promise, title="Add more"), replace(other, title="Brush twice"))
    kept = desk.save(answered(replace(call, due=fresh), foam="yes"), "kim", 1)

    assert [(each.title, bool(each.looked)) for each in kept.due] == [("Add salt", True), ("Brush twice", False)]


def test_ringing_back_is_due_and_ticked_off(desk):
    call = desk.save(plain_call(ring_back="2026-11-30T18:00:00Z"), "kim", 0)
    desk.save(plain_call(2, ring_back="2026-12-24T18:00:00Z"), "kim", 0)

    assert [(each.call.number, each.due.title) for each in desk.due("2026-11-30T23:00:00Z")] == [(1, "Ring back")]
    kept, over = desk.looked(call.number, "lee", "2026-11-30T23:00:00Z")
    assert (kept.ring_back, over) == ("", [])
    assert desk.due("2026-11-30T23:00:00Z") == []


STEPS = st.lists(
    st.tuples(st.sampled_from(("kim", "lee")), st.sampled_from(("answer", "again", "stale")), st.integers(0, 2)),
    max_size=20,
)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(steps=STEPS)
def test_no_answer_is_lost_however_pages_take_turns(kind, homes, steps):
    """A page that is told 'changed' puts its answer on what is there now; what was acknowledged stands in the end."""
    desk = open_desk(homes.fresh(kind))
    call = desk.save(plain_call(), "kim", 0)
    held = {"kim": call, "lee": call}
    last: dict[str, tuple] = {}
    model = dict(call.case["symptoms"])
    for place, (who, does, key) in enumerate(steps):
        if does == "again" and who in last:  # the answer to a save was lost: it is sent once more
            mine, seen = last[who]
            if desk.call(call.number).case == mine.case:
                assert desk.save(mine, who, seen).version == desk.call(call.number).version
            continue
        name, value = f"answer-{key}", f"{who} {place}"
        try:
            mine, seen = answered(held[who], **{name: value}), held[who].version
            held[who] = desk.save(mine, who, seen)
        except CallChanged:
            now = desk.call(call.number)
            mine, seen = answered(now, **{name: value}), now.version
            held[who] = desk.save(mine, who, seen)
        last[who] = (mine, seen)
        model[name] = value
        if does == "stale":
            held[who] = call
    now = desk.call(call.number)
    assert now.case["symptoms"] == model
    assert check_desk(desk.connected)[1] == []


def test_two_first_saves_at_one_moment_make_one_call(desk, address):
    """As from a page that gave up waiting and sent again."""
    done = at_once(*[lambda: open_desk(address).save(plain_call(), "kim", 0).number] * 6)
    assert set(done) == {1}
    assert check_desk(desk.connected) == (1, [])


def test_what_was_not_understood_is_kept_with_the_call(desk, knowledge):
    """It feeds the list of what the readers are to learn."""
    call = diagnosed({**RAIN, "said": "the low salt light is on. My uncle Bert plays the tuba."}, knowledge)

    assert any("tuba" in words for words in call.unheard)
    assert desk.call(desk.take(call).number).unheard == call.unheard
