"""The order of matching: doubts withdraw, derived symptoms chain, final conditions see complete facts."""

from collections.abc import Mapping
from typing import Literal

import pytest
from children import child
from rooms import matched

from saltriage.conditions import ConditionSet, Matcher
from saltriage.conditions.condition import (
    AllOf,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Facts,
    Number,
    ReadingIs,
    SymptomIs,
    Truth,
)
from saltriage.conditions.rule_sets import compile_rule_sets
from saltriage.errors import KnowledgeRefused, OutOfRange
from saltriage.find import Conflict
from saltriage.pool.interval import Interval

Prefer = Literal["durable-rules", "plain"]
both = pytest.mark.parametrize("prefer", ["durable-rules", "plain"])


def below(reading: str, number: float) -> ReadingIs:
    return ReadingIs(reading, Comparator.BELOW, (Number(number),))


def above(reading: str, number: float) -> ReadingIs:
    return ReadingIs(reading, Comparator.ABOVE, (Number(number),))


RULES = ConditionSet(
    doubts={
        # A very high free chlorine bleaches the pH indicator: common practice, no source.
        "ph-bleached": above("free-chlorine", 10),
        "old-strips": SymptomIs("strips-out-of-date"),
    },
    withdraws={"ph-bleached": frozenset({"ph", "never-given"})},
    derived={
        "ph-high": above("ph", 7.8),
        "index-high": above("index", 0.5),
        "scaling-water": AllOf((SymptomIs("ph-high"), SymptomIs("index-high"))),
        "scale-likely": AllOf((SymptomIs("scaling-water"), ContextIs("surface", ("plaster", "tile")))),
    },
    final={
        "add-acid": SymptomIs("ph-high"),
        "retest": DoubtIs("ph-bleached"),
        "warn": DoubtIs("old-strips"),
        "clean": SymptomIs("scale-likely"),
    },
)


def recomputed(readings: Mapping[str, Interval]) -> Mapping[str, Interval]:
    """An index that needs the pH, in place of a saturation index."""
    kept = {reading: interval for reading, interval in readings.items() if reading != "index"}
    return {**kept, "index": readings["ph"] - 7.0} if "ph" in readings else kept


@both
def test_derived_symptoms_chain_over_levels(prefer: Prefer) -> None:
    case = Facts({"ph": Interval.exact(8.0), "index": Interval.exact(1.0)}, contexts={"surface": "tile"})

    matches = matched(Matcher(RULES, prefer=prefer), case)

    assert set(RULES.derived) == {symptom for symptom, present in matches.facts.symptoms.items() if present}
    assert matches.truths == {
        "add-acid": Truth.TRUE, "retest": Truth.UNKNOWN, "warn": Truth.UNKNOWN, "clean": Truth.TRUE,
    }  # fmt: skip
    assert matches.raised == ()


@both
def test_a_raised_doubt_withdraws_and_what_was_computed_goes_too(prefer: Prefer) -> None:
    readings = {"ph": Interval.exact(8.0), "free-chlorine": Interval.exact(15.0), "index": Interval.exact(1.0)}

    matches = matched(Matcher(RULES, prefer=prefer), Facts(readings, contexts={"surface": "tile"}), recomputed)

    assert {"free-chlorine"} == matches.facts.readings.keys()
    assert matches.withdrawn == {"ph": ("ph-bleached",)}
    assert matches.raised == ("ph-bleached",)
    assert {Truth.UNKNOWN} == set(matches.derived.values())
    assert Truth.TRUE is matches.truths["retest"]
    assert Truth.UNKNOWN is matches.truths["add-acid"]


@both
def test_what_is_withdrawn_stays_withdrawn_even_if_computed_anew(prefer: Prefer) -> None:
    readings = {"ph": Interval.exact(8.0), "free-chlorine": Interval.exact(15.0)}

    matches = matched(
        Matcher(RULES, prefer=prefer), Facts(readings), lambda _: {**readings, "never-given": Interval(1, 2)}
    )

    assert {"free-chlorine"} == matches.facts.readings.keys()


@both
def test_a_doubt_that_only_warns_withdraws_nothing(prefer: Prefer) -> None:
    case = Facts({"ph": Interval.exact(8.0)}, {"strips-out-of-date": True})

    matches = matched(Matcher(RULES, prefer=prefer), case, lambda readings: pytest.fail("nothing to compute anew"))

    assert matches.raised == ("old-strips",)
    assert matches.withdrawn == {}
    assert (matches.truths["warn"], matches.truths["add-acid"]) == (Truth.TRUE, Truth.TRUE)


@both
def test_doubts_given_from_outside_are_ignored(prefer: Prefer) -> None:
    matches = matched(Matcher(RULES, prefer=prefer), Facts(doubts={"ph-bleached": True, "unheard-of": True}))

    assert matches.facts.doubts == {}
    assert Truth.UNKNOWN is matches.truths["retest"]


@both
def test_a_known_derived_truth_wins_over_the_answer_and_the_conflict_is_told(prefer: Prefer) -> None:
    answers = {"ph-high": True, "scaling-water": True, "index-high": False}

    matches = matched(Matcher(RULES, prefer=prefer), Facts({"ph": Interval.exact(7.0)}, answers))

    assert (Conflict("ph-high", True, False), Conflict("scaling-water", True, False)) == matches.conflicts
    assert matches.facts.symptoms == {
        "ph-high": False,
        "scaling-water": False,
        "index-high": False,
        "scale-likely": False,
    }
    assert Truth.FALSE is matches.truths["add-acid"]


@both
def test_an_unknown_derived_truth_leaves_the_answer(prefer: Prefer) -> None:
    borderline = Facts({"ph": Interval(7.7, 7.9)}, {"ph-high": True})

    matches = matched(Matcher(RULES, prefer=prefer), borderline)

    assert Truth.UNKNOWN is matches.derived["ph-high"]
    assert matches.facts.symptoms == {"ph-high": True}
    assert Truth.TRUE is matches.truths["add-acid"]
    assert matches.conflicts == ()


@both
def test_the_facts_given_are_not_changed(prefer: Prefer) -> None:
    case = Facts({"ph": Interval.exact(8.0), "free-chlorine": Interval.exact(15.0)}, {"ph-high": False}, {}, {"a": "b"})
    before = repr(case)

    matched(Matcher(RULES, prefer=prefer), case, recomputed)

    assert before == repr(case)


@both
@pytest.mark.parametrize("number", [1e10, -1e10, 1e16, 1e300])
def test_readings_too_large_to_compare_are_refused_by_name(prefer: Prefer, number: float) -> None:
    matcher = Matcher(RULES, prefer=prefer)

    with pytest.raises(OutOfRange, match=r"pool-volume.*1e10"):
        matched(matcher, Facts({"pool-volume": Interval.exact(number)}))
    with pytest.raises(OutOfRange, match="index"):
        matched(
            matcher,
            Facts({"ph": Interval.exact(8.0), "free-chlorine": Interval.exact(15.0)}),
            lambda readings: {"index": Interval.exact(number)},
        )


@both
def test_no_conditions_at_all(prefer: Prefer) -> None:
    matches = matched(Matcher(ConditionSet(), prefer=prefer), Facts(symptoms={"a": True}))

    assert (matches.truths, matches.derived, matches.doubts) == ({}, {}, {})
    assert matches.facts.symptoms == {"a": True}


@pytest.mark.parametrize(
    ("conditions", "text"),
    [
        ({"derived": {"a": SymptomIs("a")}}, "depend on themselves: a -> a"),
        ({"derived": {"a": SymptomIs("c"), "b": SymptomIs("a"), "c": SymptomIs("b")}}, "a -> c -> b -> a"),
        ({"derived": {"a": SymptomIs("b"), "b": SymptomIs("c"), "c": SymptomIs("b")}}, "b -> c -> b"),
        ({"doubts": {"d": DoubtIs("e"), "e": SymptomIs("a")}}, "doubt d: depends on the doubt e"),
        ({"withdraws": {"d": frozenset({"ph"})}}, "doubt d: withdraws readings but has no condition"),
        ({"final": {"x": below("salt", 1e10)}}, "x: 10000000000.0 is too large"),
        ({"final": {"x": SymptomIs('a"b')}}, r"x: 'a\"b' is not made of letters"),
        ({"final": {"x": SymptomIs("a_b")}}, "x: 'a_b' is not made of letters"),
        ({"final": {"x": ContextIs("surface", ("plaster", "a b"))}}, "x: 'a b' is not made of letters"),
    ],
)
def test_conditions_that_cannot_be_matched_do_not_load(conditions: dict[str, dict[str, Condition]], text: str) -> None:
    with pytest.raises(KnowledgeRefused, match=text):
        ConditionSet(**conditions)  # type: ignore[arg-type]


def test_stored_rule_sets_of_other_conditions_are_refused() -> None:
    compiled = compile_rule_sets(RULES)
    fewer = ConditionSet(final={"add-acid": SymptomIs("ph-high")})

    assert matched(Matcher(RULES, compiled=compiled), Facts()).truths.keys() == RULES.final.keys()
    with pytest.raises(ValueError, match="other conditions"):
        matched(Matcher(fewer, compiled=compiled), Facts())


_WITHOUT_EXTENSION = """
import sys
class Missing:
    def find_spec(self, name, path=None, target=None):
        if name == "durable_rules_engine":
            raise ImportError("undefined symbol: PyEval_CallObject")
sys.meta_path.insert(0, Missing())
"""
_REPORT = """
from test_matcher import RULES, matched, recomputed
from saltriage.conditions import Matcher
from saltriage.conditions.condition import Facts, Interval
for free_chlorine in (3.0, 15.0):
    readings = {"ph": Interval(7.9, 8.1), "free-chlorine": Interval.exact(free_chlorine), "index": Interval(0.9, 1.1)}
    matcher = Matcher(RULES)
    print(matcher.engine, matched(matcher, Facts(readings, {"ph-high": False}, {}, {"surface": "tile"}), recomputed))
"""


def test_where_the_extension_does_not_import_the_plain_evaluator_gives_the_same() -> None:
    pytest.importorskip("durable_rules_engine", reason="there is nothing to compare with")

    with_it, without_it = child(_REPORT), child(_WITHOUT_EXTENSION + _REPORT)

    assert with_it.count("durable-rules") == 2
    assert with_it.replace("durable-rules", "plain evaluator") == without_it


def test_nothing_heavy_is_imported_before_the_first_match() -> None:
    loaded = child(
        """
        import sys
        from saltriage.conditions import Matcher, ConditionSet
        Matcher(ConditionSet())
        heavy = {"durable_rules_engine", "durable", "numpy", "jsonschema", "yaml"}
        print(sorted(heavy & set(sys.modules)))
        """
    )

    assert loaded == "[]"
