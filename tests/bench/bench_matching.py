"""How long matching takes, by every engine, over the same conditions and cases. Run from the top folder:

    PYTHONPATH=engine python tests/bench/bench_matching.py [number of conditions, default 600]

Every engine's answers are compared with the plain definition before its time is printed; the share that agrees is
shown. Times are medians of one process on whatever machine this runs on; nothing here is asserted. clipspy takes part
if it is installed (general-purpose rule engine; not needed by anything else).
"""

import json
import logging
import random
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from statistics import median

from saltriage.conditions import ConditionSet
from saltriage.conditions.atoms import PropertyIndex
from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Comparator,
    Condition,
    ContextIs,
    Facts,
    Interval,
    Not,
    Number,
    ReadingBound,
    ReadingIs,
    SymptomIs,
    Truth,
    evaluate,
)
from saltriage.conditions.durable_adapter import DurableEngine
from saltriage.conditions.plain import PlainEngine
from saltriage.conditions.rule_sets import CompiledPhase, compile_rule_sets

READINGS = [f"reading-{n}" for n in range(40)]
SYMPTOMS = [f"symptom-{n}" for n in range(200)]
CONTEXTS = {f"context-{n}": ("a", "b", "c") for n in range(8)}
CASES = 100
FINAL = 1
_KEPT: list[object] = []  # CLIPS writes notes about its memory between the lines of the table when one is freed
Answer = Mapping[str, Truth]
Match = Callable[[Facts], Answer]


def leaf(chance: random.Random) -> Condition:
    """Readings against a number, a range or another reading; symptoms; contexts."""
    kind = chance.random()
    if kind < 0.45:
        reading, other = chance.sample(READINGS, 2)
        number = Number(round(chance.uniform(0, 100), 1))
        if chance.random() < 0.2:
            return ReadingIs(reading, Comparator.BETWEEN, (number, Number(number.value + 10)))
        comparator = chance.choice([Comparator.BELOW, Comparator.ABOVE, Comparator.AT_LEAST, Comparator.AT_MOST])
        return ReadingIs(reading, comparator, (number if chance.random() < 0.85 else ReadingBound(other, number),))
    if kind < 0.9:
        return SymptomIs(chance.choice(SYMPTOMS), chance.random() < 0.7)
    key = chance.choice(sorted(CONTEXTS))
    return ContextIs(key, tuple(chance.sample(CONTEXTS[key], 2)))


def tree(chance: random.Random, depth: int = 2) -> Condition:
    if depth == 0 or chance.random() < 0.3:
        return leaf(chance)
    if chance.random() < 0.15:
        return Not(tree(chance, depth - 1))
    parts = tuple(tree(chance, depth - 1) for _ in range(chance.randrange(1, 4)))
    return (AllOf if chance.random() < 0.5 else AnyOf)(parts)


def case(chance: random.Random, known: float) -> Facts:
    """Facts of which this share is known."""
    readings = {reading: chance.uniform(0, 100) for reading in READINGS if chance.random() < known}
    return Facts(
        {reading: Interval(middle - 1, middle + 1) for reading, middle in readings.items()},
        {symptom: chance.random() < 0.4 for symptom in SYMPTOMS if chance.random() < known},
        {},
        {key: chance.choice(values) for key, values in CONTEXTS.items()},
    )


def all_of(known: Answer, names: Mapping[str, Condition]) -> Answer:
    return {name: known.get(name, Truth.UNKNOWN) for name in names}


def by_definition(rules: Mapping[str, Condition]) -> Match:
    return lambda facts: {name: evaluate(condition, facts) for name, condition in rules.items()}


def by_stock_host(phase: CompiledPhase) -> Match:
    """durable-rules through its public host, same rule sets, every message whole and to every rule set."""
    from durable.engine import Host, MessageNotHandledException

    logging.disable(logging.CRITICAL)
    fired: set[tuple[str, bool]] = set()
    definitions = {}
    for number, rule_set in enumerate(phase.rule_sets):
        definition = json.loads(rule_set.definition())
        del definition["probe"]
        for rule, name, truth, _ in rule_set.terms:
            definition[rule]["run"] = noting(fired, (name, truth))
        definitions[f"set-{number}"] = definition
    host = Host(definitions)
    index = PropertyIndex(frozenset(phase.properties))

    def match(facts: Facts) -> Answer:
        fired.clear()
        values = {name: json.loads(value) for name, value in index.values(facts).items()}
        for number, rule_set in enumerate(phase.rule_sets):
            fact = {name: values[name] for name in rule_set.properties if name in values}
            if not fact:
                continue
            with suppress(MessageNotHandledException):
                host.assert_fact(f"set-{number}", {"sid": "1", "id": "1", **fact})
            host.retract_fact(f"set-{number}", {"sid": "1", "id": "1", **fact})
        return {name: Truth.of(truth) for name, truth in fired}

    return match


def noting(fired: set[tuple[str, bool]], what: tuple[str, bool]) -> Callable[[object], None]:
    """An action for the stock host, which takes functions of exactly one argument."""
    return lambda _: fired.add(what)


def by_clips(phase: CompiledPhase) -> Match:
    """CLIPS through clipspy: one rule for each term over ordered facts (property value)."""
    import clips

    environment = clips.Environment()
    _KEPT.append(environment)
    terms = [term for rule_set in phase.rule_sets for term in rule_set.terms]
    for number, (_, name, truth, atoms) in enumerate(terms):
        patterns = " ".join(
            f"({subject} {against})" if sign == "=" else f"({subject} ?v{n}&:({sign} ?v{n} {against}))"
            for n, (subject, sign, against) in enumerate(atoms)
        )
        environment.build(f"(defrule r{number} {patterns} => (assert (fired {name} {Truth.of(truth).value})))")
    index = PropertyIndex(frozenset(phase.properties))

    def match(facts: Facts) -> Answer:
        environment.reset()
        for name, value in index.values(facts).items():
            environment.assert_string(f"({name} {json.loads(value)})")
        environment.run()
        return {str(fact[0]): Truth(str(fact[1])) for fact in environment.facts() if fact.template.name == "fired"}

    return match


def timed(call: Callable[[], object]) -> tuple[float, object]:
    """Milliseconds and the result."""
    start = time.perf_counter()
    result = call()
    return 1e3 * (time.perf_counter() - start), result


def report(name: str, build: Callable[[], Match], rules: Mapping[str, Condition], cases: list[Facts]) -> None:
    try:
        build_ms, match = timed(build)
    except ImportError as missing:
        print(f"{name:34}{'not installed: ' + str(missing):>12}")
        return
    assert callable(match)
    first_ms, _ = timed(lambda: match(cases[0]))
    right = by_definition(rules)
    agreeing = sum(all_of(match(facts), rules) == right(facts) for facts in cases)
    times = [timed(lambda facts=facts: match(facts))[0] for facts in cases]
    print(f"{name:34}{build_ms:12.1f}{first_ms:12.1f}{1e3 * median(times):12.0f}{agreeing:8} of {len(cases)}")


def main(number: int) -> None:
    chance = random.Random(1)
    rules = {f"rule-{n}": tree(chance) for n in range(number)}
    conditions = ConditionSet(final=rules)
    compile_ms, _ = timed(lambda: compile_rule_sets(conditions))
    compiled = compile_rule_sets(conditions)
    phase = compiled[FINAL]
    terms = sum(len(rule_set.terms) for rule_set in phase.rule_sets)
    print(f"{number} conditions, {terms} terms in {len(phase.rule_sets)} rule sets; compiled in {compile_ms:.0f} ms")
    durable, plain = DurableEngine(compiled), PlainEngine(conditions.phases)
    for known in (0.05, 0.2, 0.8):
        cases = [case(chance, known) for _ in range(CASES)]
        print(f"\n{known:4.0%} known{'':23}{'build, ms':>12}{'first, ms':>12}{'case, us':>12}   agrees")
        durable.close()
        report("durable-rules by the adapter", lambda: lambda facts: durable.truths(FINAL, facts), rules, cases)
        report("plain evaluator", lambda: lambda facts: plain.truths(FINAL, facts), rules, cases)
        report("the plain definition", lambda: by_definition(rules), rules, cases)
        report("durable-rules by its stock host", lambda: by_stock_host(phase), rules, cases)
        report("CLIPS by clipspy", lambda: by_clips(phase), rules, cases)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 600)
