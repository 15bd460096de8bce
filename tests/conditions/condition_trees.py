"""Random conditions and facts: few ids and few numbers, so that thresholds are hit, straddled and missed often."""

from hypothesis import strategies as st

from saltriage.conditions import ConditionSet
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
    SymptomIs,
)

READINGS = ("salt", "free-chlorine", "ph", "water-temperature")
ANSWERED = ("bubbles", "jets-weak", "plates-white", "light-red")
DERIVED = ("level-0", "level-1", "level-2", "level-3")
DOUBTS = ("bleached", "cold-sensor", "old-strips")
CONTEXTS = {"surface": ("plaster", "tile", "vinyl"), "setting": ("indoor", "outdoor")}

# Around whole thresholds, beside them by less and by more than the fourth decimal, and beyond.
NEARBY = (-2.5, -1.0, -0.0001, -0.00001, 0.0, 0.00004, 0.0001, 0.1 + 0.2, 0.3, 1.0, 1.00004, 1.0001, 2.0, 7.2, 1e7, 1e9)

numbers = st.one_of(st.sampled_from(NEARBY), st.floats(-3, 3).map(lambda number: round(number, 5)))
rule_numbers = st.builds(Number, numbers)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    """Exact, or a little or much wider."""
    middle, half = draw(numbers), draw(st.sampled_from((0.0, 0.0, 0.00003, 0.1, 1.0, 5.0)))
    return Interval(middle - half, middle + half)


@st.composite
def readings_compared(draw: st.DrawFn) -> ReadingIs:
    """A reading against numbers or against another reading."""
    reading, other = draw(st.permutations(READINGS))[:2]
    bounds = st.one_of(rule_numbers, st.builds(ReadingBound, st.just(other), st.none() | rule_numbers))
    comparator = draw(st.sampled_from(Comparator))
    count = 2 if comparator is Comparator.BETWEEN else 1
    return ReadingIs(reading, comparator, tuple(draw(bounds) for _ in range(count)))


@st.composite
def contexts(draw: st.DrawFn) -> ContextIs:
    """A context with one or two of its values."""
    key = draw(st.sampled_from(sorted(CONTEXTS)))
    return ContextIs(key, tuple(draw(st.lists(st.sampled_from(CONTEXTS[key]), min_size=1, max_size=2, unique=True))))


def conditions(symptoms: tuple[str, ...] = ANSWERED, doubts: tuple[str, ...] = DOUBTS) -> st.SearchStrategy[Condition]:
    """Trees over these symptoms and doubts."""
    leaves: list[st.SearchStrategy[Condition]] = [
        readings_compared(),
        contexts(),
        st.builds(SymptomIs, st.sampled_from(symptoms), st.booleans()),
    ]
    if doubts:
        leaves.append(st.builds(DoubtIs, st.sampled_from(doubts)))
    return st.recursive(
        st.one_of(leaves),
        lambda parts: st.one_of(
            st.builds(Not, parts),
            st.builds(AllOf, st.lists(parts, min_size=1, max_size=3).map(tuple)),
            st.builds(AnyOf, st.lists(parts, min_size=1, max_size=3).map(tuple)),
        ),
        max_leaves=7,
    )


@st.composite
def condition_sets(draw: st.DrawFn) -> ConditionSet:
    """Doubts, chained derived symptoms (each may look at those before it), final conditions."""
    doubts = {doubt: draw(conditions(ANSWERED, ())) for doubt in DOUBTS}
    withdraws = {doubt: frozenset(draw(st.lists(st.sampled_from(READINGS), max_size=2))) for doubt in DOUBTS[:2]}
    derived = {symptom: draw(conditions(ANSWERED + DERIVED[:n])) for n, symptom in enumerate(DERIVED)}
    final = {f"rule-{n}": draw(conditions(ANSWERED + DERIVED)) for n in range(draw(st.integers(0, 5)))}
    return ConditionSet(doubts, withdraws, derived, final)


def facts() -> st.SearchStrategy[Facts]:
    """Facts in which anything may be missing."""
    return st.builds(
        Facts,
        readings=st.dictionaries(st.sampled_from(READINGS), intervals()),
        symptoms=st.dictionaries(st.sampled_from(ANSWERED + DERIVED), st.booleans()),
        doubts=st.dictionaries(st.sampled_from(DOUBTS), st.booleans()),
        contexts=st.fixed_dictionaries({}, optional={key: st.sampled_from(of) for key, of in CONTEXTS.items()}),
    )
