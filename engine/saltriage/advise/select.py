"""Which actions to show, in which order: stop rules first, free checks next, then cure over effort.

Order of repairs: probability of cure divided by effort (Heckerman, Breese and Rommelse 1995, decision-theoretic
troubleshooting). An action never overtakes one that its cause lists before it.
"""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from saltriage.advise.candidates import Candidate, Held, Proposer, candidates_of
from saltriage.advise.unnamed import Unnamed, without_regret
from saltriage.believe.calculators import CALCULATORS
from saltriage.conditions import Truth
from saltriage.explain import Explained
from saltriage.explain.conclusion import NOTHING_WRONG, conclusion
from saltriage.guard import Dangers
from saltriage.knowledge.model import Action, Knowledge
from saltriage.result import DoubtNote, Wording

__all__ = ["MOST_ACTIONS", "Selection", "select_actions"]

MOST_ACTIONS = 9  # one soak of the cell is four of them (own judgement)
MOST_HELD = 7  # what is not to be done is read last (own judgement)
MOST_LOOKS = 4  # where no sign of a fault is told: the rest would be a list of everything (own judgement)
MOST_AFTERWARDS = 6  # titles only, beside a danger (own judgement)
LEAST_CAUSE = 0.05  # a cause less likely than this proposes nothing, unless it leads
LEAST_SHARE = 0.2  # nor does one with less than this share of the first one's chance (own judgement)
# Below this chance that one of its causes is at work, nothing is added, repaired or replaced: test first.
ENOUGH_TO_ACT = 0.35
BESIDES = 0.5  # what has less than this share of the first cause's chance behind it comes later (own judgement)
UNLIKELY = 0.2  # such causes call for free checks only, and those come after everything else (own judgement)
AS_GOOD_AS_PROVEN = 0.8  # of a state: then what it asks for waits for its own readings only (own judgement)
ACTS = frozenset({"dose", "repair", "replace"})


@dataclass(frozen=True, slots=True)
class Selection:
    """Candidates in order, before doses and opposites are looked at, what is held back, and what a danger forbids.

    Args: afterwards: what likely causes call for once the danger is over, in order.
        after_doses: doses of a chemical that another one shown gives first.
    """

    shown: tuple[Candidate, ...]
    held: tuple[Held, ...]
    afterwards: tuple[Candidate, ...] = ()
    after_doses: tuple[Candidate, ...] = ()


_NOT_ENOUGH = Wording(
    "We do not know enough yet. Adding or replacing something now could make it worse.",
    "The causes that call for it are not likely enough yet; settle them with the next check first.",
)
_CHECK_FIRST = Wording(
    "Only after a check that has not been done yet.",
    "Its own condition is not shown to be true yet; do not go ahead on a guess.",
)
_DOUBTED = Wording(
    "The reading that it rests on is in doubt. Test again first.",
    "What it would change was read by a test that is not to be believed; the new test decides.",
)
_TOO_UNLIKELY = Wording("Hardly anything speaks for it.", "Only unlikely causes call for it.")
_NOT_NEEDED = Wording("The readings say that it is not needed.", "Its own condition is false on the readings given.")


def select_actions(explained: Explained, dangers: Dangers, doubts: Sequence[DoubtNote]) -> Selection:
    """The actions to show and those held back.

    Args:
        dangers: only what all of them leave allowed is shown, and what their orders ask for.
        doubts: of readings; the actions that stand in for those that are withdrawn come first.
    """
    knowledge, chances, facts = explained.knowledge, explained.chances, explained.found.facts
    withdrawing = [doubt for doubt in doubts if doubt.strength == "withdraw"]
    instead = tuple(dict.fromkeys(doubt.instead for doubt in withdrawing))
    doubted = _with_computed({reading for doubt in withdrawing for reading in doubt.withdraws}, knowledge)
    leading = explained.leading if explained.anything_known else ""
    known = {*facts.symptoms, *explained.found.numbers}  # a check that finds nothing new is left out
    candidates = candidates_of(knowledge, _proposers(explained, leading), instead)
    candidates = Unnamed(explained, instead).with_first_test(candidates)
    proposed, ordered = candidates, dict[str, Candidate]()
    candidates = {key: each for key, each in candidates.items() if dangers.leaves(each.action)}
    if dangers.somebody_is_called:
        candidates |= (ordered := _ordered(knowledge, dangers, candidates))
    unnamed = Unnamed(explained, (*instead, *ordered))
    candidates = {key: each for key, each in candidates.items() if not _found_out(each.action, known)}
    shown, held = [], []
    foremost = BESIDES * chances.get(leading, 0.0)
    for each in sorted(candidates.values(), key=lambda one: _rank(one, instead, foremost)):
        reason = _held(each, explained.found.truths, doubted)
        if reason is None:
            if unnamed.leaves(each):
                shown.append(each)
        elif reason.because is not _TOO_UNLIKELY and (
            reason.because is not _NOT_NEEDED or each.support >= ENOUGH_TO_ACT
        ):
            held.append(reason)
    forbidden = [each for key, each in proposed.items() if key not in candidates and dangers.grave]
    later = [each for each in forbidden if _comes_later(each, known, explained.found.truths)]
    if unnamed.no_complaint and not dangers.standing:
        shown = shown[:MOST_LOOKS]
    given = _one_chemical_each(shown)
    return Selection(
        tuple(given),
        tuple(held[:MOST_HELD]),
        tuple(_one_chemical_each(sorted(later, key=lambda one: _rank(one, instead, foremost)))[:MOST_AFTERWARDS]),
        tuple(one for one in shown if one not in given and _moves_something_else(one, given)),
    )


def _moves_something_else(one: Candidate, given: Sequence[Candidate]) -> bool:
    """Whether a dose is for another reading than those of its chemical that are given: it is not done with them."""
    same = [each.action for each in given if each.action.kind == "dose" and each.action.adds == one.action.adds]
    likely = one.support >= ENOUGH_TO_ACT and bool(same)
    return likely and all(each.expect.reading != one.action.expect.reading for each in same)


def _with_computed(readings: set[str], knowledge: Knowledge) -> set[str]:
    """The readings and what is worked out from them: combined chlorine of a doubted total is in doubt too."""
    worked_out = (rule for rule in knowledge.readings.values() if rule.computed in CALCULATORS)
    return readings | {rule.id for rule in worked_out if readings & set(CALCULATORS[rule.computed or ""].needs)}


def _comes_later(one: Candidate, known: Container[str], truths: Mapping[str, Truth]) -> bool:
    """Whether what a danger forbids is likely to be called for once it is over; what is open then is asked then."""
    decided = {truths.get(f"action.{one.action.id}.{part}") for part in ("when", "requires")}
    return one.support >= ENOUGH_TO_ACT and Truth.FALSE not in decided and not _found_out(one.action, known)


def _proposers(explained: Explained, leading: str) -> list[Proposer]:
    """The causes likely enough to act for, and the states that are proven, or as good as.

    What a state asks for in general gives way to what a likely cause of it asks for of the same chemical. Where all is
    well, only what explains that proposes anything.
    """
    knowledge, chances = explained.knowledge, explained.chances
    if conclusion(explained) == NOTHING_WRONG:
        well = {cause: chance for cause, chance in chances.items() if knowledge.causes[cause].harmless}
        found = [Proposer(chance, cause, knowledge.causes[cause].actions) for cause, chance in well.items()]
        if max(well.values(), default=0.0) < ENOUGH_TO_ACT:
            plainly = knowledge.causes[knowledge.advising.all_well]
            found = [Proposer(1.0, plainly.id, plainly.actions)]
        return [one for one in found if one.chance >= LEAST_CAUSE]
    least = max(LEAST_CAUSE, LEAST_SHARE * chances.get(leading, 0.0))
    causes = [
        Proposer(chance, cause, knowledge.causes[cause].actions)
        for cause, chance in chances.items()
        if chance >= least or (cause == leading and chance > 0)
    ]
    likely = [knowledge.actions[cure.action] for one in causes if one.chance >= ENOUGH_TO_ACT for cure in one.actions]
    better = {action.adds for action in likely if action.kind == "dose"} - {"none"}  # acid for a soak is no dose
    proven = dict.fromkeys(explained.found.proven, 1.0)
    states = {
        state: chance for state, chance in explained.state_chances.items() if chance >= AS_GOOD_AS_PROVEN
    } | proven
    return [*causes, *(_state_proposer(knowledge, state, states[state], better) for state in sorted(states))]


def _state_proposer(knowledge: Knowledge, state: str, chance: float, better: Container[str]) -> Proposer:
    own = tuple(cure for cure in knowledge.states[state].actions if knowledge.actions[cure.action].adds not in better)
    return Proposer(chance, state, own, is_state=True)


def _ordered(knowledge: Knowledge, dangers: Dangers, candidates: Mapping[str, Candidate]) -> dict[str, Candidate]:
    """What the orders ask for, in their order, even where no cause proposes it; power off stands before the visit."""
    own = dangers.ordered_actions(knowledge.actions)
    found = {}
    for place, action in enumerate(own):
        before = candidates.get(action.id, Candidate(action))
        found[action.id] = replace(
            before, support=1.0, likeliest=1.0, before_work=True, cure=1.0, score=2.0 - place / len(own)
        )
    return found


def _found_out(check: Action, known: Container[str]) -> bool:
    """Whether all that a check could find out is known already."""
    return bool(check.finds) and all(each in known for each in check.finds)


def _rank(one: Candidate, instead: Iterable[str], foremost: float) -> tuple[bool, bool, bool, bool, float, str]:
    action, free = one.action, _free_check(one.action)
    likely = one.support >= UNLIKELY
    beside = one.support < foremost
    free = free and one.before_work
    return (action.id not in instead, not likely, beside, not (free and likely), -one.score, action.id)


def _free_check(action: Action) -> bool:
    return action.kind == "check" and action.cost == "none" and action.job == "owner" and action.risk != "caution"


def _held(one: Candidate, truths: Mapping[str, Truth], doubted: Container[str]) -> Held | None:
    action = one.action
    if action.kind == "dose" and action.expect.reading in doubted and one.support >= UNLIKELY:
        return Held(action, _DOUBTED)
    if (one.support < UNLIKELY or one.likeliest < UNLIKELY / 2) and not without_regret(action):
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
