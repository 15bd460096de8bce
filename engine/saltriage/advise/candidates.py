"""Actions on their way into the list: who proposes them, how likely that is, and what they cure for their effort.

Order of repairs: probability of cure divided by effort (Heckerman, Breese and Rommelse 1995, decision-theoretic
troubleshooting). An action never overtakes one that its proposer lists before it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from saltriage.knowledge.model import Action, Cure, Knowledge
from saltriage.result import Wording

__all__ = ["Candidate", "Held", "Proposer", "candidates_of"]


@dataclass(frozen=True, slots=True)
class Proposer:
    """A cause, or a state that is proven or as good as, with its chance and its actions in order."""

    chance: float
    id: str
    actions: tuple[Cure, ...]
    is_state: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """An action with what speaks for it.

    Args:
        for_causes: causes that list it, most probable first.    for_states: states that list it.
        support: chance that one of them is so.    likeliest: chance of the first of them.
        before_work: the first lists nothing but checks before it.    cure: chance in 0..1 that it cures.
        score: cure per minute, lifted so that it precedes what its proposers list after it.
        why: the reason of the first that gives one of its own.
    """

    action: Action
    for_causes: tuple[str, ...] = ()
    for_states: tuple[str, ...] = ()
    support: float = 1.0
    likeliest: float = 1.0
    before_work: bool = True
    cure: float = 1.0
    score: float = 1.0
    why: Wording | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """An action that is not offered: why, and the conditions that would decide it ('when' or 'requires').

    Args: opposite_of: the action shown that does the opposite, or empty.
    """

    action: Action
    because: Wording
    undecided: tuple[str, ...] = ()
    opposite_of: str = ""


def candidates_of(knowledge: Knowledge, proposers: Sequence[Proposer], instead: Sequence[str]) -> dict[str, Candidate]:
    """Every action that somebody proposes, by id. Args: instead: actions that stand in for doubted readings."""
    backing: dict[str, list[Proposer]] = {}
    not_cured: dict[str, float] = {}
    for one in proposers:
        for cure in one.actions:
            backing.setdefault(cure.action, []).append(one)
            cures = knowledge.scales.cures[cure.cures]
            not_cured[cure.action] = not_cured.get(cure.action, 1.0) * (1.0 - one.chance * cures)
    scores = {
        action: (1.0 - left) / _effort(knowledge, knowledge.actions[action]) for action, left in not_cured.items()
    }
    for one in sorted(proposers, key=lambda each: (each.chance, each.id)):
        _lift(scores, [cure.action for cure in one.actions])
    found = {
        action: _candidate(knowledge, knowledge.actions[action], behind, 1.0 - not_cured[action], scores[action])
        for action, behind in backing.items()
    }
    return {action: Candidate(knowledge.actions[action]) for action in instead if action not in found} | found


def _candidate(
    knowledge: Knowledge, action: Action, backing: Sequence[Proposer], cure: float, score: float
) -> Candidate:
    ordered = sorted(backing, key=lambda one: (-one.chance, one.id))
    none_of_them = 1.0
    for one in ordered:
        none_of_them *= 1.0 - one.chance
    reasons = (each.why for one in ordered for each in one.actions if each.action == action.id and each.why)
    return Candidate(
        action,
        tuple(one.id for one in ordered if not one.is_state),
        tuple(one.id for one in ordered if one.is_state),
        1.0 - none_of_them,
        ordered[0].chance,
        _before_work(knowledge, ordered[0].actions, action.id),
        cure,
        score,
        next(reasons, None),
    )


def _before_work(knowledge: Knowledge, listed: Sequence[Cure], action: str) -> bool:
    """Whether nothing but checks is listed before an action: a test after the repair must not jump the queue."""
    before = [cure.action for cure in listed]
    return all(knowledge.actions[each].kind in ("check", "hand-over") for each in before[: before.index(action)])


def _lift(scores: dict[str, float], in_order: list[str]) -> None:
    """Every action scores a little more than the ones that stand after it in the list of a proposer."""
    best = 0.0
    for action in reversed(in_order):
        best = scores[action] = max(scores[action], best * 1.000001)


def _effort(knowledge: Knowledge, action: Action) -> float:
    """Minutes, with cost, danger and somebody else's visit counted as minutes."""
    costs = knowledge.advising
    visit = 0.0 if action.job == "owner" else costs.visit_minutes
    money, risk = knowledge.scales.cost_minutes[action.cost], costs.risk_minutes[action.risk]
    return max(1.0, action.minutes) + money + risk + visit
