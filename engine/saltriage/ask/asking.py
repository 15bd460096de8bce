"""The room's one function: what is likely, dangerous and advised -> what to ask next, or why nothing more."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from saltriage.advise import Advice
from saltriage.ask.askable import Askable
from saltriage.ask.choice import Known, Look, Options, options, told_unasked
from saltriage.conditions import Truth
from saltriage.explain import Explained
from saltriage.find import Found
from saltriage.guard import Dangers, danger_look
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.settings import AskingCosts
from saltriage.result import AdvisedAction

__all__ = ["Ending", "Questions", "SoFar", "ask"]

MOST_MINUTES = 1.0  # of a look that somebody may have had before a danger came up (own judgement)
DOSES_READ = 3  # of so many actions the readings are asked for that a dose waits for (own judgement)


class Ending(StrEnum):
    """Why asking ends by itself."""

    stop = "stop"  # a danger to life or of harm stands
    sure = "sure"  # the first cause is all but certain
    settled = "settled"  # no cheap question is likely to put another cause first
    technician = "technician"  # what is left to find out needs a technician
    nothing_left = "nothing-left"
    long = "long"  # asked long enough


@dataclass(frozen=True, slots=True)
class SoFar:
    """What was asked before in this call.

    Args: skipped: ids of symptoms and readings that were given up.    asked_for: ids in all questions so far.
    questions: how many there were.    safe: stop rules whose orders are carried out, with everybody out and well.
    """

    skipped: frozenset[str] = frozenset()
    asked_for: frozenset[str] = frozenset()
    questions: int = 0
    safe: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Questions:
    """What to ask now.

    Args:
        own: looks and tests for whoever calls, best first.    later: those that need a visit or a long test.
        for_doses: readings that the advised doses wait for.
        dose_is_due: they come before everything else, because the need is proven or asking on is not worth it.
        rivals: a second cause is still open beside a sure one.
        from_memory: a danger stands: only what the caller knows already is asked, and nobody goes to look.
        ending: why asking more would change little; None while it would.
    """

    own: tuple[Look, ...]
    later: tuple[Look, ...]
    for_doses: tuple[Look, ...]
    dose_is_due: bool
    rivals: bool
    from_memory: bool
    ending: Ending | None

    @property
    def next(self) -> Look | None:
        """The one thing to ask now, if anything is asked."""
        first, second = (self.for_doses, self.own) if self.dose_is_due else (self.own, self.for_doses)
        return next(iter((*first, *second)), None)


def ask(explained: Explained, dangers: Dangers, advice: Advice, so_far: SoFar = SoFar()) -> Questions:
    """What to ask or measure next."""
    found, case = explained.found, explained.found.believed.case
    facts, knowledge = found.facts, explained.knowledge
    costs = knowledge.asking
    # A limit is no number: that is asked for once.
    limits = found.believed.situation.one_sided
    given_up = so_far.skipped | case.unknown | (limits & so_far.asked_for)
    known = Known(
        facts.symptoms,
        (frozenset(facts.readings) | frozenset(case.readings)) - limits,
        given_up | _not_to_be_believed(found, knowledge),
        told_unasked(knowledge, facts.symptoms, so_far.asked_for),
        so_far.questions,
    )
    view = options(explained, known)
    stands = dangers.stands(so_far.safe)
    if dangers.grave and not stands:
        view = replace(view, own=tuple(look for look in view.own if _is_remembered(look, knowledge)), later=())
    own, later = view.own, view.later
    if stands or (dangers.somebody_is_called and not dangers.grave):
        own, later = tuple(look for look in own if _is_from_afar(look, knowledge)), ()
    ending = _ending(explained, view, stands=stands)
    if ending in (Ending.sure, Ending.settled) and _rests_on_words(explained, so_far):
        ending = None
    if ending is None and so_far.questions >= costs.answered.questions_due and _knows_no_more(view.own, costs):
        ending = Ending.settled
    waiting = () if dangers.grave or dangers.somebody_is_called else _waiting(advice)
    return Questions(
        own,
        later,
        _for_doses(waiting, knowledge, given_up),
        ending in (Ending.sure, Ending.settled) or any(_is_needed(action.action, found) for action in waiting),
        any(costs.unsure <= chance < costs.sure for chance in explained.chances.values()),
        dangers.grave,
        ending,
    )


def _not_to_be_believed(found: Found, knowledge: Knowledge) -> frozenset[str]:
    """Readings that would be withdrawn as soon as they are told: asking for them wastes the caller's time."""
    raised = (knowledge.doubts[doubt] for doubt in found.believed.raised)
    return frozenset(each for doubt in raised if doubt.strength == "withdraw" for each in doubt.withdraws)


def _rests_on_words(explained: Explained, so_far: SoFar) -> bool:
    """Whether the caller's words as a whole speak, and too little was asked to trust them."""
    return bool(explained.accounts) and so_far.questions < explained.knowledge.asking.answered.questions_after_words


def _is_remembered(look: Look, knowledge: Knowledge) -> bool:
    """What a caller under danger may know without a step: nothing to be tested, opened or switched off for it."""
    if look.is_numbers:
        return True
    rows = danger_look(knowledge)
    return all(
        each.kind == "symptom"
        and each.id not in rows
        and each.ask.minutes <= MOST_MINUTES
        and knowledge.symptoms[each.id].kind in knowledge.kinds.complaints | knowledge.kinds.from_afar
        and each.ask.risk == "none"
        and not each.ask.needs
        for each in look.items
    )


def _is_from_afar(look: Look, knowledge: Knowledge) -> bool:
    """While a stop rule calls somebody, nobody is sent to the plant or the water."""
    return all(
        each.kind == "symptom" and knowledge.symptoms[each.id].kind in knowledge.kinds.from_afar for each in look.items
    )


def _waiting(advice: Advice) -> tuple[AdvisedAction, ...]:
    """The first actions whose dose waits for a reading."""
    return tuple(
        action
        for action in advice.actions[:DOSES_READ]
        if action.dose and action.dose.missing and action.adds != "none"
    )


def _is_needed(action: str, found: Found) -> bool:
    """Whether a reading proves that the action is needed, so that only its amount is open."""
    return any(found.truths.get(f"action.{action}.{part}") is Truth.TRUE for part in ("when", "requires"))


def _for_doses(waiting: Sequence[AdvisedAction], knowledge: Knowledge, given_up: frozenset[str]) -> tuple[Look, ...]:
    missing = dict.fromkeys(each for action in waiting if action.dose for each in action.dose.missing)
    rules = (knowledge.readings[each] for each in missing if each in knowledge.readings and each not in given_up)
    wanted = (Askable(rule.id, "reading", (), rule.ask) for rule in rules if rule.ask is not None)
    return tuple(Look((each,), (), each.ask.minutes, each.ask.risk, 0.0, knowledge.asking) for each in wanted)


def _knows_no_more(own: Sequence[Look], costs: AskingCosts) -> bool:
    """Whether the caller is likely to have no answer to any question that would tell much."""
    return max((look.expected for look in own), default=0.0) < costs.answered.least_bits


def _ending(explained: Explained, view: Options, *, stands: bool) -> Ending | None:
    if stands:
        return Ending.stop
    if not view.own:
        return Ending.technician if view.later else Ending.nothing_left
    if not any(explained.found.facts.symptoms.values()):
        return None
    chance, costs = explained.chances.get(explained.leading, 0.0), explained.knowledge.asking
    if chance >= costs.sure:
        return Ending.sure
    return Ending.settled if chance >= costs.settled and view.settled else None
