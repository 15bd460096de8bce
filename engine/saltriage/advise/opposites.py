"""No list of actions holds opposites: output up and down, add salt and keep salt out."""

from collections.abc import Container, Sequence

from saltriage.advise.candidates import Candidate, Held
from saltriage.knowledge.model import Action
from saltriage.result import Wording

__all__ = ["contradicts", "without_opposites"]

_OPPOSITE = {"up": "down", "down": "up"}
ENOUGH_TO_WAIT = 0.35  # as much as is needed to act (own judgement)
_NEAR = 0.1  # chances this close are as good as equal: then the safer side wins (own judgement)


def without_opposites(
    shown: Sequence[Candidate], computed: Container[str] | None = None
) -> tuple[list[Candidate], list[Held]]:
    """The actions that can be done beside each other, in their order, and those dropped with the reason.

    Of two opposites the one with the higher chance behind it stays; where the chances are near, the one that waits,
    tests or turns down: what was left out can be done tomorrow, what was added cannot be taken back. For the same
    reason what keeps something still needs no more than a chance worth acting on.

    Args: computed: ids of the doses that the dose law has worked out, and so put in order; all where it is None.
    """
    kept, dropped = list(shown), []
    for one in shown:
        for other in shown:
            if one in kept and other in kept and one is not other and _clash(one, other, computed):
                loser, winner = (one, other) if _prefer(other, one) else (other, one)
                kept.remove(loser)
                dropped.append(Held(loser.action, _not_beside(winner.action), opposite_of=winner.action.id))
    return kept, dropped


def _clash(one: Candidate, other: Candidate, computed: Container[str] | None) -> bool:
    """What one rule lists is a sequence, not a contradiction: acid first, then air through the water.

    Two doses are ordered by the dose law, which never gives one against the other, unless it could work out neither.
    """
    both_dose = one.action.kind == other.action.kind == "dose"
    if both_dose and (computed is None or one.action.id in computed or other.action.id in computed):
        return False
    same_rule = {*one.for_causes, *one.for_states} & {*other.for_causes, *other.for_states}
    return not same_rule and _against(one.action, other.action)


def contradicts(held: Action, shown: Sequence[Action]) -> bool:
    """Whether what waits for a check would undo what is shown: 'turn up', and 'turn down' after a check."""
    others = [each for each in shown if each.id != held.id and not held.kind == each.kind == "dose"]
    return any(_turned(move) in each.moves for each in others for move in held.moves)


def _against(one: Action, other: Action) -> bool:
    """Whether the first moves what the second moves the other way, or keeps still."""
    forbidden = {*map(_turned, other.moves), *other.keeps_still}
    return not forbidden.isdisjoint(one.moves)


def _turned(move: str) -> str:
    what, _, way = move.rpartition("-")
    return f"{what}-{_OPPOSITE[way]}"


def _prefer(one: Candidate, other: Candidate) -> bool:
    """Whether the first is to stay rather than the second."""
    one_waits, other_waits = (_waits(each, beside) for each, beside in ((one, other), (other, one)))
    if one_waits != other_waits:
        return one_waits
    if abs(one.support - other.support) > _NEAR:
        return one.support > other.support
    return _safety(one.action) > _safety(other.action)


def _waits(one: Candidate, other: Candidate) -> bool:
    """Whether it keeps still what the other moves, and is likely enough to be heeded."""
    return one.support >= ENOUGH_TO_WAIT and not one.action.keeps_still.isdisjoint(other.action.moves)


def _safety(action: Action) -> int:
    adds, raises = action.adds != "none", any(move.endswith("-up") for move in action.moves)
    return -(2 * adds + raises)


def _not_beside(winner: Action) -> Wording:
    text = f"Not beside '{winner.title.lower()}', which does the opposite and fits better."
    return Wording(text, text)
