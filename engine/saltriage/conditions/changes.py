"""Small changes to conditions: move a threshold, turn a comparison round, leave a part out.

They make the mutants that reference cases must catch, so each change touches one place and is addressed by the path
that leads there in the rule file.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from saltriage.conditions.nodes import (
    AllOf,
    AnyOf,
    Bound,
    Comparator,
    Condition,
    Leaf,
    Not,
    Number,
    ReadingIs,
    SymptomIs,
)

__all__ = ["Path", "Threshold", "flipped", "leaves", "thresholds", "with_threshold", "without"]

Path = tuple[str | int, ...]
"""Where a node or number stands below its condition, as in the rule file: ``("all", 0, "below")``."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """One number of a condition and where it stands.

    Args:
        path: leads to the number; for a bound that adds nothing to another reading, to the place of its `plus`.
        reading: the reading compared.
        comparator: how.
        number: value 0.0 without unit or source where the rule adds nothing to another reading.
        margin: how far it may move unseen; the number's own, else its bound's, else its comparison's; None if not said.
    """

    path: Path
    reading: str
    comparator: Comparator
    number: Number
    margin: float | None


def leaves(condition: Condition) -> Iterator[tuple[Path, Leaf]]:
    """Every leaf with its path, in the order of the rule."""
    match condition:
        case AllOf(parts) | AnyOf(parts):
            word = "all" if isinstance(condition, AllOf) else "any"
            for n, part in enumerate(parts):
                for path, leaf in leaves(part):
                    yield (word, n, *path), leaf
        case Not(part):
            for path, leaf in leaves(part):
                yield ("not", *path), leaf
        case _:
            yield (), condition


def thresholds(condition: Condition) -> Iterator[Threshold]:
    """Every number that decides a comparison, in the order of the rule."""
    for path, leaf in leaves(condition):
        if isinstance(leaf, ReadingIs):
            for n, bound in enumerate(leaf.bounds):
                yield _threshold((*path, *_bound_steps(leaf, n)), leaf, bound)


def with_threshold(condition: Condition, path: Path, value: float) -> Condition:
    """The condition with the number at that path moved to `value`.

    Args:
        path: as `thresholds` gave it.

    Raises:
        KeyError: no number stands there.
    """

    def moved(node: Condition, steps: Path) -> Condition:
        if isinstance(node, ReadingIs):
            for n, bound in enumerate(node.bounds):
                if steps == _threshold(_bound_steps(node, n), node, bound).path:
                    return replace(node, bounds=(*node.bounds[:n], _moved(bound, value), *node.bounds[n + 1 :]))
        raise KeyError(path)

    return _changed(condition, path, moved)


def flipped(condition: Condition, path: Path) -> Condition:
    """The condition with the node at that path turned into its opposite (below becomes at-least, present absent).

    Raises:
        KeyError: no node stands there.
    """

    def opposite(node: Condition, steps: Path) -> Condition:
        if steps:
            raise KeyError(path)
        match node:
            case ReadingIs(comparator=comparator) if comparator.opposite is not None:
                return replace(node, comparator=comparator.opposite)
            case SymptomIs(symptom, present):
                return SymptomIs(symptom, not present)
            case Not(part):
                return part
            case _:
                return Not(node)

    return _changed(condition, path, opposite)


def without(condition: Condition, path: Path) -> Condition:
    """The condition without the part at that path of an `all` or `any` that has others.

    Raises:
        KeyError: no such part, or the only one.
    """
    if len(path) < 2:
        raise KeyError(path)
    word, number = path[-2:]

    def thinner(node: Condition, steps: Path) -> Condition:
        if steps or word != _word(node) or not isinstance(node, AllOf | AnyOf) or not isinstance(number, int):
            raise KeyError(path)
        if len(node.parts) == 1 or not 0 <= number < len(node.parts):
            raise KeyError(path)
        return replace(node, parts=node.parts[:number] + node.parts[number + 1 :])

    return _changed(condition, path[:-2], thinner)


def _changed(condition: Condition, path: Path, change: Callable[[Condition, Path], Condition]) -> Condition:
    """Walk down as far as the path names nodes, then let `change` replace the node, given the steps left over."""
    match condition, path:
        case ((AllOf(parts) | AnyOf(parts)), (word, int(n), *rest)) if word == _word(condition) and 0 <= n < len(parts):
            part = _changed(parts[n], tuple(rest), change)
            return replace(condition, parts=(*parts[:n], part, *parts[n + 1 :]))
        case Not(part), ("not", *rest):
            return Not(_changed(part, tuple(rest), change))
        case _:
            return change(condition, path)


def _word(node: Condition) -> str:
    return "all" if isinstance(node, AllOf) else "any" if isinstance(node, AnyOf) else "not"


def _bound_steps(leaf: ReadingIs, n: int) -> Path:
    word = leaf.comparator.value
    return (word, n) if leaf.comparator is Comparator.BETWEEN else (word,)


def _threshold(path: Path, leaf: ReadingIs, bound: Bound) -> Threshold:
    number = bound if isinstance(bound, Number) else bound.plus or Number(0.0)
    place = path if isinstance(bound, Number) else (*path, "plus")
    margins = (number.margin, bound.margin, leaf.margin)
    margin = next((margin for margin in margins if margin is not None), None)
    return Threshold(place, leaf.reading, leaf.comparator, number, margin)


def _moved(bound: Bound, value: float) -> Bound:
    if isinstance(bound, Number):
        return replace(bound, value=value)
    return replace(bound, plus=replace(bound.plus or Number(0.0), value=value))
