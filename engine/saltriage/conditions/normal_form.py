"""Conditions as alternatives of atoms: one list of terms that make it true, one of terms that make it false.

A term is a set of atoms; the condition is true when all atoms of at least one of its true terms hold, false when all
of one of its false terms hold, unknown otherwise. This is exactly strong Kleene logic, for which De Morgan's and the
distributive laws and absorption hold.
"""

from collections.abc import Iterable

from saltriage.conditions.atoms import Atom, atoms_of
from saltriage.conditions.condition import AllOf, AnyOf, Condition, Not
from saltriage.errors import KnowledgeRefused

__all__ = ["MOST_TERMS", "Term", "Terms", "normal_form"]

Term = frozenset[Atom]
Terms = tuple[Term, ...]

# Terms on either side of one condition. A person cannot read a rule that needs more; it is to be split.
MOST_TERMS = 256
# On the way absorption may still shrink the list, but not from beyond all measure.
_MOST_ON_THE_WAY = 4 * MOST_TERMS


class _TooManyTerms(Exception):
    """The condition has more alternatives than can be matched."""


def normal_form(name: str, condition: Condition) -> tuple[Terms, Terms]:
    """Terms that make the condition true and terms that make it false, each in one fixed order.

    Raises:
        KnowledgeRefused: more than `MOST_TERMS` on one side; the text names the condition.
    """
    try:
        sides = _terms(condition, True), _terms(condition, False)
    except _TooManyTerms:
        sides = None
    if sides is None or max(map(len, sides)) > MOST_TERMS:
        text = f"{name}: the condition has more than {MOST_TERMS} alternatives; split the rule or derive a symptom"
        raise KnowledgeRefused([text])
    return _sorted(sides[0]), _sorted(sides[1])


def _sorted(terms: Iterable[Term]) -> Terms:
    return tuple(sorted(terms, key=sorted))


def _terms(condition: Condition, wanted: bool) -> set[Term]:
    """Terms that give the condition the wanted truth, none of them containing another."""
    match condition:
        case Not(part):
            return _terms(part, not wanted)
        case AllOf(parts) | AnyOf(parts):
            sides = [_terms(part, wanted) for part in parts]
            return _every(sides) if isinstance(condition, AllOf) is wanted else _either(sides)
        case _:
            pairs = atoms_of(condition)
            if wanted:
                return _absorbed({frozenset(true for true, _ in pairs)})
            return _absorbed({frozenset([false]) for _, false in pairs})


def _either(sides: Iterable[set[Term]]) -> set[Term]:
    return _absorbed(set().union(*sides))


def _every(sides: Iterable[set[Term]]) -> set[Term]:
    product: set[Term] = {frozenset()}
    for side in sides:
        if len(product) * len(side) > _MOST_ON_THE_WAY * MOST_TERMS:
            raise _TooManyTerms
        product = _absorbed({one | other for one in product for other in side})
    return product


def _absorbed(terms: set[Term]) -> set[Term]:
    """Without terms that say more than another term, which fires whenever they do."""
    if len(terms) > _MOST_ON_THE_WAY:
        raise _TooManyTerms
    kept: list[Term] = []
    for term in sorted(terms, key=len):
        if not any(other <= term for other in kept):
            kept.append(term)
    return set(kept)
