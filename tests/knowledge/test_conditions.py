"""Conditions: reading them from rule data, their truth, why it is so, and their mutants."""

import math
from typing import Any

import pytest

from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Facts,
    Interval,
    Not,
    Number,
    ReadingBound,
    ReadingIs,
    References,
    SymptomIs,
    Truth,
    compared,
    condition_from_data,
    evaluate,
    explain,
    flipped,
    leaves,
    thresholds,
    with_threshold,
    without,
)

PH_LOW, PH_HIGH = ({"value": value, "unit": "pH", "source": "a"} for value in (7.2, 7.8))
PLUS = {"value": -300, "unit": "mg/L", "source": "a", "margin": 50}
DATA = {
    "all": [
        {"reading": "salt", "below": {"value": 2700, "unit": "mg/L", "source": "invented", "margin": 100}},
        {
            "any": [
                {"symptom": "bubbles", "is": "absent"},
                {"not": {"doubt": "old-strips"}},
                {"context": "surface", "is": ["plaster", "tile"]},
            ]
        },
        {"reading": "ph", "between": [PH_LOW, PH_HIGH]},
        {
            "reading": "salt",
            "at-least": {"reading": "salt-band-low", "plus": PLUS},
        },
        {"reading": "salt-shown", "above": {"reading": "salt", "margin": 20}},
    ]
}  # fmt: skip
TREE = condition_from_data(DATA, "when")


def reading(comparator: str, *numbers: float) -> ReadingIs:
    return ReadingIs("salt", Comparator(comparator), tuple(Number(number) for number in numbers))


def salt(low: float, high: float | None = None) -> Facts:
    return Facts({"salt": Interval(low, low if high is None else high)})


def test_rule_data_becomes_the_tree_it_describes() -> None:
    assert AllOf(
        (
            ReadingIs("salt", Comparator.BELOW, (Number(2700.0, "mg/L", "invented", 100.0),)),
            AnyOf((SymptomIs("bubbles", False), Not(DoubtIs("old-strips")), ContextIs("surface", ("plaster", "tile")))),
            ReadingIs("ph", Comparator.BETWEEN, (Number(7.2, "pH", "a"), Number(7.8, "pH", "a"))),
            ReadingIs("salt", Comparator.AT_LEAST, (ReadingBound("salt-band-low", Number(-300.0, "mg/L", "a", 50.0)),)),
            ReadingIs("salt-shown", Comparator.ABOVE, (ReadingBound("salt", None, 20.0),)),
        )
    ) == TREE  # fmt: skip


def test_references_are_all_ids_spoken_of() -> None:
    expected = References(
        frozenset({"salt", "ph", "salt-band-low", "salt-shown"}),
        frozenset({"bubbles"}),
        frozenset({"old-strips"}),
        frozenset({"surface"}),
    )

    assert TREE.references() == expected


N = {"value": 1, "unit": "", "source": "a"}


@pytest.mark.parametrize(
    "data",
    [
        None, [], {}, "text", {"all": []}, {"all": [N]}, {"all": [{"symptom": "a"}], "any": [{"symptom": "a"}]},
        {"symptom": 1}, {"symptom": "a", "is": "maybe"}, {"symptom": "a", "be": "present"}, {"not": [{"symptom": "a"}]},
        {"reading": "a"}, {"reading": "a", "below": 1}, {"reading": "a", "below": N, "above": N},
        {"reading": "a", "between": [N]}, {"reading": "a", "between": N},
        {"reading": "a", "below": {**N, "value": True}},
        {"reading": "a", "below": {**N, "value": "1"}}, {"reading": "a", "below": {**N, "value": math.nan}},
        {"reading": "a", "below": {"reading": "a"}}, {"reading": "a", "below": {"reading": "b", "minus": N}},
        {"context": "a"}, {"context": "a", "is": []}, {"context": "a", "is": [1]}, {"doubt": "a", "is": "present"},
    ],
)  # fmt: skip
def test_data_that_is_no_condition_is_our_own_error_and_says_where(data: Any) -> None:
    with pytest.raises(ValueError, match="internal: rule: when"):
        condition_from_data(data, "rule: when")


@pytest.mark.parametrize(
    ("comparator", "beside"),
    [("below", "tff"), ("at-most", "ttf"), ("above", "fft"), ("at-least", "ftt")],
)
def test_comparators_at_and_just_beside_the_threshold(comparator: str, beside: str) -> None:
    condition = reading(comparator, 2700)
    found = [evaluate(condition, salt(number)) for number in (2699.9999, 2700, 2700.0001)]

    assert [truth is Truth.TRUE for truth in found] == [letter == "t" for letter in beside]
    assert Truth.UNKNOWN not in found


@pytest.mark.parametrize(
    ("comparator", "low", "high", "expected"),
    [
        ("below", 2600, 2699, "true"), ("below", 2600, 2700, "unknown"), ("below", 2700, 2800, "false"),
        ("at-most", 2600, 2700, "true"), ("at-most", 2700, 2701, "unknown"), ("at-most", 2701, 2800, "false"),
        ("above", 2701, 2800, "true"), ("above", 2700, 2701, "unknown"), ("above", 2600, 2700, "false"),
        ("at-least", 2700, 2800, "true"), ("at-least", 2699, 2700, "unknown"), ("at-least", 2600, 2699, "false"),
    ],
)  # fmt: skip
def test_an_interval_that_straddles_the_threshold_is_unknown(
    comparator: str, low: float, high: float, expected: str
) -> None:
    assert evaluate(reading(comparator, 2700), salt(low, high)) is Truth(expected)


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (10, 20, "true"), (10, 10, "true"), (20, 20, "true"), (12, 15, "true"), (9.9999, 9.9999, "false"),
        (20.0001, 30, "false"), (9, 15, "unknown"), (15, 25, "unknown"), (5, 25, "unknown"), (20, 21, "unknown"),
    ],
)  # fmt: skip
def test_between_includes_both_ends(low: float, high: float, expected: str) -> None:
    assert evaluate(reading("between", 10, 20), salt(low, high)) is Truth(expected)


def test_between_is_false_when_one_end_is_known_to_be_missed() -> None:
    """The other end hangs on a reading nobody gave; below the first end it does not matter."""
    condition = ReadingIs("salt", Comparator.BETWEEN, (Number(10), ReadingBound("salt-band-high")))

    assert evaluate(condition, salt(5)) is Truth.FALSE
    assert evaluate(condition, salt(15)) is Truth.UNKNOWN


def test_two_readings_compare_by_their_difference() -> None:
    condition = ReadingIs("salt-shown", Comparator.BELOW, (ReadingBound("salt", Number(-300)),))

    def truth(shown: Interval, tested: Interval) -> Truth:
        return evaluate(condition, Facts({"salt-shown": shown, "salt": tested}))

    assert truth(Interval(2000, 2100), Interval(2401, 2600)) is Truth.TRUE
    assert truth(Interval(2000, 2100), Interval(2400, 2600)) is Truth.UNKNOWN
    assert truth(Interval(2300, 2400), Interval(2500, 2600)) is Truth.FALSE
    assert evaluate(condition, salt(2000)) is Truth.UNKNOWN


def test_numbers_are_compared_to_four_decimals() -> None:
    assert evaluate(reading("at-most", 0.3), salt(0.1 + 0.2)) is Truth.TRUE
    assert evaluate(reading("above", 0.3), salt(0.30004)) is Truth.FALSE
    assert evaluate(reading("above", 0.3), salt(0.30006)) is Truth.TRUE
    assert math.copysign(1, compared(-0.00001)) == 1


def test_symptoms_doubts_and_contexts_not_given_are_unknown() -> None:
    given = Facts({}, {"a": True, "b": False}, {"c": True, "d": False}, {"surface": "tile"})
    expected = {
        SymptomIs("a"): Truth.TRUE, SymptomIs("a", False): Truth.FALSE, SymptomIs("b"): Truth.FALSE,
        SymptomIs("b", False): Truth.TRUE, SymptomIs("x"): Truth.UNKNOWN, SymptomIs("x", False): Truth.UNKNOWN,
        DoubtIs("c"): Truth.TRUE, DoubtIs("d"): Truth.FALSE, DoubtIs("x"): Truth.UNKNOWN,
        ContextIs("surface", ("tile", "vinyl")): Truth.TRUE, ContextIs("surface", ("vinyl",)): Truth.FALSE,
        ContextIs("setting", ("indoor",)): Truth.UNKNOWN,
    }  # fmt: skip

    assert {condition: evaluate(condition, given) for condition in expected} == expected


def test_a_truth_cannot_be_taken_for_a_boolean() -> None:
    with pytest.raises(TypeError, match="three values"):
        bool(Truth.UNKNOWN)


@pytest.mark.parametrize("known", [True, False, None])
def test_truth_and_known_lead_to_each_other(known: bool | None) -> None:
    assert Truth.of(known).known is known


def test_every_number_is_listed_with_its_place_and_margin() -> None:
    listed = [(threshold.path, threshold.number.value, threshold.margin) for threshold in thresholds(TREE)]

    assert listed == [
        (("all", 0, "below"), 2700, 100),
        (("all", 2, "between", 0), 7.2, None),
        (("all", 2, "between", 1), 7.8, None),
        (("all", 3, "at-least", "plus"), -300, 50),
        (("all", 4, "above", "plus"), 0, 20),
    ]


def test_paths_lead_to_the_same_place_in_the_rule_data() -> None:
    for threshold in list(thresholds(TREE))[:4]:
        place: Any = DATA
        for step in threshold.path:
            place = place[step]
        assert place["value"] == threshold.number.value


def test_a_moved_threshold_is_the_only_change() -> None:
    before = list(thresholds(TREE))
    for n, threshold in enumerate(before):
        after = list(thresholds(with_threshold(TREE, threshold.path, 12.5)))

        assert after[n].number.value == 12.5
        assert after[n].margin == threshold.margin
        assert after[:n] + after[n + 1 :] == before[:n] + before[n + 1 :]
        assert with_threshold(TREE, threshold.path, threshold.number.value).references() == TREE.references()


def test_flipping_a_leaf_turns_its_truth_round() -> None:
    given = Facts(
        {"salt": Interval(2000, 2100), "ph": Interval.exact(7.5), "salt-band-low": Interval.exact(2700)},
        {"bubbles": True}, {"old-strips": False}, {"surface": "vinyl"},
    )  # fmt: skip
    for path, leaf in leaves(TREE):
        mutant = dict(leaves(flipped(TREE, path)))
        turned = mutant.get(path) or Not(mutant[(*path, "not")])

        assert evaluate(turned, given) is ~evaluate(leaf, given)


def test_flipping_a_negated_node_takes_the_negation_off() -> None:
    assert flipped(Not(SymptomIs("a")), ()) == SymptomIs("a")
    assert flipped(TREE, ()) == Not(TREE)
    assert flipped(Not(SymptomIs("a")), ("not",)) == Not(SymptomIs("a", False))


def test_leaving_a_part_out() -> None:
    a, b, c = SymptomIs("a"), SymptomIs("b"), SymptomIs("c")

    assert without(AllOf((a, b, c)), ("all", 1)) == AllOf((a, c))
    assert without(Not(AnyOf((a, AllOf((b, c))))), ("not", "any", 1, "all", 0)) == Not(AnyOf((a, AllOf((c,)))))


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (without, ()), (without, ("any", 0)), (without, ("all", 9)), (without, ("all", 1, "any", 1, "not")),
        (flipped, ("all", 9)), (flipped, ("all", 0, "below")), (flipped, ("nowhere",)),
        (lambda tree, path: with_threshold(tree, path, 1), ("all", 0)),
        (lambda tree, path: with_threshold(tree, path, 1), ("all", 2, "between", 2)),
        (lambda tree, path: with_threshold(tree, path, 1), ("all", 3, "at-least")),
        (lambda tree, path: with_threshold(tree, path, 1), ("all", 1, "any", 0, "below")),
    ],
)  # fmt: skip
def test_a_path_that_leads_nowhere_is_refused(change: Any, path: tuple[str | int, ...]) -> None:
    with pytest.raises(KeyError):
        change(TREE, path)
    with pytest.raises(KeyError):
        without(AllOf((SymptomIs("a"),)), ("all", 0))


def test_an_explanation_says_what_is_borderline_and_what_is_missing() -> None:
    given = Facts({"salt": Interval(2600, 2800), "ph": Interval.exact(7.5)}, {"bubbles": True}, {"old-strips": True})

    explained = explain(TREE, given)

    assert explained.truth is Truth.UNKNOWN
    assert explained.borderline_readings() == ("salt",)
    assert [(leaf.text, leaf.truth.value, leaf.borderline, leaf.missing) for leaf in explained.leaves()] == [
        ("salt below 2700 mg/L", "unknown", ("salt",), ()),
        ("bubbles absent", "false", (), ()),
        ("old-strips in doubt", "true", (), ()),
        ("surface plaster or tile", "unknown", (), ("surface",)),
        ("ph between 7.2 and 7.8", "true", (), ()),
        ("salt at least salt-band-low minus 300 mg/L", "unknown", (), ("salt-band-low",)),
        ("salt-shown above salt", "unknown", (), ("salt-shown",)),
    ]


def test_a_settled_condition_has_nothing_undecided() -> None:
    """What straddles a threshold inside an `all` that is false anyway needs no better test."""
    condition: Condition = AllOf((reading("below", 2700), SymptomIs("bubbles")))
    given = Facts({"salt": Interval(2600, 2800)}, {"bubbles": False})

    assert explain(condition, given).truth is Truth.FALSE
    assert explain(condition, given).borderline_readings() == ()
    assert explain(condition, given).leaves()[0].borderline == ("salt",)


@pytest.mark.parametrize("value", [math.nan, math.inf, True])
def test_a_number_of_a_rule_is_finite(value: Any) -> None:
    with pytest.raises(ValueError, match="finite"):
        Number(value)
    with pytest.raises(ValueError, match="finite"):
        Number(1.0, margin=value)


@pytest.mark.parametrize("build", [lambda: AllOf(()), lambda: AnyOf(()), lambda: ContextIs("a", ())])
def test_nodes_without_parts_are_refused(build: Any) -> None:
    with pytest.raises(ValueError, match="at least one"):
        build()
