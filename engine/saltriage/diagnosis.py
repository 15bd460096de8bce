"""The whole way on one page: case -> derive -> match -> rank -> advise -> Diagnosis."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from saltriage.advice.advise import advise
from saltriage.advice.dose_inputs import DoseInputs
from saltriage.case import Case
from saltriage.errors import UsageRefused
from saltriage.knowledge.conditions import Truth, explain
from saltriage.knowledge.model import Cause, Knowledge, Safety
from saltriage.likelihood import chance_word
from saltriage.matching import Matches
from saltriage.matching.of_knowledge import matcher_for
from saltriage.noted import answers, borderline, disagreements, doubt_notes, reading_lines
from saltriage.questions import best_checks, check_for, open_askables
from saltriage.ranked import CauseNetwork, network_of
from saltriage.ranking import Evidence as Known
from saltriage.ranking import Ranking, leave_out_weights, pairs, rank, rank_many
from saltriage.result import (
    AdvisedAction,
    Diagnosis,
    Evidence,
    NextCheck,
    RankedCause,
    StopNotice,
    TwoFaults,
    Wording,
)
from saltriage.situation import Situation, prepared

if TYPE_CHECKING:
    from saltriage.matching import Matcher

__all__ = [
    "Examined",
    "diagnose",
    "diagnosis_of",
    "doubt_notes",
    "examine",
    "matched",
    "next_checks",
    "reading_lines",
    "with_rankings",
]

MOST_CAUSES = 5
LEAST_SHOWN = 0.05  # a cause less likely than this is not shown, unless it is the first
SUPPORTED = 1.05  # a cause hardly likelier than before anybody called has nothing speaking for it
ENOUGH = 0.5  # below this chance of the first cause the report says that not enough is known (own judgement)
COVERED = 0.5  # a cause as likely as this raises the stop rule that covers it
CONFLICT = 2.0  # log ratio above which answers are called badly fitting: own judgement
TOGETHER = 0.4  # joint chance above which two faults at once are named: own judgement
RELEVANT = 0.15  # a cause with less than this share of the first one's chance does not decide what to ask
SETTLED = 0.85  # a cause as likely as this needs no more questions, nor does one less likely than UNSURE
UNSURE = 0.2  # both own judgement
DOSES_READ = 3  # of so many actions the report asks for a reading that a dose waits for (own judgement)
FROM_AFAR = frozenset({"history", "smelt", "felt", "heard"})  # kinds of symptoms told without going near
WEAK = 0.1  # log-odds of an answer too small to mention


@dataclass(frozen=True)
class Examined:
    """A case after matching and ranking, before advice: what the interview and the batch work with."""

    situation: Situation
    matches: Matches
    network: CauseNetwork
    evidence: Known
    found: Ranking | None

    @property
    def ranking(self) -> Ranking:
        if self.found is None:
            raise UsageRefused(
                "this case is matched but could not be ranked; too many of its answers depend on each other"
            )
        return self.found

    @cached_property
    def chances(self) -> dict[str, float]:
        """Cause -> probability to ten digits, most probable first, equal ones in the order of their ids.

        The digits behind depend on the order of summing; a case ranked among others must be told the same as alone.
        """
        order = self.ranking.top(len(self.network.causes))
        return {self.network.causes[index]: round(chance, 10) for index, chance in order}


def diagnose(
    case: Case, knowledge: Knowledge | None = None, matcher: "Matcher | None" = None, *, next_check: bool = True
) -> Diagnosis:
    """The diagnosis of one case.

    Args:
        case: as loaded; see `saltriage.case`.    knowledge: the rules; the shipped ones where left out.
        matcher: to force a matching engine; the default uses durable-rules where it can be imported.
        next_check: False leaves out what to ask next, which takes most of the time.

    Raises:
        CaseRefused: the case names a product that is not known.
        MatcherFailed: the outside rule engine broke its contract.
    """
    if knowledge is None:
        from saltriage.knowledge import load_knowledge

        knowledge = load_knowledge()
    return diagnosis_of(examine(case, knowledge, matcher), next_check=next_check)


def examine(case: Case, knowledge: Knowledge, matcher: "Matcher | None" = None) -> Examined:
    """Match and rank one case, without advice. Raises: as `diagnose`."""
    return with_rankings([matched(case, knowledge, matcher)])[0]


def matched(case: Case, knowledge: Knowledge, matcher: "Matcher | None" = None) -> Examined:
    """Match one case; not ranked yet. Raises: as `diagnose`."""
    situation = prepared(case, knowledge)
    matches = (matcher or matcher_for(knowledge)).match(situation.facts(), situation.recompute)
    impossible = frozenset(
        cause for cause in knowledge.causes if matches.truths.get(f"cause.{cause}.applies") is Truth.FALSE
    )
    network = network_of(knowledge, impossible)
    evidence = network.evidence(matches.facts.symptoms, case.told == "volunteered", case.unknown)
    return Examined(situation, matches, network, evidence, None)


def with_rankings(examined: Sequence[Examined]) -> list[Examined]:
    """The same cases ranked; those that share a network are ranked together."""
    # By content, not by identity: which networks are kept must not decide who is ranked with whom, or the last digits
    # would depend on what went before.
    groups: dict[tuple[str, tuple[str, ...]], list[int]] = {}
    for place, each in enumerate(examined):
        groups.setdefault((each.situation.knowledge.fingerprint, each.network.causes), []).append(place)
    ranked = list(examined)
    for places in groups.values():
        network = examined[places[0]].network.network
        asked = [examined[place].evidence for place in places]
        rankings = rank_many(network, asked) if len(asked) > 1 else [rank(network, asked[0])]
        for place, found in zip(places, rankings, strict=True):
            ranked[place] = replace(examined[place], found=found)
    return ranked


def diagnosis_of(examined: Examined, *, next_check: bool = True) -> Diagnosis:
    """The advice for a case that is matched and ranked."""
    situation, matches, ranking = examined.situation, examined.matches, examined.ranking
    knowledge, case = situation.knowledge, situation.case
    chances = examined.chances
    leading = next(iter(chances), "")
    undecided = not matches.facts.symptoms or chances.get(leading, 0.0) < ENOUGH
    stops = _raised(knowledge, matches, chances)
    doubts = doubt_notes(knowledge, matches)
    actions, withheld, safety = advise(
        knowledge,
        chances,
        leading if matches.facts.symptoms else "",
        dict.fromkeys(doubt.instead for doubt in doubts if doubt.strength == "withdraw"),
        [stop for stop, _ in stops],
        matches.truths,
        matches.facts,
        lambda: DoseInputs(matches.facts.readings, situation.aims(matches.facts.readings), situation.products),
    )
    return Diagnosis(
        case=case.id,
        title=case.title,
        knowledge_version=knowledge.version,
        fingerprint=knowledge.fingerprint,
        matcher=matches.engine,
        stops=tuple(_stop(stop, because) for stop, because in stops),
        doubts=doubts,
        readings=reading_lines(situation, matches),
        answers=answers(case, knowledge, matches),
        borderline=borderline(knowledge, matches, list(chances)[:MOST_CAUSES]),
        disagreements=disagreements(knowledge, matches),
        causes=_causes(examined, chances),
        two_faults=_two_faults(examined, chances),
        undecided=undecided,
        none_known=ranking.probability_unexplained,
        do_not_fit=ranking.conflict > CONFLICT,
        actions=actions,
        withheld=withheld,
        next_checks=_worth_asking(examined, [stop for stop, _ in stops], actions, undecided) if next_check else (),
        safety=safety,
        targets=situation.targets.id,
        profile=situation.profile,
        assumptions=situation.assumptions,
        posteriors=chances,
    )


def next_checks(examined: Examined) -> tuple[NextCheck, ...]:
    """What to ask or measure next, best first; see `saltriage.questions`."""
    case, matches = examined.situation.case, examined.matches
    withdrawn = {reading for reading in case.readings if reading not in matches.facts.readings}
    relevant = _relevant(examined)
    candidates = open_askables(
        examined.situation.knowledge,
        matches.facts.symptoms,
        frozenset(matches.facts.readings) | withdrawn,
        frozenset(case.unknown),
    )
    candidates = [each for each in candidates if relevant & set(each.settles)] or candidates
    return best_checks(examined.situation.knowledge, examined.network, examined.evidence, candidates)


def _worth_asking(
    examined: Examined, stops: Sequence[Safety], actions: Sequence[AdvisedAction], undecided: bool
) -> tuple[NextCheck, ...]:
    """What the report asks for: what a dose waits for, and what still tells causes apart.

    While a stop rule calls somebody, nobody is sent to the plant or the water: only what can be answered from where
    one stands is asked.
    """
    if any(stop.call != "none" for stop in stops):
        symptoms = examined.situation.knowledge.symptoms
        safe = (each for each in next_checks(examined) if each.kind == "symptom")
        return tuple(each for each in safe if symptoms[each.check].kind in FROM_AFAR)
    first = next(iter(examined.chances.values()), 0.0)
    open_ones = [chance for chance in examined.chances.values() if UNSURE <= chance < SETTLED]
    checks = () if first >= SETTLED and not open_ones else next_checks(examined)
    doses = [action.dose for action in actions[:DOSES_READ] if action.dose and action.adds != "none"]
    unknown, knowledge = examined.situation.case.unknown, examined.situation.knowledge
    for reading in (each for dose in doses for each in dose.missing if each not in unknown):
        if wanted := check_for(knowledge, reading):
            others = tuple(each for each in checks if each.check != reading)
            return (*others, wanted) if undecided else (wanted, *others)
    return checks


def _relevant(examined: Examined) -> set[str]:
    """Symptoms of the causes that are still in the running: what else is asked would not change the advice."""
    chances = examined.chances
    least = RELEVANT * next(iter(chances.values()), 0.0)
    running = [cause for place, (cause, chance) in enumerate(chances.items()) if place == 0 or chance >= least]
    return {symptom for cause in running for symptom in examined.situation.knowledge.causes[cause].shows}


def _raised(
    knowledge: Knowledge, matches: Matches, chances: Mapping[str, float]
) -> list[tuple[Safety, tuple[str, ...]]]:
    """The stop rules that stand, each with what raised it."""
    raised: list[tuple[Safety, tuple[str, ...]]] = []
    likely = [knowledge.causes[cause] for cause, chance in chances.items() if chance >= COVERED]
    for stop in knowledge.stops:
        because: list[str] = []
        if matches.truths.get(f"safety.{stop.id}.when") is Truth.TRUE and stop.when is not None:
            leaves = explain(stop.when, matches.facts).leaves()
            because = [_because(knowledge, leaf.text) for leaf in leaves if leaf.truth is Truth.TRUE]
        because += [f"{cause.title} is likely" for cause in likely if cause.covered_by == stop.id]
        if because:
            raised.append((stop, tuple(because)))
    return raised


def _because(knowledge: Knowledge, text: str) -> str:
    """A leaf's text with the title of the symptom, reading or doubt it begins with in place of the id."""
    key, _, rest = text.partition(" ")
    if key in knowledge.symptoms:
        return knowledge.symptoms[key].title
    if key in knowledge.doubts:
        return knowledge.doubts[key].title
    return f"{knowledge.readings[key].title} {rest}" if key in knowledge.readings else text


def _stop(stop: Safety, because: tuple[str, ...]) -> StopNotice:
    until = stop.until or Wording("", "")
    return StopNotice(stop.id, stop.title, stop.hazard, stop.say, until, stop.call, because)


def _causes(examined: Examined, chances: Mapping[str, float]) -> tuple[RankedCause, ...]:
    knowledge = examined.situation.knowledge
    if not examined.matches.facts.symptoms:
        return ()
    index = examined.network.cause_index
    priors = examined.network.network.tables.priors
    supported = [cause for cause, chance in chances.items() if chance > priors[index[cause]] * SUPPORTED]
    shown = [
        cause for place, cause in enumerate(supported[:MOST_CAUSES]) if chances[cause] >= LEAST_SHOWN or place == 0
    ]
    if not shown:
        return ()
    network, evidence = examined.network, examined.evidence
    weights = leave_out_weights(network.network, evidence, [index[cause] for cause in shown])
    present = set(evidence.present)
    ranked = []
    for cause, row in zip(shown, weights.tolist(), strict=True):
        told = sorted(zip(row, evidence.asked, strict=True), key=lambda one: (-abs(round(one[0], 10)), one[1]))
        lines = [
            _evidence(knowledge, network.symptoms[symptom], symptom in present, weight)
            for weight, symptom in told
            if abs(weight) >= WEAK
        ]
        ranked.append(_ranked(knowledge.causes[cause], chances[cause], lines))
    return tuple(ranked)


def _evidence(knowledge: Knowledge, symptom: str, present: bool, weight: float) -> Evidence:
    return Evidence(symptom, knowledge.symptoms[symptom].title, present, math.exp(weight))


def _ranked(cause: Cause, chance: float, evidence: Sequence[Evidence]) -> RankedCause:
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


def _two_faults(examined: Examined, chances: Mapping[str, float]) -> TwoFaults | None:
    likely = [cause for cause, chance in chances.items() if chance >= TOGETHER][:4]
    if len(likely) < 2:
        return None
    index = examined.network.cause_index
    best = pairs(examined.network.network, examined.evidence, [index[cause] for cause in likely])[0]
    if best.probability < TOGETHER:
        return None
    first, second = (examined.network.causes[place] for place in (best.first, best.second))
    ordered = (first, second) if chances[first] >= chances[second] else (second, first)
    return TwoFaults(ordered, best.probability)
