"""The causes that a report shows, with the evidence for and against each, and two faults at once."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from saltriage.explain.chance_words import chance_word
from saltriage.explain.explaining import Explained
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Cause, Knowledge
from saltriage.ranking import EvidencePiece, known_of, leave_out_weights, log_odds, pairs
from saltriage.result import EvidenceLine, RankedCause, TwoFaults

__all__ = ["MOST_CAUSES", "causes_to_show", "shown_causes", "two_faults"]

MOST_CAUSES = 5
LEAST_SHOWN = 0.05  # a cause less likely than this is not shown, unless it is the first
LEAST_SHARE = 0.05  # nor is one that has less than this share of the first one's chance (own judgement)
SUPPORTED = 1.05  # a cause hardly likelier than before anybody called has nothing speaking for it
LIKELY = 0.5  # more likely than not
TOGETHER = 0.4  # joint chance above which two faults at once are named: own judgement
SPOKEN_ALIKE = "Callers with it speak like this one"
SPOKEN_OTHERWISE = "Callers with it mostly speak otherwise"
WEAK = 0.1  # log-odds of an answer too small to mention


def causes_to_show(explained: Explained) -> list[str]:
    """Ids of the likeliest causes for which something speaks, most probable first; none where no symptom is known."""
    if not explained.anything_known:
        return []
    knowledge, chances = explained.knowledge, explained.chances
    index, priors = explained.network.cause_index, explained.before.network.tables.priors
    supported = [
        cause
        for cause, chance in chances.items()
        if chance > priors[index[cause]] * SUPPORTED and _explains_something(explained, cause)
    ]
    supported = _explaining_first(supported, explained)
    # That all is as it should be never stands before a fault that is more likely than not.
    if _a_fault_is_likely(supported, chances, knowledge):
        supported.sort(key=lambda cause: knowledge.causes[cause].harmless)
    least = max(LEAST_SHOWN, LEAST_SHARE * chances[supported[0]]) if supported else LEAST_SHOWN
    return [cause for place, cause in enumerate(supported[:MOST_CAUSES]) if chances[cause] >= least or place == 0]


def shown_causes(explained: Explained) -> tuple[RankedCause, ...]:
    """The causes to show, each with the evidence for and against it."""
    shown = causes_to_show(explained)
    if not shown:
        return ()
    knowledge, chances, network = explained.knowledge, explained.chances, explained.network
    evidence, index = explained.evidence, network.cause_index
    weights = leave_out_weights(network.network, evidence, [index[cause] for cause in shown])
    known = [_told(known, explained) for known in known_of(evidence)]
    spoken = _weights_of_words(explained, [index[cause] for cause in shown])
    if spoken:
        known.append(EvidenceLine("words", SPOKEN_ALIKE, True, 1.0, kind="words"))
        weights = np.column_stack([weights, spoken])
    ranked = []
    for cause, row in zip(shown, weights.tolist(), strict=True):
        told = sorted(zip(row, known, strict=True), key=lambda one: (-abs(round(one[0], 10)), one[1].symptom))
        lines = [_weighed(line, weight) for weight, line in told if abs(weight) >= WEAK]
        ranked.append(_ranked(knowledge.causes[cause], chances[cause], lines))
    return tuple(ranked)


def _explaining_first(causes: Sequence[str], explained: Explained) -> list[str]:
    """Those that can show in a complaint, then those that only go with its circumstances.

    Cold water is no fault of a pool whose pump draws air, however sure it is that the water is cold.
    """
    found, symptoms = explained.found, explained.knowledge.symptoms
    heard = {symptom for symptom, chance in found.believed.case.heard.items() if chance >= LIKELY}
    told = heard | {symptom for symptom, present in found.facts.symptoms.items() if present}
    complaints = {symptom for symptom in told if not symptoms[symptom].circumstance}
    explaining = {
        cause
        for cause in causes
        if cause in explained.spoken_for or not complaints.isdisjoint(consequences(explained.knowledge)[cause])
    }
    if all(explained.chances[cause] < LEAST_SHOWN for cause in explaining):
        return list(causes)
    return sorted(causes, key=lambda cause: cause not in explaining)


def _weights_of_words(explained: Explained, causes: Sequence[int]) -> list[float]:
    """Of some causes, how much the words as a whole added to the log-odds; empty where nothing was said."""
    if not explained.accounts:
        return []
    gained = log_odds(np.array(explained.ranking.probabilities)) - log_odds(
        np.array(explained.before_words.probabilities)
    )
    return [float(gained[cause]) for cause in causes]


def _a_fault_is_likely(causes: Sequence[str], chances: Mapping[str, float], knowledge: Knowledge) -> bool:
    return any(chances[cause] >= LIKELY and not knowledge.causes[cause].harmless for cause in causes)


def _explains_something(explained: Explained, cause: str) -> bool:
    """Whether it can show in what is there; what is only common, or made likely by silence, is a filler."""
    found, rule = explained.found, explained.knowledge.causes[cause]
    if cause in explained.spoken_for or not found.proven.isdisjoint(rule.brings):
        return True
    heard = {symptom for symptom, chance in found.believed.case.heard.items() if chance >= LIKELY}
    shown = consequences(explained.knowledge)[cause]
    return any(found.facts.symptoms.get(symptom) or symptom in heard for symptom in shown)


def _told(known: EvidencePiece, explained: Explained) -> EvidenceLine:
    """The line of one thing known, its weight still to come."""
    if known.kind in ("proven", "ruled_out"):
        state = explained.knowledge.states[explained.network.states[known.index]]
        return EvidenceLine(state.id, state.title, known.kind == "proven", 1.0, kind="state")
    symptom = explained.knowledge.symptoms[explained.network.symptoms[known.index]]
    kind = "heard" if known.kind == "heard" else "symptom"
    return EvidenceLine(symptom.id, symptom.title, known.kind != "absent", 1.0, kind=kind)


def _weighed(line: EvidenceLine, weight: float) -> EvidenceLine:
    otherwise = line.kind == "words" and weight < 0
    return replace(line, factor=math.exp(weight), title=SPOKEN_OTHERWISE if otherwise else line.title)


def _ranked(cause: Cause, chance: float, evidence: Sequence[EvidenceLine]) -> RankedCause:
    return RankedCause(
        cause=cause.id,
        title=cause.title,
        area=cause.area,
        probability=chance,
        word=chance_word(chance),
        explain=cause.explain,
        who=cause.who,
        hazard=cause.hazard,
        settle=cause.settle.how,
        evidence_for=tuple(one for one in evidence if one.factor > 1)[:6],
        evidence_against=tuple(one for one in evidence if one.factor < 1)[:4],
    )


def two_faults(explained: Explained) -> TwoFaults | None:
    """The two faults most likely at work together; None where that is less likely than not to matter."""
    chances, network, causes = explained.chances, explained.network, explained.knowledge.causes
    likely = [cause for cause, chance in chances.items() if chance >= TOGETHER and not causes[cause].harmless][:4]
    if len(likely) < 2:
        return None
    best = pairs(network.network, explained.evidence, [network.cause_index[cause] for cause in likely])[0]
    if best.probability < TOGETHER:
        return None
    first, second = (network.causes[place] for place in (best.first, best.second))
    ordered = (first, second) if chances[first] >= chances[second] else (second, first)
    return TwoFaults(ordered, best.probability)
