"""The short report: few words, one order, no caution lost, no double negative, no opposites."""

import re
from collections.abc import Iterator
from dataclasses import replace
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_cases import reported, rules

from saltriage.explain.conclusion import CAUSE, CONTRADICTORY, NOT_ENOUGH, NOTHING_WRONG
from saltriage.report.diagnosis.choice import MOST_FACTS, MOST_NOW, MOST_OTHERS, MOST_THEN, ReportChoice
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.report.shared.danger_lines import hides_advice
from saltriage.report.shared.reader_words import evidence_groups
from saltriage.report.shared.state_words import state_text
from saltriage.result import (
    AdvisedAction,
    Diagnosis,
    EvidenceLine,
    OrderLine,
    StateLine,
    StopNotice,
    WithheldAction,
    Wording,
)

ORDER = (
    "WHAT IS OFF", "READINGS TO DOUBT", "MOST LIKELY WHY", "DO THIS NOW", "THEN", "WHEN THE DANGER IS OVER",
    "ONLY AFTER A CHECK", "LATER", "NOT NOW",
    "NEXT, LOOK AT", "WHAT WOULD CHANGE THIS", "CAUTIONS", "READINGS USED",
)  # fmt: skip


def flat(text: str) -> str:
    return " ".join(text.split())


def told() -> Iterator[tuple[str, Diagnosis]]:
    """The sampled diagnoses in which an owner is told more than the danger."""
    return ((name, found) for name, _, found in reported() if not hides_advice(found.stops, "owner"))


def test_an_owner_reads_it_within_a_minute() -> None:
    """A median of 300 words at most, nine in ten within 450, none over 700."""
    words = sorted(len(diagnosis_text(found).split()) for _, _, found in reported())

    assert len(words) > 100
    assert median(words) <= 300
    assert words[int(0.9 * (len(words) - 1))] <= 450
    assert words[-1] <= 700


@pytest.mark.parametrize("reader", ["owner", "support"])
@pytest.mark.parametrize("full", [False, True])
def test_headings_stand_in_one_order(reader: str, full: bool) -> None:
    """What is off before why, why before what to do, and so on, whatever is left out."""
    seen = set()
    for name, found in told():
        lines = diagnosis_text(found, reader=reader, full=full).splitlines()
        headings = [line for line in lines if line in ORDER]

        assert headings == sorted(set(headings), key=ORDER.index), name
        assert "MOST LIKELY WHY" in headings
        seen |= set(headings)
    assert len(seen) >= len(ORDER) - 3  # the whole tells what is held back in one list


def test_an_owner_is_given_a_few_of_each() -> None:
    """At most four facts, a cause and two others, three actions of which one adds a chemical, three that follow."""
    for _, found in told():
        choice = ReportChoice(found, "owner")

        assert len(choice.facts) <= MOST_FACTS
        assert len(choice.others) <= MOST_OTHERS
        assert bool(choice.now) == bool(found.actions)
        assert len(choice.now) <= MOST_NOW
        assert sum(action.adds != "none" for action in choice.now) <= 1
        assert len(choice.then) <= MOST_THEN
        assert (*choice.now, *choice.later) == found.actions


@pytest.mark.parametrize("reader", ["owner", "support"])
def test_no_caution_of_a_shown_action_is_lost(reader: str) -> None:
    """Its title stands in the report, for what is to be done now as for what follows; whole notes in the full one."""
    checked = 0
    for name, found in told():
        choice, text = ReportChoice(found, reader), flat(diagnosis_text(found, reader=reader))
        # What stands by itself above the actions is there whole, without its title.
        told_as = {
            note.note: flat(note.say.for_reader(reader)) if note.by_itself else note.title for note in found.safety
        }
        for action in (*choice.now, *choice.then):
            assert action.title in text, name
            for note in action.safety:
                assert told_as[note] in text, (name, note)
                checked += 1
        whole = flat(diagnosis_text(found, reader=reader, full=True))
        assert all(flat(note.say.for_reader(reader)) in whole for note in found.safety), name
    assert checked > 100


def test_what_is_to_be_done_now_has_all_its_steps_and_its_dose() -> None:
    """But for tests in one line before the first work; that work itself always stands with its steps."""
    briefed = 0
    for name, found in told():
        text, choice = flat(diagnosis_text(found)), ReportChoice(found, "owner")
        briefed += len(choice.in_brief)
        assert not choice.now or set(choice.now) - set(choice.in_brief), name
        for action in choice.now:
            if action not in choice.in_brief:
                assert all(flat(step) in text for step in action.steps_owner), name
            assert not (action.dose and action.dose.computed) or flat(action.dose.product) in text, name
    assert briefed


def test_a_danger_is_told_whole() -> None:
    """Every order, what each danger says where it stands alone, until when, and why."""
    stopped = [(name, found) for name, _, found in reported() if found.stops]
    assert len(stopped) > 20
    for name, found in stopped:
        text = flat(diagnosis_text(found))
        grave = [stop for stop in found.stops if stop.level != "unfit"]
        assert all(flat(order.say.owner) in text for order in found.orders if grave), name
        assert all(flat(stop.until.owner) in text and stop.title in text for stop in found.stops), name
        assert all(flat(stop.say.owner) in text for stop in found.stops if stop.level == "unfit" or stop in grave[:1])


def test_the_full_report_leaves_nothing_out() -> None:
    """Causes, reasons, sums, steps, checks, what is held back."""
    for name, found in told():
        text = flat(diagnosis_text(found, full=True))
        wanted = [cause.explain.owner for cause in found.causes] + [cause.settle.owner for cause in found.causes]
        wanted += [state.title for state in found.states if state.standing == "proven"]
        wanted += [step for action in found.actions for step in action.steps_owner]
        wanted += [action.why.owner for action in found.actions]
        wanted += [line for action in found.actions if action.dose for line in action.dose.arithmetic]
        wanted += [check.ask.owner for check in found.next_checks]
        wanted += [held.title for held in found.withheld]
        for each in wanted:
            assert flat(each) in text, (name, each)


lines_of_evidence = st.lists(
    st.builds(
        EvidenceLine,
        symptom=st.just("s"),
        title=st.text("abc", min_size=1, max_size=3),
        present=st.booleans(),
        factor=st.floats(0.01, 100).filter(lambda factor: factor != 1),
    ),
    max_size=8,
)


@given(lines_of_evidence, st.sampled_from(["owner", "support"]), st.booleans())
def test_what_is_absent_never_stands_plainly_beside_for_or_against(
    evidence: list[EvidenceLine], reader: str, full: bool
) -> None:
    """'For it: no sign of ...' reads as a double negative; the lead says that they are absent."""
    groups = evidence_groups(evidence, reader, full=full)

    for lead, found in groups:
        assert {one.present for one in found} == {"absent" not in lead}
        assert {one.factor > 1 for one in found} == {lead.startswith("For it")}
    if reader == "support" and full:
        assert sum(len(found) for _, found in groups) == len(evidence)


@pytest.mark.parametrize("reader", ["owner", "support"])
def test_no_report_denies_a_finding_beside_for(reader: str) -> None:
    for name, found in told():
        text = flat(diagnosis_text(found, reader=reader, full=True))

        assert "no sign of" not in text, name
        absent = {one.title for cause in found.causes for one in cause.evidence_for if not one.present}
        present = {one.title for cause in found.causes for one in cause.evidence_for if one.present}
        for plain in re.findall(r"For it: (.*?)(?= For it,| Against it| To be sure)", text):
            titles = {re.sub(r" \([^()]*[×÷][^()]*\)$", "", title) for title in plain.split("; ")}
            assert not titles & (absent - present), name


def test_no_list_of_actions_holds_opposites() -> None:
    """What moves a thing up is not beside what moves it down or keeps it still, unless one rule lists both in turn."""
    actions, turned = rules().actions, {"up": "down", "down": "up"}

    def against(one: AdvisedAction, other: AdvisedAction) -> bool:
        moves = actions[other.action].moves
        away = {f"{what}-{turned[way]}" for what, _, way in (move.rpartition("-") for move in moves)}
        in_turn = {*one.for_causes, *one.for_states} & {*other.for_causes, *other.for_states}
        return not in_turn and bool(actions[one.action].moves & (away | actions[other.action].keeps_still))

    for name, found in told():
        shown = found.actions
        assert not [(a.action, b.action) for a in shown for b in shown if a is not b and against(a, b)], name
        assert not {each.action for each in found.withheld if each.opposite_of} & {each.action for each in shown}, name


def test_what_was_dropped_as_an_opposite_is_one_line() -> None:
    """With the action that stands instead; it is not among what is only 'not now'."""
    found = one_settled()
    stands = found.actions[0]
    dropped = WithheldAction("turn-it-up", "Turn it up", Wording("No.", "No."), opposite_of=stands.action)
    text = flat(diagnosis_text(replace(found, withheld=(dropped,))))

    assert f"Left out: Turn it up. It is the opposite of: {stands.title}." in text
    assert text.count("Turn it up") == 1


def state(**changes: object) -> StateLine:
    words = Wording("Too little.", "Too little.")
    prove = Wording("Test it. Then wait.", "Titrate.")
    made = StateLine(
        "low-salt", "Too little salt", "salt", "proven", 1.0, "", words, words, prove,
        "salt", "Salt, by a separate test", 1900.0, 2300.0, 2700.0, 3400.0, "concentration", "mg/L", "2100 mg/L",
        "Drop-count test for chloride", 2100.0, "unit", "reading",
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


BY_DROPS = "2100 mg/L (drop-count test for chloride)"
OPEN = {"value_low": None, "value_high": None}


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({}, f"Too little salt: {BY_DROPS}; your unit wants 2700 to 3400 mg/L."),
        ({"method": ""}, "Too little salt: 2100 mg/L (method not given); your unit wants 2700 to 3400 mg/L."),
        ({"target_of": "water"}, f"Too little salt: {BY_DROPS}; should be 2700 to 3400 mg/L."),
        ({"target_low": None, "target_high": None}, f"Too little salt: {BY_DROPS}."),
        ({"target_high": None}, f"Too little salt: {BY_DROPS}; your unit wants at least 2700 mg/L."),
        (
            {"value": None, "target_low": None},
            "Too little salt: 1900 mg/L to 2300 mg/L (worked out); your unit wants at most 3400 mg/L.",
        ),
        ({**OPEN, "known_by": "seen"}, "Too little salt (seen)."),
        ({**OPEN, "known_by": "told"}, "Too little salt (as told)."),
        ({"standing": "possible", "probability": 0.6}, "Possibly too little salt. To know: Test it."),
        ({**OPEN, "standing": "borderline"}, "Too little salt? The tests are too coarse to tell."),
        (
            {"standing": "borderline"},
            f"Too little salt? {BY_DROPS}; your unit wants 2700 to 3400 mg/L: at the limit, this test cannot tell.",
        ),
    ],
)
def test_a_fact_has_value_method_and_target(changes: dict[str, object], text: str) -> None:
    assert state_text(state(**changes), "owner", "metric") == text


def test_a_fact_is_in_the_units_of_the_reader() -> None:
    assert "2,100 ppm" in state_text(state(), "owner", "us")


def one_settled() -> Diagnosis:
    return next(found for _, found in told() if found.conclusion == CAUSE and found.next_checks and found.actions)


def test_a_named_cause_has_a_word_and_a_bar_and_no_number() -> None:
    """Per cents are for support staff and the full report."""
    found = one_settled()
    why = diagnosis_text(found).partition("MOST LIKELY WHY")[2].partition("DO THIS NOW")[0]

    assert re.search(r"\[#+\.*\]", why)
    assert "%" not in why
    assert "%" in diagnosis_text(found, full=True).partition("MOST LIKELY WHY")[2].partition("DO THIS NOW")[0]
    assert "[#" not in diagnosis_text(found, bars=False)


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        (NOTHING_WRONG, "By the tests and answers given, nothing is wrong."),
        (NOT_ENOUGH, "Not enough is known to name the cause. To settle it: see 'Next, look at'."),
        (CONTRADICTORY, "The answers do not fit together, so no cause is named. Check"),
    ],
)
def test_other_answers_than_a_cause_are_said(kind: str, says: str) -> None:
    """Each with what would settle it; none of them names a cause as if it were known."""
    found = replace(one_settled(), conclusion=kind, stops=(), orders=())
    unlikely = replace(found, causes=tuple(replace(cause, probability=0.3) for cause in found.causes))
    text = flat(diagnosis_text(unlikely))

    assert says in text
    assert ReportChoice(unlikely, "owner").first is None
    assert "Speaks for it" not in text


def test_nobody_searches_for_the_cause_while_there_is_danger() -> None:
    stop = StopNotice("s", "Gas", "gas", Wording("Away.", "Away."), Wording("Clear.", "Clear."), "none", (), "harm")
    order = OrderLine("o", "Away", Wording("Away.", "Away."), "", rescue=False)
    found = replace(one_settled(), conclusion=NOT_ENOUGH, stops=(stop,), orders=(order,))
    text = flat(diagnosis_text(found))

    assert "do what stands at the top first" in text
    assert "perhaps:" not in text
