"""Compiling: alternatives, packing into rule sets, and names."""

import json
import pickle

import pytest
from condition_trees import condition_sets, conditions, facts
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.conditions import ConditionSet
from saltriage.conditions.atoms import YES, Atom, Property, PropertyIndex, whole
from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Comparator,
    Condition,
    Facts,
    Not,
    Number,
    ReadingIs,
    SymptomIs,
    Truth,
    evaluate,
)
from saltriage.conditions.normal_form import MOST_TERMS, normal_form
from saltriage.conditions.rule_sets import (
    MOST_ATOMS,
    MOST_PENDING,
    MOST_PROPERTIES,
    _packed,
    compile_rule_sets,
    fnv_1a,
    prove_limits,
    refuse_colliding_names,
)
from saltriage.errors import KnowledgeRefused

HOLDS = {"<": float.__lt__, "<=": float.__le__, ">": float.__gt__, ">=": float.__ge__}


def fires(term: frozenset[Atom], given_facts: Facts) -> bool:
    """Whether all atoms of a term hold, read with nothing but the values a message would carry."""
    values = PropertyIndex(frozenset(atom.subject for atom in term)).values(given_facts)
    found = ((values.get(atom.subject.name), atom) for atom in term)
    return all(
        value is not None
        and (
            json.loads(value) == atom.against
            if atom.sign == "="
            else HOLDS[atom.sign](float(value), float(atom.against))
        )
        for value, atom in found
    )


@settings(max_examples=100, deadline=None)
@given(conditions(), facts())
def test_terms_fire_exactly_where_the_condition_is_known(condition: Condition, given_facts: Facts) -> None:
    true_terms, false_terms = normal_form("rule", condition)
    is_true = any(fires(term, given_facts) for term in true_terms)
    is_false = any(fires(term, given_facts) for term in false_terms)

    assert not (is_true and is_false)
    assert evaluate(condition, given_facts) is Truth.of(True if is_true else False if is_false else None)


def pairs_of_symptoms(number: int) -> AllOf:
    """`number` pairs, one of each: 2 to the power of `number` alternatives."""
    return AllOf(tuple(AnyOf((SymptomIs(f"a-{n}"), SymptomIs(f"b-{n}"))) for n in range(number)))


def test_as_many_alternatives_as_allowed_compile_and_one_more_do_not() -> None:
    assert MOST_TERMS == len(normal_form("rule", pairs_of_symptoms(8))[0]) == 256
    more = AnyOf((pairs_of_symptoms(8), SymptomIs("c")))
    for refused in (more, Not(more), pairs_of_symptoms(9), pairs_of_symptoms(200)):
        with pytest.raises(KnowledgeRefused, match="too-wide: the condition has more than 256 alternatives"):
            normal_form("too-wide", refused)


def test_absorption_drops_what_another_alternative_covers() -> None:
    a, b = SymptomIs("a"), SymptomIs("b")

    true_terms, false_terms = normal_form("rule", AnyOf((a, AllOf((a, b)))))

    assert 1 == len(true_terms) == len(true_terms[0])
    assert len(false_terms) == 1


def many_rules(number: int) -> dict[str, Condition]:
    return {
        f"rule-{n}": AnyOf(
            (
                ReadingIs(f"reading-{n % 97}", Comparator.BETWEEN, (Number(n), Number(n + 1))),
                AllOf((SymptomIs(f"symptom-{n}"), Not(SymptomIs(f"symptom-{n + 1}")))),
            )
        )
        for n in range(number)
    }


def test_many_rules_are_split_so_that_every_rule_set_keeps_the_limits() -> None:
    (_, phase) = compile_rule_sets(ConditionSet(final=many_rules(700)))

    for rule_set in phase.rule_sets:
        prove_limits(rule_set)
    assert len(phase.rule_sets) > 700 / MOST_PENDING
    assert sum(len(rule_set.terms) for rule_set in phase.rule_sets) == sum(
        len(terms) for name, rule in many_rules(700).items() for terms in normal_form(name, rule)
    )


def atoms(name: str, number: int, wide: bool) -> frozenset[Atom]:
    """As many comparisons, each of its own property (wide) or all of one."""
    if wide:
        return frozenset(Atom(Property("symptom", (f"{name}-{m}",)), "=", YES) for m in range(number))
    return frozenset(Atom(Property("low", ("salt",)), "<", f"{name}{m:02}.0") for m in range(number))


@pytest.mark.parametrize(
    ("number", "wide", "in_first"),
    [(1, True, MOST_PENDING), (20, True, MOST_PROPERTIES // 20), (25, False, MOST_ATOMS // 25)],
)
def test_each_limit_alone_splits(number: int, wide: bool, in_first: int) -> None:
    rules = [(atoms(str(n), number, wide), f"rule-{n}", True) for n in range(100)]

    packed = list(_packed(rules))

    assert in_first == len(packed[0].terms)
    assert [name for _, name, _ in rules] == [name for rule_set in packed for _, name, _, _ in rule_set.terms]
    for rule_set in packed:
        prove_limits(rule_set)


@settings(max_examples=15, deadline=None)
@given(condition_sets(), st.randoms(use_true_random=False))
def test_compiled_form_is_the_same_in_any_order_and_for_another_process(rules: ConditionSet, order: object) -> None:
    turned = []
    for group in (rules.doubts, rules.derived, rules.final):
        items = list(group.items())
        order.shuffle(items)  # type: ignore[attr-defined]
        turned.append(dict(items))
    compiled = compile_rule_sets(rules)

    assert compiled == compile_rule_sets(ConditionSet(turned[0], rules.withdraws, turned[1], turned[2]))
    assert compiled == pickle.loads(pickle.dumps(compiled))


@pytest.mark.parametrize(("text", "digest"), [("", 0x811C9DC5), ("a", 0xE40C292C), ("foobar", 0xBF9CF968)])
def test_hash_gives_published_values(text: str, digest: int) -> None:
    """Test vectors of FNV-1a, 32 bits: Fowler, Noll, Vo, Eastlake, "The FNV Non-Cryptographic Hash Algorithm"
    (Internet-Draft draft-eastlake-fnv, appendix with test vectors). The values here are quoted from memory."""
    assert digest == fnv_1a(text)


def test_names_with_one_hash_are_refused() -> None:
    with pytest.raises(KnowledgeRefused, match="prop_562288 and prop_2246580 cannot be told apart"):
        refuse_colliding_names(["other", "prop_562288", "prop_2246580"])
    refuse_colliding_names(["other", "prop_562288", "prop_562288"])


def test_two_symptoms_with_one_hash_do_not_compile() -> None:
    """The first pair of numbered symptoms whose property names share a hash, found by trying."""
    one, other = "symptom-1022789", "symptom-1239192"
    assert fnv_1a(f"p_symptom_{one}") == fnv_1a(f"p_symptom_{other}")

    with pytest.raises(KnowledgeRefused, match=f"p_symptom_{one} and p_symptom_{other}"):
        compile_rule_sets(ConditionSet(derived={"x": SymptomIs(one)}, final={"y": SymptomIs(other)}))


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (1e-7, "0.0"), (-1e-7, "0.0"), (0.00005001, "1.0"), (2700, "27000000.0"), (7.2, "72000.0"),
        (-0.3, "-3000.0"), (9999999999.9999, "99999999999999.0"),
    ],
)  # fmt: skip
def test_numbers_are_written_whole(number: float, text: str) -> None:
    assert text == whole(number)
