"""What counts as right, and laws of the figures."""

from dataclasses import replace
from typing import Any

import pytest
from calls import RAIN
from hypothesis import given
from hypothesis import strategies as st

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.exam.figures import BANDS, Share, bands_of, brier_of, figures_of
from saltriage.exam.marking import Mark, Said, Wanted, answers_shown, mark, said_of
from saltriage.exam.papers import CallSheet, ClerkForm, Paper, TruthKey
from saltriage.exam.sitting import Sitting, Talk
from saltriage.exam.tables import GROUPINGS, grouped
from saltriage.knowledge import load_knowledge
from saltriage.result import DoubtNote, Wording

RULES = load_knowledge()
PLAIN = Mark(
    sheet="A-1", voice="A", kind="single", level=1, answer="cause", truth=("a",), also_ok=("b",), shown=("a", "b", "c"),
    chance=0.8, said=Said(False, False, False), danger=False, stop="", asked_back=False, forbidden=None, missing=None,
    refused=False, refusals=(), talk=None,
)  # fmt: skip


def diagnosed(**case: Any):
    return diagnose(Case.from_data({"case": "call", **case}, RULES), RULES, next_check=False)


CALM = diagnosed(symptoms={"mist-at-return": "yes", "mist-stops-at-zero-output": "yes", "claims-producing": "yes"})
LOW = diagnosed(symptoms={"low-salt-warning": "yes", "heavy-rain": "yes", "overflowed-in-rain": "yes"})


def paper(**key: Any) -> Paper:
    told = {"truth": (), "also_ok": (), "answer": "cause", "doubt": "", **key}
    return Paper(CallSheet("A-1", "single", 1, RAIN, False), ClerkForm((), {}, {}), TruthKey(**told))


@pytest.mark.parametrize(
    ("shown", "first", "acceptable", "three"),
    [
        (("a", "b"), True, True, True),
        (("b", "a"), False, True, True),
        (("x", "y", "a"), False, False, True),
        (("x", "y", "z", "a"), False, False, False),
        ((), False, False, False),
    ],
)
def test_first_acceptable_and_among_three(shown, first, acceptable, three):
    one = replace(PLAIN, shown=shown)

    assert (one.first_right, one.first_acceptable, one.among(3)) == (first, acceptable, three)


def test_two_faults_must_both_be_shown():
    """Where the key could name only one of them, both cannot be found."""
    both = replace(PLAIN, truth=("a", "d"), shown=("a", "b", "c", "d"))

    assert (both.all_among(3), both.all_among(4)) == (False, True)
    assert not replace(PLAIN, truth=("a",)).all_among(4)


def test_nothing_is_wrong_is_said_by_a_cause_that_asks_for_no_work():
    assert answers_shown(CALM)[0] == "gas-mist-normal"
    assert said_of(CALM) == Said(nothing_wrong=True, not_enough_known=False, contradictory=False)
    assert not said_of(replace(CALM, conclusion="not-enough-known")).nothing_wrong
    assert not said_of(LOW).nothing_wrong


def test_too_little_and_what_does_not_fit_are_said_as_the_report_says_them():
    doubt = DoubtNote("odd", "Odd", ("salt",), Wording("x", "x"), "", "warn")

    assert said_of(diagnosed()).not_enough_known
    assert said_of(replace(LOW, conclusion="not-enough-known")).not_enough_known
    assert not said_of(LOW).contradictory
    assert not said_of(replace(LOW, doubts=(doubt,))).contradictory
    for changes in (
        {"do_not_fit": True},
        {"disagreements": ("x",)},
        {"doubts": (replace(doubt, strength="withdraw"),)},
    ):
        assert said_of(replace(LOW, **changes)).contradictory


def test_forbidden_and_needed_are_scored_where_the_key_tells_them():
    found = diagnosed(readings={"ph": 8.2, "total-alkalinity": "90 mg/L"}, pool={"volume": "40 m3"})
    shown, note = [each.action for each in found.actions], found.safety[0].note
    sitting = Sitting(found, "", False, ())

    silent = mark(paper(), sitting, RULES)
    told = mark(paper(forbidden=(shown[0], "acid-wash-cell"), needed=(note, "call-electrician")), sitting, RULES)
    assert (silent.forbidden, silent.missing) == (None, None)
    assert (told.forbidden, told.missing) == ((shown[0],), ("call-electrician",))
    figures = figures_of([silent, told])
    assert (figures.free_of_forbidden, figures.has_needed) == (Share(0, 1), Share(0, 1))


def test_a_refused_case_is_not_right():
    refused = mark(paper(truth=("salt-too-low",)), Sitting(None, "life", False, ("no number",)), RULES)

    assert refused.refused
    assert (refused.shown, refused.chance, refused.first_right) == ((), None, False)
    assert refused.danger_raised
    assert figures_of([refused]).first == Share(0, 1)


def test_calibration_by_hand():
    """Two at 0.9 of which one is right, one at 1.0 that is right, one at 0.4 that is wrong, one that shows none."""
    marks = [
        replace(PLAIN, chance=0.9),
        replace(PLAIN, chance=0.9, shown=("b",)),
        replace(PLAIN, chance=1.0),
        replace(PLAIN, chance=0.4, shown=("x",)),
        replace(PLAIN, chance=None, shown=()),
    ]
    bands = bands_of(marks)

    assert (bands[-1].right, bands[-1].acceptable) == (Share(2, 3), Share(3, 3))
    assert bands[-1].said == pytest.approx(2.8 / 3)
    assert [band.right.of for band in bands] == [1, 0, 0, 0, 3]
    assert brier_of(marks) == pytest.approx((0.1**2 + 0.9**2 + 0 + 0.4**2) / 4)


IDS = st.sampled_from(["a", "b", "c", "d", "e"])
SOME = st.lists(IDS, max_size=3, unique=True).map(tuple)
TALKS = st.builds(
    Talk, questions=st.integers(0, 12), minutes=st.floats(0, 60), lines=st.integers(0, 90),
    answerable=st.integers(0, 9), ending=st.sampled_from(["", "sure", "long"]), facts=st.integers(5, 9),
    facts_asked_for=st.integers(0, 2), facts_told=st.integers(2, 5),
)  # fmt: skip
MARKS = st.builds(
    Mark,
    sheet=st.text(max_size=4),
    voice=st.sampled_from("AB"),
    kind=st.sampled_from(["single", "two", "hazard"]),
    level=st.integers(1, 3),
    answer=st.sampled_from([each.replace("_", "-") for each in Wanted]),
    truth=SOME,
    also_ok=SOME,
    shown=SOME,
    chance=st.none() | st.floats(0, 1) | st.sampled_from(BANDS),
    said=st.builds(Said, *[st.booleans()] * 3),
    danger=st.booleans(),
    stop=st.sampled_from(["", "unfit", "harm", "life"]),
    asked_back=st.booleans(),
    forbidden=st.none() | SOME,
    missing=st.none() | SOME,
    refused=st.booleans(),
    refusals=st.just(()),
    talk=st.none() | TALKS,
)


@given(st.lists(MARKS, max_size=12))
def test_every_shown_first_cause_is_in_one_band(marks):
    """The bands leave no gap, and what is said on average lies inside each."""
    bands = bands_of(marks)

    assert sum(band.right.of for band in bands) == sum(mark.chance is not None for mark in marks)
    assert [band.low for band in bands[1:]] == [band.high for band in bands[:-1]]
    assert all(band.said is None or band.low - 1e-9 <= band.said <= band.high + 1e-9 for band in bands)
    assert all(band.right.hits <= band.acceptable.hits for band in bands)


@given(st.lists(MARKS, max_size=12))
def test_the_brier_score_lies_between_nought_and_one(marks):
    score = brier_of(marks)

    assert (score is None) == all(mark.chance is None for mark in marks)
    assert score is None or 0 <= score <= 1


@given(st.lists(MARKS, max_size=12))
def test_right_is_acceptable_and_more_shown_never_finds_less(marks):
    figures = figures_of(marks)

    assert figures.first.hits <= figures.first_acceptable.hits
    assert figures.first.hits <= figures.first_three.hits
    assert figures.both_in_three.hits <= figures.both_in_four.hits
    assert figures.dangers_stopped.hits <= figures.dangers.hits


def shares(value: Any) -> list[Share]:
    """All shares in figures, in order."""
    if isinstance(value, Share):
        return [value]
    parts = value if isinstance(value, tuple) else [getattr(value, name) for name in getattr(value, "__slots__", ())]
    return [found for part in parts for found in shares(part)]


@given(st.lists(MARKS, max_size=12), st.sampled_from(GROUPINGS))
def test_groups_add_up_to_the_whole(marks, by):
    whole = figures_of([replace(mark, talk=None) for mark in marks])
    groups = [figures_of([replace(mark, talk=None) for mark in group]) for group in grouped(marks, by).values()]

    assert sum(figures.sheets for figures in groups) == whole.sheets
    assert len(shares(whole)) == 28  # 18 of figures, 2 of each band
    for place, share in enumerate(shares(whole)):
        parts = [shares(figures)[place] for figures in groups]
        assert (share.hits, share.of) == (sum(part.hits for part in parts), sum(part.of for part in parts))
