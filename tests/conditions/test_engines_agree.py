"""Both engines give exactly what the plain definition of a condition's truth gives."""

from collections.abc import Mapping

import pytest
from condition_trees import condition_sets, conditions, facts
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rooms import Outcome, matched

from saltriage.conditions import ConditionSet, Matcher
from saltriage.conditions.condition import Condition, Explanation, Facts, Truth, evaluate, explain
from saltriage.pool.interval import Interval

pytest.importorskip("durable_rules_engine", reason="the extension does not import under this Python")

several_facts = st.lists(facts(), min_size=1, max_size=6)
slow = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def slowly_matched(conditions: ConditionSet, given_facts: Facts) -> tuple[dict[str, Truth], ...]:
    """Doubts, derived symptoms, final conditions by `evaluate` alone, one symptom at a time as each becomes ready."""
    raw = Facts(given_facts.readings, given_facts.symptoms, {}, given_facts.contexts)
    doubts = {doubt: evaluate(condition, raw) for doubt, condition in conditions.doubts.items()}
    gone = {
        reading
        for doubt, readings in conditions.withdraws.items()
        if doubts[doubt] is Truth.TRUE
        for reading in readings
    }
    readings = {reading: interval for reading, interval in raw.readings.items() if reading not in gone}
    known = {doubt: truth is Truth.TRUE for doubt, truth in doubts.items() if truth is not Truth.UNKNOWN}
    symptoms = dict(raw.symptoms)
    derived: dict[str, Truth] = {}
    # The strategies let a derived symptom look only at those before it, so this order is a right one.
    for symptom, condition in conditions.derived.items():
        derived[symptom] = evaluate(condition, Facts(readings, symptoms, known, raw.contexts))
        if derived[symptom] is not Truth.UNKNOWN:
            symptoms[symptom] = derived[symptom] is Truth.TRUE
    complete = Facts(readings, symptoms, known, raw.contexts)
    return doubts, derived, {name: evaluate(condition, complete) for name, condition in conditions.final.items()}


def outcome(matches: Outcome) -> tuple[Mapping[str, Truth], ...]:
    return matches.doubts, matches.derived, matches.truths


@pytest.mark.long
@slow
@given(condition_sets(), several_facts)
def test_durable_rules_agrees_with_the_definition(conditions: ConditionSet, cases: list[Facts]) -> None:
    """Cases one after another through one matcher: what was left of an earlier case would show in a later one."""
    matcher = Matcher(conditions)
    try:
        for case in cases:
            assert slowly_matched(conditions, case) == outcome(matched(matcher, case))
    finally:
        matcher.close()


@slow
@given(condition_sets(), several_facts)
def test_plain_evaluator_agrees_with_the_definition(conditions: ConditionSet, cases: list[Facts]) -> None:
    matcher = Matcher(conditions, prefer="plain")
    for case in cases:
        assert slowly_matched(conditions, case) == outcome(matched(matcher, case))


@slow
@given(condition_sets(), several_facts)
def test_engines_differ_in_nothing_but_the_name(conditions: ConditionSet, cases: list[Facts]) -> None:
    durable, plain = Matcher(conditions), Matcher(conditions, prefer="plain")
    try:
        for case in cases:
            one, other = matched(durable, case), matched(plain, case)
            assert repr(one) == repr(other)
        assert (durable.engine, plain.engine) == ("durable-rules", "plain evaluator")
    finally:
        durable.close()


@slow
@given(st.lists(conditions(), min_size=1, max_size=6), facts(), st.randoms(use_true_random=False))
def test_order_of_rules_and_facts_has_no_effect(parts: list[Condition], case: Facts, order: object) -> None:
    named = [(f"rule-{n}", part) for n, part in enumerate(parts)]
    shuffled, readings, symptoms = list(named), list(case.readings.items()), list(case.symptoms.items())
    for items in (shuffled, readings, symptoms):
        order.shuffle(items)  # type: ignore[attr-defined]
    one, other = Matcher(ConditionSet(final=dict(named))), Matcher(ConditionSet(final=dict(shuffled)))
    try:
        turned = Facts(dict(readings), dict(symptoms), case.doubts, case.contexts)
        assert matched(one, case).truths == matched(other, turned).truths
    finally:
        one.close()
        other.close()


@pytest.mark.parametrize("prefer", ["durable-rules", "plain"])
@pytest.mark.parametrize(
    "number", [1e-7, -1e-7, 4.9e-5, 5.1e-5, 0.0001, 0.1 + 0.2, 123456.78915, 9999999999.0, -9999999999.0]
)
def test_awkward_numbers_compare_as_rounded(number: float, prefer: str) -> None:
    """Numbers whose shortest text has an exponent, many digits, or lies beside a rounding step."""
    from saltriage.conditions.condition import Comparator, Number, ReadingIs

    final = {
        f"{comparator.value}-{n}": ReadingIs("salt", comparator, (Number(bound),))
        for comparator in Comparator
        if comparator is not Comparator.BETWEEN
        for n, bound in enumerate((number, round(number, 4), number + 1e-4, number - 1e-4, -number, 0.0))
    }
    matcher = Matcher(ConditionSet(final=final), prefer=prefer)  # type: ignore[arg-type]
    case = Facts({"salt": Interval.exact(number)})

    truths = matched(matcher, case).truths

    assert {name: evaluate(condition, case) for name, condition in final.items()} == truths
    assert Truth.UNKNOWN not in truths.values()
    assert truths["at-most-0"] is Truth.TRUE
    assert truths["below-0"] is Truth.FALSE
    matcher.close()


@slow
@given(conditions(), facts())
def test_explanations_agree_with_the_definition(condition: Condition, case: Facts) -> None:
    """An explanation works each truth out from its parts; every node must have the truth that the definition gives."""

    def nodes(explained: Explanation) -> list[Explanation]:
        return [explained, *(node for part in explained.parts for node in nodes(part))]

    for node in nodes(explain(condition, case)):
        assert node.truth is evaluate(node.condition, case)
