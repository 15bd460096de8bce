"""The adapter to durable-rules: cases leave nothing behind, failures are ours and survived, processes stay healthy."""

import threading
from collections.abc import Callable
from typing import Any

import pytest
from children import child

from saltriage.conditions import ConditionSet
from saltriage.conditions.condition import AllOf, Comparator, Facts, Not, Number, ReadingIs, SymptomIs, Truth
from saltriage.conditions.durable_adapter import DurableEngine, _RuleSet
from saltriage.conditions.rule_sets import CompiledPhase, RuleSetData, compile_rule_sets
from saltriage.errors import MatcherFailed
from saltriage.pool.interval import Interval

durable_rules_engine = pytest.importorskip(
    "durable_rules_engine", reason="the extension does not import under this Python"
)

LOW = ReadingIs("salt", Comparator.BELOW, (Number(2700.0),))
RULES = ConditionSet(
    final={"low": LOW, "low-and-weak": AllOf((LOW, SymptomIs("weak"))), "not-weak": Not(SymptomIs("weak"))}
)
FINAL = 1
A = Facts({"salt": Interval.exact(2000.0)}, {"weak": True})
B = Facts(symptoms={"weak": False})
TRUTHS_OF_A = {"low": Truth.TRUE, "low-and-weak": Truth.TRUE, "not-weak": Truth.FALSE}
TRUTHS_OF_B = {"low-and-weak": Truth.FALSE, "not-weak": Truth.TRUE}


@pytest.fixture
def engine() -> DurableEngine:
    return DurableEngine(compile_rule_sets(RULES))


class Faulty:
    """The extension with one function replaced; every other call goes through."""

    def __init__(self, real: Any, name: str, instead: Callable[..., Any]) -> None:
        self._real, self._name, self._instead = real, name, instead

    def __getattr__(self, name: str) -> Any:
        return self._instead if name == self._name else getattr(self._real, name)


def raising(error: BaseException) -> Callable[..., Any]:
    def function(*_: object) -> Any:
        raise error

    return function


def break_one(engine: DurableEngine, name: str, instead: Callable[..., Any]) -> Callable[[], None]:
    """Replace one function in the rule sets already built; gives back what puts it right for sets built later."""
    real = engine._extension
    engine._extension = Faulty(real, name, instead)
    for rule_set in engine._built.values():
        rule_set._extension = engine._extension

    def mend() -> None:
        engine._extension = real

    return mend


def test_a_case_after_another_is_as_if_alone(engine: DurableEngine) -> None:
    assert engine.truths(FINAL, A) == TRUTHS_OF_A
    assert engine.truths(FINAL, B) == TRUTHS_OF_B
    assert engine.truths(FINAL, A) == TRUTHS_OF_A
    assert engine.truths(FINAL, Facts()) == {}


@pytest.mark.parametrize(
    ("name", "instead"),
    [
        ("assert_fact", lambda *_: (2, 1)),  # "seen already"
        ("assert_fact", raising(MemoryError())),
        ("assert_fact", raising(RuntimeError("Could not assert fact, error code: 303"))),
        ("start_action_for_state", raising(RuntimeError("no such state"))),
        ("complete_and_start_action", raising(RuntimeError("no such action"))),
        ("start_action_for_state", lambda *_: None),
        ("retract_fact", raising(RuntimeError("no such fact"))),
        ("complete_and_start_action", lambda *_: '{"unheard-of":{}}'),
    ],
)
def test_a_failure_is_ours_names_the_case_and_is_survived(
    engine: DurableEngine, name: str, instead: Callable[..., Any]
) -> None:
    engine.truths(FINAL, A)
    mend = break_one(engine, name, instead)

    with pytest.raises(MatcherFailed, match=r"p_low_salt 20000000\.0.*p_symptom_weak \"yes\""):
        engine.truths(FINAL, A)
    mend()

    assert engine.truths(FINAL, B) == TRUTHS_OF_B
    assert engine.truths(FINAL, A) == TRUTHS_OF_A


def test_an_interrupt_passes_through_and_leaves_nothing_behind(engine: DurableEngine) -> None:
    engine.truths(FINAL, A)
    mend = break_one(engine, "start_action_for_state", raising(KeyboardInterrupt()))

    with pytest.raises(KeyboardInterrupt):
        engine.truths(FINAL, A)
    mend()

    assert engine.truths(FINAL, B) == TRUTHS_OF_B


def test_both_true_and_false_is_refused(engine: DurableEngine) -> None:
    """Rules tampered with so that a condition's two sides overlap."""
    same = (("p_symptom_weak", "=", "yes"),)
    phase = compile_rule_sets(RULES)[FINAL]
    bad = RuleSetData((("r0", "low", True, same), ("r1", "low", False, same)), ("p_symptom_weak",))
    broken = DurableEngine([CompiledPhase((bad,), phase.properties)])

    with pytest.raises(MatcherFailed, match="low to be both true and false"):
        broken.truths(0, A)


def test_an_unsound_installation_is_noticed(engine: DurableEngine) -> None:
    mend = break_one(engine, "assert_fact", lambda *_: (1, 1))

    with pytest.raises(MatcherFailed, match="did not fire"):
        engine.truths(FINAL, A)
    mend()


def test_threads_may_share_an_engine_or_have_their_own(engine: DurableEngine) -> None:
    wrong: list[object] = []

    def work(mine: DurableEngine, facts: Facts, expected: dict[str, Truth]) -> None:
        for _ in range(200):
            found = mine.truths(FINAL, facts)
            if found != expected:
                wrong.append(found)

    own = DurableEngine(compile_rule_sets(RULES))
    threads = [
        threading.Thread(target=work, args=(mine, facts, expected))
        for mine in (engine, engine, own)
        for facts, expected in ((A, TRUTHS_OF_A), (B, TRUTHS_OF_B))
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert wrong == []


def test_an_engine_can_be_closed_used_again_and_pickled(engine: DurableEngine) -> None:
    import pickle

    engine.truths(FINAL, A)
    engine.close()

    assert engine.truths(FINAL, B) == TRUTHS_OF_B
    assert pickle.loads(pickle.dumps(engine)).truths(FINAL, A) == TRUTHS_OF_A


def test_a_forked_child_answers_even_if_another_thread_was_at_work() -> None:
    """The parent's lock is held at the time of the fork, as it would be by a thread the child does not have."""
    printed = child(
        """
        import os, signal
        from test_durable_adapter import *
        engine = DurableEngine(compile_rule_sets(RULES))
        assert engine.truths(FINAL, A) == TRUTHS_OF_A
        engine._lock.acquire()
        number = os.fork()
        if number == 0:
            signal.alarm(20)
            right = engine.truths(FINAL, B) == TRUTHS_OF_B and engine.truths(FINAL, A) == TRUTHS_OF_A
            os._exit(0 if right else 1)
        engine._lock.release()
        print(os.waitstatus_to_exitcode(os.waitpid(number, 0)[1]), engine.truths(FINAL, B) == TRUTHS_OF_B)
        """
    )

    assert printed == "0 True"


_RESIDENT = """
def resident_kilobytes():
    for line in open("/proc/self/status"):
        if line.startswith("VmRSS"):
            return int(line.split()[1])
"""


@pytest.mark.skipif("not __import__('os').path.exists('/proc/self/status')", reason="memory is read from Linux's /proc")
def test_memory_stays_flat_over_five_thousand_cases() -> None:
    printed = child(
        _RESIDENT
        + """
from test_durable_adapter import *
engine = DurableEngine(compile_rule_sets(RULES))
def some(count):
    for n in range(count):
        engine.truths(FINAL, Facts({"salt": Interval.exact(2000.0 + n)}, {"weak": n % 3 == 0}))
some(500)
before = resident_kilobytes()
some(5000)
print(resident_kilobytes() - before)
"""
    )

    assert int(printed) < 1000  # kilobytes: 0.2 for each case would show a fact kept


@pytest.mark.skipif("not __import__('os').path.exists('/proc/self/status')", reason="memory is read from Linux's /proc")
def test_closed_and_forgotten_engines_give_their_memory_back() -> None:
    """An engine of this size takes some hundred kilobytes; 300 of them kept would be far beyond the bound."""
    printed = child(
        _RESIDENT
        + """
from test_durable_adapter import *
below = [ReadingIs("salt", Comparator.BELOW, (Number(n),)) for n in range(50)]
rules = {f"rule-{n}": AllOf((below[n], SymptomIs(f"s-{n}"))) for n in range(50)}
compiled = compile_rule_sets(ConditionSet(final=rules))
facts = Facts({"salt": Interval.exact(3.0)}, {"s-20": True})
def some(count):
    for n in range(count):
        engine = DurableEngine(compiled)
        assert engine.truths(FINAL, facts)["rule-20"] is Truth.TRUE
        if n % 2:
            engine.close()
some(20)
before = resident_kilobytes()
some(300)
print(resident_kilobytes() - before)
"""
    )

    assert int(printed) < 10_000  # kilobytes


@pytest.mark.long
def test_nothing_depends_on_memory_that_was_never_written() -> None:
    """glibc fills memory with a pattern when it is given out and taken back; answers must still be the same."""
    printed = child(
        """
        from hypothesis import settings
        settings.register_profile("quick", max_examples=25, deadline=None, database=None)
        settings.load_profile("quick")
        import test_engines_agree as tests
        tests.test_durable_rules_agrees_with_the_definition()
        print("agreed")
        """,
        seconds=120,
        MALLOC_PERTURB_="170",
    )

    assert printed == "agreed"


LIMITS = {
    "rules that can fire at once": (60, "[(f'r{n}', f'c{n}', True, (('p_a', '<', f'{n}.0'),)) for n in range(COUNT)]"),
    "different comparisons": (
        400,
        "[(f'r{n}', f'c{n}', True, tuple(('p_a', '<', f'{m}.0') for m in range(n * 10, min(COUNT, n * 10 + 10))))"
        " for n in range(-(-COUNT // 10))]",
    ),
    "properties": (
        200,
        "[(f'r{n}', f'c{n}', True, tuple((f'p_{m}', '=', 'yes') for m in range(n * 5, min(COUNT, n * 5 + 5))))"
        " for n in range(-(-COUNT // 5))]",
    ),
}


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize("beyond", [0, 1])
def test_at_a_limit_rule_sets_work_and_beyond_it_they_are_refused(limit: str, beyond: int) -> None:
    """In a child with a time limit, because past its limits the extension hangs or crashes."""
    most, terms = LIMITS[limit]
    printed = child(
        f"""
        COUNT = {most + beyond}
        from saltriage.errors import MatcherFailed
        from saltriage.conditions.durable_adapter import _RuleSet
        from saltriage.conditions.rule_sets import RuleSetData
        import durable_rules_engine
        terms = tuple({terms})
        data = RuleSetData(terms, tuple(sorted({{atom[0] for term in terms for atom in term[3]}})))
        try:
            rule_set = _RuleSet(durable_rules_engine, data)
            message = ",".join(f'"{{n}}":' + ("-1.0" if n == "p_a" else '"yes"') for n in data.properties)
            print("fired", len(rule_set.truths(message)) == len(terms))
        except MatcherFailed as refusal:
            print(refusal)
        """,
        seconds=30,
    )

    assert ("fired True" if not beyond else f"{most + 1} {limit}; at most {most} are safe") in printed


def test_the_most_rules_on_one_comparison_work() -> None:
    """60 conditions with both sides on one comparison: no rule set can hold more rules."""
    sides = (
        (f"r{n}", f"c{n // 2}", n % 2 == 0, (("p_a", "<", "1.0"), ("p_b", "<" if n % 2 else ">=", f"{n // 2}.0")))
        for n in range(120)
    )
    rule_set = _RuleSet(durable_rules_engine, RuleSetData(tuple(sides), ("p_a", "p_b")))

    fired = rule_set.truths('"p_a":0.0,"p_b":30.0')

    assert {(f"c{n}", Truth.of(n <= 30)) for n in range(60)} == set(fired)
    rule_set.close()


@pytest.mark.parametrize(
    ("terms", "properties"),
    [
        ((("r0", "c", True, ()),), ()),
        ((("r0", "c", True, (("p_a", "=", "yes"),)),), ("p_b",)),
        ((("r0", "c", True, (("sid", "=", "yes"),)),), ("sid",)),
    ],
)
def test_rules_without_comparisons_and_reserved_names_are_refused(terms: Any, properties: tuple[str, ...]) -> None:
    with pytest.raises(MatcherFailed, match="rule set"):
        _RuleSet(durable_rules_engine, RuleSetData(terms, properties))
