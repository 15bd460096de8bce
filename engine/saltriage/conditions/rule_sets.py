"""Conditions compiled to rule sets of the outside engine: plain data, so that a knowledge bundle can carry them.

Nothing here imports the outside engine. The limits proven here are those within which it was found to be right; past
some of them it hangs or crashes instead of reporting an error.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from saltriage.conditions.atoms import YES, Atom, Property
from saltriage.conditions.condition_set import ConditionSet, Phase
from saltriage.conditions.normal_form import Term, normal_form
from saltriage.errors import KnowledgeRefused, MatcherFailed

__all__ = ["PROBE", "CompiledPhase", "RuleSetData", "compile_rule_sets", "prove_limits", "refuse_colliding_names"]

MOST_PENDING = 60  # matches waiting at once; the engine reports error 303 at 64
MOST_ATOMS = 400  # different comparisons in one rule set; the engine hangs at 512 under one node
MOST_PROPERTIES = 200
# The engine also crashes at 256 rules on one identical comparison. 60 that can fire at once are at most 120 rules.

PROBE = "p_probe"
"""Property of a rule that is fired once when a rule set is made: only after a firing may a rule set be deleted."""

RESERVED = ("sid", "id", "$s", PROBE)


@dataclass(frozen=True, slots=True)
class RuleSetData:
    """One rule set.

    Args:
        terms: of each rule the name, the condition's name, the truth it gives, its atoms as (property, sign, text).
        properties: names of all properties its rules look at, sorted.
    """

    terms: tuple[tuple[str, str, bool, tuple[tuple[str, str, str], ...]], ...]
    properties: tuple[str, ...]

    def definition(self) -> str:
        """The rule set in the outside engine's JSON, with the probe rule first."""
        rules = {"probe": _rule([(PROBE, "=", YES)])}
        rules |= {rule: _rule(atoms) for rule, _, _, atoms in self.terms}
        return json.dumps(rules)


@dataclass(frozen=True, slots=True)
class CompiledPhase:
    """The rule sets of one phase and the properties they look at."""

    rule_sets: tuple[RuleSetData, ...]
    properties: tuple[Property, ...]

    def conditions(self) -> frozenset[str]:
        """Names of the conditions it was compiled from."""
        return frozenset(name for rule_set in self.rule_sets for _, name, _, _ in rule_set.terms)


def compile_rule_sets(conditions: ConditionSet) -> tuple[CompiledPhase, ...]:
    """One compiled phase for each phase of the conditions; the same for any order of the rules.

    Shape: data classes of tuples, text and booleans; can be pickled, equal for equal conditions.

    Raises:
        KnowledgeRefused: a condition with too many alternatives, or names the outside engine would confuse.
    """
    compiled = tuple(_compiled(phase) for phase in conditions.phases)
    refuse_colliding_names([*RESERVED, *(item.name for phase in compiled for item in phase.properties)])
    return compiled


def _compiled(phase: Phase) -> CompiledPhase:
    sides = {name: normal_form(name, condition) for name, condition in phase.items()}
    rules = [
        (term, name, truth)
        for name, (true_terms, false_terms) in sides.items()
        for truth, terms in ((True, true_terms), (False, false_terms))
        for term in terms
    ]
    # Rules that look at the same properties come together, so that a case touches few rule sets.
    rules.sort(key=lambda rule: (sorted(rule[0]), rule[1], not rule[2]))
    properties = {atom.subject for term, _, _ in rules for atom in term}
    return CompiledPhase(tuple(_packed(rules)), tuple(sorted(properties)))


_Rule = tuple[Term, str, bool]


class _Box:
    """Rules that will share one rule set, with running counts of what is limited."""

    def __init__(self) -> None:
        self.rules: list[_Rule] = []
        self._atoms: set[Atom] = set()
        self._properties: set[Property] = set()
        self._sides: dict[str, list[int]] = {}
        self._pending = 0

    def takes(self, rule: _Rule) -> bool:
        """Add the rule if no limit is passed by it; a first rule always fits, a term being no longer than its rule."""
        term, name, truth = rule
        atoms = self._atoms | term
        properties = self._properties | {atom.subject for atom in term}
        sides = self._sides.setdefault(name, [0, 0])
        more = 1 if sides[truth] == max(sides) else 0
        if self.rules and (
            self._pending + more > MOST_PENDING or len(atoms) > MOST_ATOMS or len(properties) > MOST_PROPERTIES
        ):
            return False
        self.rules.append(rule)
        self._atoms, self._properties = atoms, properties
        sides[truth] += 1
        self._pending += more
        return True


def _packed(rules: Iterable[_Rule]) -> Iterable[RuleSetData]:
    """Rules in order, a new rule set whenever the next rule would pass a limit."""
    box = _Box()
    for rule in rules:
        if not box.takes(rule):
            yield _rule_set(box.rules)
            box = _Box()
            box.takes(rule)
    if box.rules:
        yield _rule_set(box.rules)


def most_pending(rules: Iterable[tuple[str, bool]]) -> int:
    """How many of the rules can fire on one case: those of a condition's larger side, since never both sides do."""
    counts: dict[str, list[int]] = {}
    for name, truth in rules:
        counts.setdefault(name, [0, 0])[truth] += 1
    return sum(map(max, counts.values()))


def _rule_set(rules: Sequence[_Rule]) -> RuleSetData:
    terms = tuple(
        (f"r{n}", name, truth, tuple((atom.subject.name, atom.sign, atom.against) for atom in sorted(term)))
        for n, (term, name, truth) in enumerate(rules)
    )
    return RuleSetData(terms, tuple(sorted({atom[0] for _, _, _, atoms in terms for atom in atoms})))


_SIGNS = {"<": "$lt", "<=": "$lte", ">": "$gt", ">=": "$gte"}


def _rule(atoms: Iterable[tuple[str, str, str]]) -> object:
    """The only form of rule used: one message, all of whose comparisons hold."""
    parts: list[Mapping[str, object]] = [
        {subject: against} if sign == "=" else {_SIGNS[sign]: {subject: float(against)}}
        for subject, sign, against in atoms
    ]
    return {"all": [{"m": {"$and": parts}}]}


def prove_limits(rule_set: RuleSetData) -> None:
    """Refuse a rule set that the outside engine might not survive.

    Raises:
        MatcherFailed: a limit is passed; compiled data always keeps them, so the data was made or changed elsewhere.
    """
    compared = {atom for _, _, _, atoms in rule_set.terms for atom in atoms}
    pending = most_pending((name, truth) for _, name, truth, _ in rule_set.terms)
    for what, found, most in (
        ("rules that can fire at once", pending, MOST_PENDING),
        ("different comparisons", len(compared), MOST_ATOMS),
        ("properties", len(rule_set.properties), MOST_PROPERTIES),
    ):
        if found > most:
            raise MatcherFailed(f"a rule set has {found} {what}; at most {most} are safe")
    if any(not atoms for _, _, _, atoms in rule_set.terms):
        raise MatcherFailed("a rule set has a rule without comparisons")
    if not {atom[0] for atom in compared} <= set(rule_set.properties) - set(RESERVED):
        raise MatcherFailed("a rule set compares a property it does not list, or a reserved one")
    refuse_colliding_names([*RESERVED, *rule_set.properties])


def refuse_colliding_names(names: Iterable[str]) -> None:
    """Refuse two different names with one hash: the outside engine knows properties by a 32-bit hash only.

    Raises:
        KnowledgeRefused: naming both.
    """
    seen: dict[int, str] = {}
    for name in dict.fromkeys(names):
        other = seen.setdefault(fnv_1a(name), name)
        if other != name:
            text = f"{other} and {name} cannot be told apart by the rule engine (same 32-bit hash); rename one of them"
            raise KnowledgeRefused([text])


def fnv_1a(name: str) -> int:
    """FNV-1a, 32 bits (Fowler, Noll and Vo): offset basis 0x811c9dc5, prime 0x01000193."""
    digest = 0x811C9DC5
    for byte in name.encode():
        digest = (digest ^ byte) * 0x01000193 & 0xFFFFFFFF
    return digest
