"""Two agents on one call: no answer that was acknowledged is lost, and who comes too late is told what changed."""

from dataclasses import replace
from functools import partial

import pytest
from at_once import at_once
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_calls import RAIN, diagnosed, plain_call

from saltriage.desk.call import CallOutcome
from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.errors import CallChanged

END = CallOutcome((), "caller", "2026-12-01", "lee")


def with_answer(call, key: str, answer: str):
    """The call with one more answer."""
    return replace(call, case={**call.case, "symptoms": {**call.case.get("symptoms", {}), key: answer}})


def test_who_comes_too_late_is_told_what_changed(desk, knowledge):
    """By whom, which fields, and what to do; nothing of the late change is written."""
    call = desk.take(diagnosed(RAIN, knowledge))
    desk.revise(call.number, with_answer(call, "refilled-lately", "yes"), "lee", seen=1)
    desk.close(call.number, END)

    with pytest.raises(CallChanged) as refused:
        desk.revise(call.number, with_answer(call, "water-level-falls", "yes"), "kim", seen=1)

    told = str(refused.value)
    assert (refused.value.seen, refused.value.now) == (1, 3)
    assert "lee revised: symptoms.refilled-lately" in told
    assert "lee closed" in told
    assert f"desk show {call.number}" in told
    assert "--seen 3" in told
    assert "yes" not in told.replace("yesterday", "")  # fields, never what they hold
    assert "water-level-falls" not in desk.call(call.number).case["symptoms"]


def test_notes_stand_beside_each_other(desk):
    """Both agents' notes are kept, and neither makes the other read again."""
    call = desk.take(plain_call())
    desk.note(call.number, "one", "kim")
    desk.note(call.number, "two", "lee")

    assert [each.text for each in desk.call(call.number).notes] == ["one", "two"]
    assert desk.revise(call.number, with_answer(call, "heavy-rain", "no"), "kim", seen=1).version == 2
    assert [each.text for each in desk.call(call.number).notes] == ["one", "two"]


STEPS = st.lists(
    st.tuples(st.sampled_from(("kim", "lee", "sam")), st.sampled_from(("read", "answer", "note"))), max_size=25
)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(steps=STEPS)
def test_no_answer_is_lost_however_writers_take_turns(kind, homes, steps):
    """Each agent reads when he likes and writes on what he read; what was acknowledged stands in the end."""
    desk = open_desk(homes.fresh(kind))
    call = desk.take(plain_call())
    read = dict.fromkeys(("kim", "lee", "sam"), call)
    answers, notes = dict(call.case["symptoms"]), []
    for place, (who, does) in enumerate(steps):
        if does == "read":
            read[who] = desk.call(call.number)
        elif does == "note":
            desk.note(call.number, f"note {place}", who)
            notes.append(f"note {place}")
        else:
            late = read[who].version != desk.call(call.number).version
            key = f"answer-{place}"
            mine = with_answer(read[who], key, who)
            if late:
                with pytest.raises(CallChanged) as refused:
                    desk.revise(call.number, mine, who, read[who].version)
                assert refused.value.changes
            else:
                read[who] = desk.revise(call.number, mine, who, read[who].version)
                answers[key] = who
    now = desk.call(call.number)
    assert now.case["symptoms"] == answers
    assert [each.text for each in now.notes] == notes
    assert check_desk(desk.connected)[1] == []


def test_no_answer_is_lost_by_writers_at_the_same_moment(kind, homes):
    """Eight at once, each trying until its answer is taken; and each writes a note that needs no second try."""
    desk = open_desk(homes.fresh(kind))
    number = desk.take(plain_call()).number

    def work(name: str) -> None:
        mine = open_desk(homes_address(desk))
        mine.note(number, name, name)
        while True:
            now = mine.call(number)
            try:
                mine.revise(number, with_answer(now, f"answer-{name}", "yes"), name, now.version)
                return
            except CallChanged:
                continue

    names = [f"agent{place}" for place in range(8)]
    at_once(*(partial(work, name) for name in names))

    call = desk.call(number)
    assert {f"answer-{name}" for name in names} <= call.case["symptoms"].keys()
    assert sorted(each.text for each in call.notes) == names
    assert call.version == 1 + len(names)
    assert check_desk(desk.connected)[1] == []


def homes_address(desk) -> str:
    """Where a desk lies, to open it once more."""
    return desk.connected.place.url.render_as_string(hide_password=False)


def test_calls_at_once_from_one_new_number_are_one_person(kind, homes):
    """Two agents type the same name and number at the same moment."""
    from sample_calls import MARA

    address = homes.fresh(kind)
    at_once(*(lambda place=place: open_desk(address).take(plain_call(place, MARA)) for place in range(1, 7)))

    desk = open_desk(address)
    assert len(desk.calls_from(MARA.phone)) == 6
    with desk.connected.reading() as opened:
        assert opened.exec_driver_sql("SELECT count(*) FROM people").scalar() == 1
    assert check_desk(desk.connected)[1] == []
