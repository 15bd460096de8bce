"""Which actions to show, in which order: stop rules first, free checks next, then cure over effort.

Order of repairs: probability of cure divided by effort (Heckerman, Breese and Rommelse 1995, decision-theoretic
troubleshooting). An action never overtakes one that its cause lists before it.
"""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass

from saltriage.advise.candidates import Candidate, Held
from saltriage.advise.opposites import without_opposites
from saltriage.conditions import Truth
from saltriage.explain import Explained
from saltriage.guard import Dangers
from saltriage.knowledge.model import Action, Knowledge
from saltriage.result import Wording

__all__ = ["Selection", "select_actions"]

MOST_ACTIONS = 7  # more than a caller can follow (own judgement)
LEAST_CAUSE = 0.05  # a cause less likely than this proposes nothing, unless it leads
LEAST_SHARE = 0.2  # nor does one with less than this share of the first one's chance (own judgement)
# Below this chance that one of its causes is at work, nothing is added, repaired or replaced: test first.
ENOUGH_TO_ACT = 0.35
BESIDES = 0.5  # what has less than this share of the first cause's chance behind it comes later (own judgement)
UNLIKELY = 0.2  # such causes call for free checks only, and those come after everything else (own judgement)
ACTS = frozenset({"dose", "repair", "replace"})


@dataclass(frozen=True, slots=True)
class Selection:
    shown: tuple[Candidate, ...]
    held: tuple[Held, ...]


_NOT_ENOUGH = Wording(
    "We do not know enough yet. Adding or replacing something now could make it worse.",
    "The causes that call for it are not likely enough yet; settle them with the next check first.",
)
_CHECK_FIRST = Wording(
    "Only after a check that has not been done yet.",
    "Its own condition is not shown to be true yet; do not go ahead on a guess.",
)
_TOO_UNLIKELY = Wording("Hardly anything speaks for it.", "Only unlikely causes call for it.")
_NOT_NEEDED = Wording("The readings say that it is not needed.", "Its own condition is false on the readings given.")


def select_actions(explained: Explained, dangers: Dangers, instead: tuple[str, ...]) -> Selection:
    """The actions to show and those held back.

    Args:
        dangers: only what all of them leave allowed is shown, and what their orders ask for.
        instead: actions that stand in for doubted readings; they come first.
    """
    knowledge, chances, facts = explained.knowledge, explained.chances, explained.found.facts
    leading = explained.leading if explained.anything_known else ""
    known = {*facts.symptoms, *facts.readings}  # a check that finds nothing new is left out
    candidates = _candidates(knowledge, chances, leading, instead)
    candidates = {key: each for key, each in candidates.items() if dangers.leaves(each.action)}
    if dangers.somebody_is_called:
        candidates |= _ordered(knowledge, dangers, candidates)
    candidates = {key: each for key, each in candidates.items() if not _found_out(each.action, known)}
    shown, held = [], []
    foremost = BESIDES * chances.get(leading, 0.0)
    for each in sorted(candidates.values(), key=lambda one: _rank(one, instead, foremost)):
        reason = _held(each, explained.found.truths)
        if reason is None:
            shown.append(each)
        elif reason.because is not _TOO_UNLIKELY and (
            reason.because is not _NOT_NEEDED or each.support >= ENOUGH_TO_ACT
        ):
            held.append(reason)
    fitting, dropped = without_opposites(_one_chemical_each(shown))
    return Selection(tuple(fitting[:MOST_ACTIONS]), (*dropped, *held[:MOST_ACTIONS]))


def _ordered(knowledge: Knowledge, dangers: Dangers, candidates: Mapping[str, Candidate]) -> dict[str, Candidate]:
    """What the orders ask for, in their order, even where no cause proposes it; power off stands before the visit."""
    own = dangers.ordered_actions(knowledge.actions)
    found = {}
    for place, action in enumerate(own):
        causes = candidates[action.id].for_causes if action.id in candidates else ()
        found[action.id] = Candidate(action, causes, 1.0, 1.0, True, 1.0, 2.0 - place / len(own))
    return found


def _found_out(check: Action, known: Container[str]) -> bool:
    """Whether all that a check could find out is known already."""
    return bool(check.finds) and all(each in known for each in check.finds)


def _candidates(
    knowledge: Knowledge, chances: Mapping[str, float], leading: str, instead: tuple[str, ...]
) -> dict[str, Candidate]:
    support: dict[str, list[tuple[float, str]]] = {}
    not_cured: dict[str, float] = {}
    least = max(LEAST_CAUSE, LEAST_SHARE * chances.get(leading, 0.0))
    proposing = [
        (chance, cause) for cause, chance in chances.items() if chance >= least or (cause == leading and chance > 0)
    ]
    for chance, cause in proposing:
        for cure in knowledge.causes[cause].actions:
            support.setdefault(cure.action, []).append((chance, cause))
            cures = knowledge.scales.cures[cure.cures]
            not_cured[cure.action] = not_cured.get(cure.action, 1.0) * (1.0 - chance * cures)
    scores = {action: (1.0 - left) / effort(knowledge, knowledge.actions[action]) for action, left in not_cured.items()}
    for _, cause in sorted(proposing):
        _lift(scores, [cure.action for cure in knowledge.causes[cause].actions])
    found = {}
    for action, backing in support.items():
        backing.sort(key=lambda pair: (-pair[0], pair[1]))
        at_work = 1.0
        for chance, _ in backing:
            at_work *= 1.0 - chance
        causes = tuple(cause for _, cause in backing)
        found[action] = Candidate(
            knowledge.actions[action],
            causes,
            1.0 - at_work,
            backing[0][0],
            _before_work(knowledge, causes[0], action),
            1.0 - not_cured[action],
            scores[action],
        )
    for action in instead:
        if action not in found:
            found[action] = Candidate(knowledge.actions[action], (), 1.0, 1.0, True, 1.0, 1.0)
    return found


def _before_work(knowledge: Knowledge, cause: str, action: str) -> bool:
    """Whether a cause lists nothing but checks before an action: a test after the repair must not jump the queue."""
    before = [cure.action for cure in knowledge.causes[cause].actions]
    return all(knowledge.actions[each].kind in ("check", "hand-over") for each in before[: before.index(action)])


def _lift(scores: dict[str, float], in_order: list[str]) -> None:
    """Every action scores a little more than the ones that stand after it in the list of a cause."""
    best = 0.0
    for action in reversed(in_order):
        best = scores[action] = max(scores[action], best * 1.000001)


def effort(knowledge: Knowledge, action: Action) -> float:
    """Minutes, with cost, danger and somebody else's visit counted as minutes."""
    costs = knowledge.advising
    visit = 0.0 if action.job == "owner" else costs.visit_minutes
    money, risk = knowledge.scales.cost_minutes[action.cost], costs.risk_minutes[action.risk]
    return max(1.0, action.minutes) + money + risk + visit


def _rank(one: Candidate, instead: Iterable[str], foremost: float) -> tuple[bool, bool, bool, bool, float, str]:
    action, free = one.action, _free_check(one.action)
    likely = one.support >= UNLIKELY
    beside = one.support < foremost
    free = free and one.before_work
    return (action.id not in instead, not likely, beside, not (free and likely), -one.score, action.id)


def _free_check(action: Action) -> bool:
    return action.kind == "check" and action.cost == "none" and action.job == "owner" and action.risk != "caution"


def _without_regret(action: Action) -> bool:
    """A look, a test or a cleaning that costs nothing: right whichever of several unlikely causes it was."""
    if action.kind == "check":
        return action.job == "owner"
    return action.kind == "clean" and action.cost == "none" and action.job == "owner" and action.risk != "caution"


def _held(one: Candidate, truths: Mapping[str, Truth]) -> Held | None:
    action = one.action
    if (one.support < UNLIKELY or one.likeliest < UNLIKELY / 2) and not _without_regret(action):
        return Held(action, _TOO_UNLIKELY)
    when, requires = truths.get(f"action.{action.id}.when"), truths.get(f"action.{action.id}.requires")
    if when is Truth.FALSE or requires is Truth.FALSE:
        return Held(action, _NOT_NEEDED)
    if Truth.UNKNOWN in (when, requires) and one.support < UNLIKELY:
        return Held(action, _TOO_UNLIKELY)
    if requires is Truth.UNKNOWN:
        return Held(action, _CHECK_FIRST, ("requires",))
    if when is Truth.UNKNOWN:
        return Held(action, _CHECK_FIRST, ("when",))
    if action.kind in ACTS and one.support < ENOUGH_TO_ACT:
        return Held(action, _NOT_ENOUGH)
    return None


def _one_chemical_each(shown: list[Candidate]) -> list[Candidate]:
    """The first dose of each chemical and job: one person is never shown two doses of one chemical to the pool.

    Acid for a soak in a bucket is no dose to the pool.
    """
    taken: set[tuple[str, str]] = set()
    kept = []
    for one in shown:
        addition = (one.action.adds, one.action.job)
        if one.action.kind == "dose" and one.action.adds not in _SEVERAL:
            if addition in taken:
                continue
            taken.add(addition)
        kept.append(one)
    return kept


_SEVERAL = frozenset({"none", "other"})  # 'other' names different products, not one chemical
