"""The one module that knows durable-rules: compiled rule sets in, truths out.

Of durable-rules only a narrow part is used, inside which it was found to be exactly right: one flat message for each
case, rules that are one `$and` of comparisons with fixed values, the extension's functions called directly (the stock
host runs timer threads and swallows exceptions). Every case has the same session and message id and is retracted in
the end, so that no case leaves anything behind for the next.
"""

import os
import threading
import weakref
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import count
from typing import Any

from saltriage.conditions.atoms import PropertyIndex
from saltriage.conditions.condition import Facts, Truth
from saltriage.conditions.rule_sets import MOST_PENDING, PROBE, CompiledPhase, RuleSetData, prove_limits
from saltriage.errors import MatcherFailed

__all__ = ["DurableEngine"]

_SESSION = "1"
_HEAD = f'{{"sid":"{_SESSION}","id":"1",'
_MATCHED, _NOTHING_MATCHED = 0, 1
_names = count(1)
_alive: "weakref.WeakSet[DurableEngine]" = weakref.WeakSet()


class _RuleSet:
    """One rule set living in the extension; built when first needed, deleted with `close`."""

    def __init__(self, extension: Any, rule_set: RuleSetData) -> None:
        prove_limits(rule_set)
        self._extension = extension
        self._gives = {rule: (name, Truth.of(truth)) for rule, name, truth, _ in rule_set.terms}
        self._handle = extension.create_ruleset(f"saltriage-{next(_names)}", rule_set.definition())
        if self._fired(f'"{PROBE}":"yes"') != ["probe"]:
            raise MatcherFailed("durable-rules did not fire a rule that must fire; its installation is not sound")

    def truths(self, message: str) -> list[tuple[str, Truth]]:
        """(condition, truth) for every rule that fires on the message, given as the inside of a JSON object."""
        return [self._gives[rule] for rule in self._fired(message)]

    def close(self) -> None:
        """Free the rule set and, before it, its state, which deleting the rule set alone would leak.

        Freeing a state in which nothing ever fired would free a pointer never set; here the probe rule has fired.
        """
        self._extension.delete_state(self._handle, _SESSION)
        self._extension.delete_ruleset(self._handle)

    def _fired(self, message: str) -> list[str]:
        fact = f"{_HEAD}{message}}}"
        fired: list[str] = []
        try:
            code, state = self._extension.assert_fact(self._handle, fact)
            if code == _MATCHED:
                fired = list(self._drained(state))
                if not fired:
                    raise MatcherFailed("durable-rules matched a fact and then fired nothing")
            elif code != _NOTHING_MATCHED:
                raise MatcherFailed(f"durable-rules answered {code} to a fact it cannot have seen before")
        finally:
            self._extension.retract_fact(self._handle, fact)
        return fired

    def _drained(self, state: Any) -> Iterator[str]:
        """Names of the rules that wait to be run in this state, until none is left."""
        started = self._extension.start_action_for_state(self._handle, state)
        waiting = started[1] if started else None
        for _ in range(MOST_PENDING + 1):
            if not waiting:
                return
            # The text is {"rule name":{"m":{...}}}; our rule names hold no quotation mark.
            yield waiting[2 : waiting.index('"', 2)]
            waiting = self._extension.complete_and_start_action(self._handle, state)
        raise MatcherFailed("durable-rules fires more rules on one fact than can fire")


class DurableEngine:
    """Truths of conditions by durable-rules.

    One lock guards all of it, so threads may share an engine. After a fork the child builds its own rule sets. After
    any failure all rule sets are given up and built anew for the next case.

    Args:
        phases: as `compile_rule_sets` made them.

    Raises:
        ImportError: the extension is not installed or cannot be loaded under this Python.
    """

    name = "durable-rules"

    def __init__(self, phases: Sequence[CompiledPhase]) -> None:
        import durable_rules_engine

        self._extension = durable_rules_engine
        self._phases = tuple(phases)
        self._indexes = [PropertyIndex(frozenset(phase.properties)) for phase in self._phases]
        self._sets_by_property = [_sets_by_property(phase) for phase in self._phases]
        self._lock = threading.Lock()
        self._built: dict[tuple[int, int], _RuleSet] = {}
        weakref.finalize(self, _close_all, self._built).atexit = False
        _alive.add(self)

    def __reduce__(self) -> tuple[type["DurableEngine"], tuple[tuple[CompiledPhase, ...]]]:
        return DurableEngine, (self._phases,)

    def truths(self, phase: int, facts: Facts) -> Mapping[str, Truth]:
        """Conditions of the phase that are known to be true or false; those not in the answer are unknown.

        Raises:
            MatcherFailed: the extension broke its contract; the facts are in the text.
        """
        values = self._indexes[phase].values(facts)
        messages: defaultdict[int, list[str]] = defaultdict(list)
        sets = self._sets_by_property[phase]
        for name, value in values.items():
            part = f'"{name}":{value}'
            for number in sets.get(name, ()):
                messages[number].append(part)
        found: dict[str, Truth] = {}
        with self._lock, self._given_up_on_failure(values):
            for number, parts in messages.items():
                for condition, truth in self._rule_set(phase, number).truths(",".join(parts)):
                    if found.setdefault(condition, truth) is not truth:
                        raise MatcherFailed(f"durable-rules found {condition} to be both true and false")
        return found

    def close(self) -> None:
        """Free all rule sets; the engine may be used again and then builds them anew."""
        with self._lock:
            _close_all(self._built)

    def _rule_set(self, phase: int, number: int) -> _RuleSet:
        """Built at the first case that touches it, since most cases touch few."""
        rule_set = self._built.get((phase, number))
        if rule_set is None:
            rule_set = _RuleSet(self._extension, self._phases[phase].rule_sets[number])
            self._built[phase, number] = rule_set
        return rule_set

    @contextmanager
    def _given_up_on_failure(self, values: Mapping[str, str]) -> Iterator[None]:
        """On any failure leave the rule sets behind; to delete them in an unknown state could crash."""
        try:
            yield
        except BaseException as failure:
            self._built.clear()
            if isinstance(failure, Exception):
                case = ", ".join(f"{name} {value}" for name, value in sorted(values.items()))
                raise MatcherFailed(f"the rule engine failed: {failure!r}; it was given: {case}") from failure
            raise

    def abandon(self) -> None:
        """Leave all rule sets behind without freeing them and take a lock nobody holds; the next case builds anew."""
        self._lock = threading.Lock()
        self._built.clear()


def _close_all(built: dict[tuple[int, int], _RuleSet]) -> None:
    while built:
        built.popitem()[1].close()


def _sets_by_property(phase: CompiledPhase) -> dict[str, list[int]]:
    numbers: dict[str, list[int]] = {}
    for number, rule_set in enumerate(phase.rule_sets):
        for name in rule_set.properties:
            numbers.setdefault(name, []).append(number)
    return numbers


def _after_fork() -> None:
    """In a child: another thread of the parent may have been at work, so neither locks nor rule sets can be trusted."""
    for engine in list(_alive):
        engine.abandon()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_after_fork)
