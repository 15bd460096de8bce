"""Self-consistency: does a caller with a fault get that fault? Callers are drawn from each cause's own rule.

A drawn caller has each symptom that the cause shows always or usually as often as the rule says, and tells those. The
same callers, asked about the other ones of these symptoms as well and saying no, are reported beside: a harder test, on
which nothing hangs. Draws come from a seed, so the same rules give the same report.
"""

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Cause, Knowledge
from saltriage.ranking import rank_many

__all__ = ["CauseConsistency", "Consistency", "LookAlikePair", "consistency", "consistency_text"]

TOP_THREE, FIRST = 0.97, 0.85
"""Shares that must be reached: a caller's fault among the first three, and first."""
CALLERS = 60  # drawn for each cause; the error of a share over all causes is then below half a per cent
SEED = 20261125
_TELLING = ("always", "usually")


@dataclass(frozen=True, slots=True)
class CauseConsistency:
    """How one cause fares among callers who have it.

    Args: first, among_three: shares of its callers.    ahead: cause -> how often it came first instead.
    """

    cause: str
    callers: int
    first: float
    among_three: float
    ahead: dict[str, int]


@dataclass(frozen=True, slots=True)
class LookAlikePair:
    """A cause, the other one that is taken for it, how often, and the symptom or reading that splits them."""

    cause: str
    taken_for: str
    share: float
    split_by: str
    question: str


@dataclass(frozen=True, slots=True)
class Consistency:
    """All causes in the order of ids; shares are over all callers.    asked: the same callers, asked for the rest."""

    causes: tuple[CauseConsistency, ...]
    pairs: tuple[LookAlikePair, ...]
    asked: tuple[CauseConsistency, ...] = ()

    @property
    def first(self) -> float:
        return _share(self.causes, "first")

    @property
    def among_three(self) -> float:
        return _share(self.causes, "among_three")

    @property
    def passed(self) -> bool:
        return self.first >= FIRST and self.among_three >= TOP_THREE

    @property
    def short(self) -> tuple[CauseConsistency, ...]:
        """Causes that miss one of the shares by themselves."""
        return tuple(one for one in self.causes if one.callers and (one.first < FIRST or one.among_three < TOP_THREE))

    @property
    def silent(self) -> tuple[str, ...]:
        """Causes that show nothing always or usually, so that no caller can be drawn."""
        return tuple(one.cause for one in self.causes if not one.callers)


def _share(causes: tuple[CauseConsistency, ...], name: str) -> float:
    callers = sum(one.callers for one in causes)
    return sum(float(getattr(one, name)) * one.callers for one in causes) / callers if callers else 0.0


def consistency(knowledge: Knowledge, callers: int = CALLERS, seed: int = SEED) -> Consistency:
    """Draw callers for every cause and rank all causes for each of them.

    Args: callers: for each cause, at least 1.
    """
    network = network_of(knowledge)
    drawn = {cause.id: _draw(cause, knowledge, network, callers, seed) for cause in knowledge.causes.values()}
    told = {cause: [{key: True for key in one if one[key]} for one in answers] for cause, answers in drawn.items()}
    found = tuple(_of_cause(cause, network, answers) for cause, answers in told.items())
    asked = tuple(_of_cause(cause, network, answers) for cause, answers in drawn.items())
    pairs = [
        _pair(knowledge, one.cause, other, count / one.callers)
        for one in found
        if one.callers and (one.first < FIRST or one.among_three < TOP_THREE)
        for other, count in Counter(one.ahead).most_common(2)
    ]
    return Consistency(found, tuple(pairs), asked)


def _draw(cause: Cause, knowledge: Knowledge, network: CauseNetwork, callers: int, seed: int) -> list[dict[str, bool]]:
    """The answers of that many callers; none where the cause shows nothing always or usually."""
    draw = random.Random(f"{seed} {cause.id}")
    telling = {
        symptom: knowledge.scales.frequency[word]
        for symptom, word in consequences(knowledge)[cause.id].items()
        if word in _TELLING and symptom in network.symptom_index
    }
    return [_answers(telling, draw) for _ in range(callers)] if telling else []


def _of_cause(cause: str, network: CauseNetwork, answers: Sequence[Mapping[str, bool]]) -> CauseConsistency:
    if not answers:
        return CauseConsistency(cause, 0, 0.0, 0.0, {})
    rankings = rank_many(network.network, [network.evidence(one, False) for one in answers])
    place = network.cause_index[cause]
    tops = [[index for index, _ in ranking.top(3)] for ranking in rankings]
    ahead = Counter(network.causes[top[0]] for top in tops if top[0] != place)
    return CauseConsistency(
        cause,
        len(answers),
        sum(top[0] == place for top in tops) / len(answers),
        sum(place in top for top in tops) / len(answers),
        dict(sorted(ahead.items())),
    )


def _answers(telling: dict[str, float], draw: random.Random) -> dict[str, bool]:
    """Nobody calls without any symptom, so a draw of none is drawn again."""
    while True:
        answers = {symptom: draw.random() < chance for symptom, chance in telling.items()}
        if any(answers.values()):
            return answers


def _pair(knowledge: Knowledge, cause: str, other: str, share: float) -> LookAlikePair:
    split = splitting(knowledge, cause, other)
    rule = knowledge.symptoms.get(split) or knowledge.readings.get(split)
    ask = rule.ask if rule else None
    question = ask.question.support if ask else f"Measure what settles: {rule.title}" if rule else ""
    return LookAlikePair(cause, other, share, split, question)


def splitting(knowledge: Knowledge, cause: str, other: str) -> str:
    """The symptom or reading that splits two causes: as a rule says, else the one whose frequencies differ most."""
    for one, two in ((cause, other), (other, cause)):
        for alike in knowledge.causes[one].look_alikes:
            if alike.cause == two:
                return alike.split_by
    words = knowledge.scales.frequency
    shown, others = (consequences(knowledge)[each] for each in (cause, other))
    gaps = {
        symptom: abs(words.get(shown.get(symptom, ""), 0.0) - words.get(others.get(symptom, ""), 0.0))
        for symptom in sorted({*shown, *others})
    }
    return max(gaps, key=lambda symptom: gaps[symptom], default="")


def consistency_text(found: Consistency) -> str:
    """Shares over all callers, causes that fall short, and what splits the pairs."""
    callers = sum(one.callers for one in found.causes)
    lines = [
        f"{len(found.causes)} causes, {callers} callers drawn from their own always and usually symptoms",
        f"first             {found.first:.1%} (wanted {FIRST:.0%})",
        f"among first three {found.among_three:.1%} (wanted {TOP_THREE:.0%})",
        f"the same callers, asked about the rest and saying no: first {_share(found.asked, 'first'):.1%}, among first"
        f" three {_share(found.asked, 'among_three'):.1%}",
        *(f"shows nothing always or usually: {cause}" for cause in found.silent),
    ]
    if found.short:
        lines.append(f"{len(found.short)} causes fall short by themselves:")
    for one in sorted(found.short, key=lambda one: (one.among_three, one.first, one.cause)):
        lines.append(f"  {one.cause}: first {one.first:.0%}, among three {one.among_three:.0%}")
        lines += [
            f"    {pair.share:.0%} taken for {pair.taken_for}; split by {pair.split_by}: {pair.question}"
            for pair in found.pairs
            if pair.cause == one.cause
        ]
    return "\n".join(lines) + "\n"
