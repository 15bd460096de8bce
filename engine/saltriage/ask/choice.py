"""Which look, test or list of questions to ask next, and when asking more would change nothing.

A look is what one person settles in one go: a single question, a reading, or a short list of things to be seen in one
place or to be remembered ('which of these happened lately?'). Its effort counts once. Nothing here talks to anybody.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from saltriage.ask.askable import Askable, askables, readings_behind
from saltriage.ask.callers import chances_to_know
from saltriage.explain.cause_network import CauseNetwork
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.settings import AskingCosts
from saltriage.ranking import Evidence
from saltriage.ranking.outlook import Outlook, outlook

__all__ = ["Known", "Look", "Options", "options", "told_unasked"]


class Ranked(Protocol):
    """What choosing needs to know of a ranked case; `saltriage.explain.Explained` is one."""

    @property
    def knowledge(self) -> Knowledge: ...
    @property
    def network(self) -> CauseNetwork: ...
    @property
    def evidence(self) -> Evidence: ...
    @property
    def leading(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Known:
    """What was answered: symptoms by id; ids of readings that are known or not believed; ids that were given up.

    told: the complaints, symptoms that were present before anything was asked. asked: questions so far.
    """

    answers: Mapping[str, bool]
    readings: frozenset[str] = frozenset()
    skipped: frozenset[str] = frozenset()
    told: frozenset[str] = frozenset()
    asked: int = 0


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to ask.

    Args:
        items: one, or those of a list.    minutes: effort of looking.    information: bits expected of the answer.
        costs: what asking costs.    asked: questions before it.
        answered: share of the information that the caller is expected to have, 0..1.
        unknown: lines that the caller is expected to have no answer to.
    """

    items: tuple[Askable, ...]
    settles: tuple[str, ...]
    minutes: float
    risk: str
    information: float
    costs: AskingCosts
    asked: int = 0
    answered: float = 1.0
    unknown: float = 0.0

    @property
    def who(self) -> str:
        return self.items[0].ask.who

    @property
    def effort(self) -> float:
        """Minutes expected of the caller: few who know it already, those of the look of some who do not."""
        lines = self.costs.minutes_an_item * (len(self.items) - 1)
        told = min(self.costs.answered.minutes_to_tell, self.minutes)
        if self.is_numbers:
            return told * len(self.items) + lines
        return told + lines + self._looked * (self.minutes - lines)

    @property
    def expected(self) -> float:
        """Bits expected of a caller who may not know."""
        return self.information * self.answered

    @property
    def is_numbers(self) -> bool:
        """A list of readings: what is at hand is told, nothing is tested for it."""
        return len(self.items) > 1 and self.items[0].kind == "reading"

    @property
    def _looked(self) -> float:
        """Share of callers who go and look: some of those who have no answer."""
        return 0.0 if self.is_numbers else (1.0 - self.answered) * self.costs.answered.goes_to_look

    @property
    def worth(self) -> float:
        """Bits a minute, asking and danger counted as minutes."""
        asking = self.costs.minutes_of_asking + self.costs.minutes_a_question_before * self.asked
        asking += self.costs.answered.minutes_of_not_knowing * self.unknown
        risk = self._looked * self.costs.risk_minutes[self.risk]
        return self.expected / (self.effort + asking + risk)


@dataclass(frozen=True)
class Options:
    """All looks that tell something, best first: the owner's in this call; those that need a visit or a long test."""

    own: tuple[Look, ...]
    later: tuple[Look, ...]
    _settled: Callable[[], bool]

    @cached_property
    def settled(self) -> bool:
        """No cheap question is likely to change which cause leads; worked out when it is wanted, which is seldom."""
        return self._settled()


@dataclass(frozen=True, slots=True)
class _Candidate:
    """What could stand in a list. Args: columns: indices of what it settles. answered: how often a caller knows it."""

    each: Askable
    settles: tuple[str, ...]
    columns: tuple[int, ...]
    bits: float
    answered: float


def options(ranked: Ranked, known: Known) -> Options:
    """What can be asked now."""
    knowledge, network, costs = ranked.knowledge, ranked.network, ranked.knowledge.asking
    behind = readings_behind(knowledge)
    still_open = [each for each in askables(knowledge) if _is_open(each, known, behind)]
    settled_by = [(each, _settles(each, knowledge, network, known)) for each in still_open]
    candidates = [(each, settles) for each, settles in settled_by if settles]
    index = network.symptom_index
    view = outlook(
        network.network,
        ranked.evidence,
        [index[one] for _, settles in candidates for one in settles],
        focus=_focus(network, known),
    )
    answered = chances_to_know([each for each, _ in candidates], knowledge, network, view)
    every = _looks(candidates, network, view, (knowledge, known.asked, answered))
    looks = [look for look in every if look.information >= costs.least_bits]
    looks.sort(key=lambda look: (-look.worth, look.items[0].id))
    own = tuple(look for look in looks if look.who == "owner" and look.minutes <= costs.longest_minutes)
    later = tuple(look for look in looks if look not in own)
    return Options(own, later, lambda: _is_settled(own, network, view, ranked.leading, costs))


def told_unasked(knowledge: Knowledge, answers: Mapping[str, bool], asked_for: frozenset[str]) -> frozenset[str]:
    """Symptoms that are present and that no question settled. Args: asked_for: ids of what was asked."""
    behind = readings_behind(knowledge)
    return frozenset(
        each
        for each, present in answers.items()
        if present and each not in asked_for and not behind.get(each, frozenset()) & asked_for
    )


def _focus(network: CauseNetwork, known: Known) -> frozenset[int] | None:
    """Causes that can show in what was complained of; None where nothing was.

    An odd answer on the way ('yes, the gate is broken too') makes its own causes likely, and questions about those do
    not help to explain the complaint.
    """
    columns = [network.symptom_index[each] for each in known.told if each in network.symptom_index]
    if not columns:
        return None
    tables = network.network.tables
    through_states = tables.brings @ tables.shows[:, columns]
    shown = tables.strengths[:, columns].max(axis=1) + through_states.max(axis=1, initial=0.0)
    return frozenset(cause for cause, strength in enumerate(shown.tolist()) if strength > 0.0)


def _is_open(each: Askable, known: Known, behind: Mapping[str, frozenset[str]]) -> bool:
    """Neither given up nor measured; a test asked for as a yes or no is given up with its reading."""
    if each.kind == "reading":
        return each.id not in known.skipped and each.id not in known.readings
    return each.id not in known.skipped and known.skipped.isdisjoint(behind.get(each.id, ()))


def _settles(each: Askable, knowledge: Knowledge, network: CauseNetwork, known: Known) -> tuple[str, ...]:
    """Open symptoms that this answer alone makes known: with a reading, those for which no other reading is missing."""
    open_ones = [one for one in each.settles if one not in known.answers and one in network.symptom_index]
    if each.kind == "symptom":
        return tuple(open_ones)
    behind, have = readings_behind(knowledge), known.readings | {each.id}
    return tuple(one for one in open_ones if _told(behind[one], knowledge) <= have)


def _told(readings: frozenset[str], knowledge: Knowledge) -> frozenset[str]:
    """Those that somebody has to tell; computed ones follow from them."""
    return frozenset(reading for reading in readings if knowledge.readings[reading].role != "computed")


def _looks(
    candidates: Sequence[tuple[Askable, tuple[str, ...]]],
    network: CauseNetwork,
    view: Outlook,
    patience: tuple[Knowledge, int, Mapping[str, float]],
) -> list[Look]:
    """Args: patience: the rules with what asking costs, how many questions there were, how often each is answered."""
    knowledge, asked, answered = patience
    index, alone, places = network.symptom_index, view.alone(), _places(knowledge)
    lists: dict[tuple[str, ...], list[_Candidate]] = {}
    looks: list[Look] = []
    for each, settles in candidates:
        columns = tuple(index[one] for one in settles)
        bits = alone[columns[0]] if len(columns) == 1 else view.information(columns)
        line = _Candidate(each, settles, columns, bits, answered[each.id])
        place = places[each.kind, each.id]
        if place is not None:
            lists.setdefault(place, []).append(line)
        if place is None or each.kind == "reading":
            minutes, known = max(each.ask.minutes, 0.2), line.answered
            looks.append(
                Look((each,), settles, minutes, each.ask.risk, bits, knowledge.asking, asked, known, 1.0 - known)
            )
    for together in lists.values():
        best = _best_list(together, view, knowledge.asking, asked)
        if best is not None:
            looks.append(best)
    return looks


@of_knowledge
def _places(knowledge: Knowledge) -> Mapping[tuple[str, str], tuple[str, ...] | None]:
    return {(each.kind, each.id): _place(each, knowledge) for each in askables(knowledge)}


def _place(each: Askable, knowledge: Knowledge) -> tuple[str, ...] | None:
    """What questions must have in common to stand in one list; None for one that is asked by itself.

    Numbers that callers have at hand are one list, wherever they come from: none has to be fetched.
    """
    ask = each.ask
    if each.kind == "reading":
        at_hand = knowledge.asking.answered.chance(each.id, "") >= knowledge.asking.answered.at_hand
        return ("numbers", ask.who) if at_hand and not ask.needs and ask.risk != "caution" else None
    if not ask.together or knowledge.symptoms[each.id].kind not in knowledge.kinds.listed:
        return None
    if (ask.risk == "caution" or ask.minutes > 3) and not ask.needs:
        return None
    # What is only to be remembered needs no going from place to place.
    remembered = knowledge.symptoms[each.id].kind == "history"
    return "remembered" if remembered else ask.together, ask.needs, ask.who


def _best_list(together: Sequence[_Candidate], view: Outlook, costs: AskingCosts, asked: int) -> Look | None:
    """The list of these questions that is worth most: the most telling ones, as many as pay."""
    telling = sorted(
        (line for line in together if line.bits > costs.least_bits / 5),
        key=lambda line: (-line.bits * line.answered, line.each.id),
    )[: costs.most_items]
    best: Look | None = None
    before = told = unknown = 0.0
    for count, bits in enumerate(_growing(telling, view), 1):
        line, lines = telling[count - 1], telling[:count]
        told += line.answered * (bits - before)
        before = bits
        missed = 1.0 - line.answered
        # Of numbers each tells those that he has; nobody minds the others.
        unknown = missed * (unknown if count > 1 else 1.0) if line.each.kind == "reading" else unknown + missed
        items = tuple(one.each for one in lines)
        settles = tuple(dict.fromkeys(symptom for one in lines for symptom in one.settles))
        efforts = [max(each.ask.minutes, 0.2) for each in items]
        # Numbers are tested one after the other; one look settles what is seen in one place.
        minutes = (sum if items[0].kind == "reading" else max)(efforts) + costs.minutes_an_item * (count - 1)
        risk = max((each.ask.risk for each in items), key=costs.risk_minutes.__getitem__)
        share = told / bits if bits > 0.0 else 0.0
        look = Look(items, settles, minutes, risk, bits, costs, asked, share, unknown)
        if best is None or look.worth > best.worth:
            best = look
    return best


def _growing(lines: Sequence[_Candidate], view: Outlook) -> list[float]:
    """Bits in the answers to the first line, the first two, and so on."""
    if all(len(line.columns) == 1 for line in lines):
        return view.growing([line.columns[0] for line in lines])
    found: list[float] = []
    for count in range(1, len(lines) + 1):
        columns = dict.fromkeys(column for line in reversed(lines[:count]) for column in line.columns)
        # Of many answers together the draws are few and overrate what they tell: never more than each by itself.
        bits = min(view.information(columns), sum(line.bits for line in lines[:count]))
        found.append(max(bits, found[-1] if found else 0.0))
    return found


def _is_settled(own: Sequence[Look], network: CauseNetwork, view: Outlook, leader: str, costs: AskingCosts) -> bool:
    cheap = [look for look in own if look.minutes <= costs.cheap_minutes and look.risk != "caution"]
    symptoms = sorted({network.symptom_index[one] for look in cheap for one in look.settles})
    wanted = network.cause_index.get(leader, -1)
    return all(after.leader == wanted for after in view.after(symptoms) if after.chance >= costs.least_chance)
