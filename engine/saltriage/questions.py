"""What could be asked next: every symptom and reading that a caller can be asked for, and what each settles."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from saltriage.derive import CALCULATORS
from saltriage.knowledge.conditions import References
from saltriage.knowledge.model import Ask, Knowledge
from saltriage.ranked import CauseNetwork
from saltriage.ranking import Evidence, Question, Risk, Scorer
from saltriage.result import NextCheck, Wording

__all__ = ["Askable", "askables", "best_checks", "check_for", "open_askables"]

# Minutes that waiting for somebody else's visit counts as: common practice, no source.
VISIT_MINUTES = 90.0
_RISKS = {"none": Risk.NONE, "low": Risk.LOW, "caution": Risk.CAUTION}
_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Askable:
    """One thing to ask or measure.

    Args:
        id: of the symptom or reading.    kind: symptom | reading.
        settles: symptoms that the answer makes known, sorted; for a reading all that are derived from it.
        one_look: seen or shown, so that one look may settle several of them (`ask.together`).
    """

    id: str
    kind: str
    settles: tuple[str, ...]
    ask: Ask
    one_look: bool = False

    @property
    def minutes(self) -> float:
        return max(self.ask.minutes, 0.2) + (0.0 if self.ask.who == "owner" else VISIT_MINUTES)


_KEPT: dict[str, tuple[Askable, ...]] = {}


def askables(knowledge: Knowledge) -> tuple[Askable, ...]:
    """Everything that can be asked for, in the order of ids; kept for reuse."""
    if knowledge.fingerprint not in _KEPT:
        if len(_KEPT) >= 8:
            _KEPT.clear()
        _KEPT[knowledge.fingerprint] = _all_askables(knowledge)
    return _KEPT[knowledge.fingerprint]


def _all_askables(knowledge: Knowledge) -> tuple[Askable, ...]:
    found = [
        Askable(symptom.id, "symptom", (symptom.id,), symptom.ask, symptom.kind in ("seen", "indicated"))
        for symptom in knowledge.symptoms.values()
        if symptom.ask is not None
    ]
    derived_from = readings_behind(knowledge)
    for reading in knowledge.readings.values():
        settles = tuple(sorted(symptom for symptom, readings in derived_from.items() if reading.id in readings))
        if reading.ask is not None and settles:
            found.append(Askable(reading.id, "reading", settles, reading.ask))
    return tuple(sorted(found, key=lambda each: (each.id, each.kind)))


def readings_behind(knowledge: Knowledge) -> dict[str, frozenset[str]]:
    """Derived symptom -> every reading that its condition rests on, through computed readings and other symptoms."""
    direct = {
        symptom.id: symptom.derived.references()
        for symptom in knowledge.symptoms.values()
        if symptom.derived is not None
    }
    return {
        symptom: _readings_of(references, direct, knowledge, frozenset({symptom}))
        for symptom, references in direct.items()
    }


def _readings_of(
    references: References, direct: Mapping[str, References], knowledge: Knowledge, seen: frozenset[str]
) -> frozenset[str]:
    found: set[str] = set()
    for reading in references.readings:
        rule = knowledge.readings[reading]
        if rule.computed in CALCULATORS:
            found |= set(CALCULATORS[rule.computed].needs)
        found.add(reading)
    for symptom in references.symptoms - seen:
        if symptom in direct:
            found |= _readings_of(direct[symptom], direct, knowledge, seen | {symptom})
    for doubt in references.doubts:
        found |= knowledge.doubts[doubt].when.references().readings
    return frozenset(found)


def open_askables(
    knowledge: Knowledge, answers: Mapping[str, bool], readings: frozenset[str], skipped: frozenset[str]
) -> list[Askable]:
    """What is still worth asking: settles something unknown, is not measured yet and was not given up.

    Args: skipped: ids of symptoms and readings that the caller could not answer.
    """
    return [
        each
        for each in askables(knowledge)
        if each.id not in skipped
        and not (each.kind == "reading" and each.id in readings)
        and any(symptom not in answers for symptom in each.settles)
    ]


def check_for(knowledge: Knowledge, reading: str) -> NextCheck | None:
    """The question for one reading that a dose waits for; None where nobody can be asked for it."""
    rule = knowledge.readings.get(reading)
    if rule is None or rule.ask is None:
        return None
    return _next_check(Askable(reading, "reading", (), rule.ask), (), 0.0, 0.0)


def best_checks(
    knowledge: Knowledge, network: CauseNetwork, evidence: Evidence, candidates: Sequence[Askable], count: int = _SHOWN
) -> tuple[NextCheck, ...]:
    """The checks that tell most about the causes for their effort, best first; the most telling one overall is in it.

    Args: candidates: from `open_askables`.    count: how many at most.
    """
    looks = _looks(candidates)
    index = network.symptom_index
    questions = [
        Question(
            tuple(sorted({index[symptom] for each in look for symptom in each.settles if symptom in index})),
            max(each.minutes for each in look),
            max(_RISKS[each.ask.risk] for each in look),
        )
        for look in looks
    ]
    scorer = Scorer(network.network, evidence)
    scores = scorer.scores(questions)
    order = sorted(range(len(looks)), key=lambda place: (-scores[place].per_minute, looks[place][0].id))
    telling = [place for place in order if scores[place].information > _LEAST_BITS]
    if not telling:
        return ()
    chosen: list[int] = []
    settled: set[str] = set()
    overall = max(telling, key=lambda place: (scores[place].information, -place))
    for place in telling:
        settles = {symptom for each in looks[place] for symptom in each.settles}
        room = count if overall in chosen else count - 1
        if len(chosen) < room and not settles <= settled:
            chosen.append(place)
            settled |= settles
    if overall not in chosen:
        chosen.append(overall)
    leads = _leads(network, scorer, [looks[place] for place in chosen])
    return tuple(
        _next_check(lead, looks[place], scores[place].information, scores[place].per_minute)
        for place, lead in zip(chosen, leads, strict=True)
    )


_LEAST_BITS = 0.005  # below this an answer changes no advice (own judgement)


def _looks(candidates: Sequence[Askable]) -> list[list[Askable]]:
    """Questions that one look settles, together, so that its effort counts once; every other one by itself.

    Only what is seen or shown in one place is one look. Two tests of the same water are two tests.
    """
    looks: dict[tuple[str, str], list[Askable]] = {}
    for each in candidates:
        shared = each.ask.together if each.one_look else ""
        looks.setdefault(("look", shared) if shared else (each.kind, each.id), []).append(each)
    return list(looks.values())


def _leads(network: CauseNetwork, scorer: Scorer, looks: Sequence[Sequence[Askable]]) -> list[Askable]:
    """The most telling question of each look: the one to ask first."""
    index = network.symptom_index
    every = [each for look in looks for each in look]
    singles = [
        Question(tuple(sorted(index[symptom] for symptom in each.settles if symptom in index))) for each in every
    ]
    if all(len(look) == 1 for look in looks):
        return [look[0] for look in looks]
    information = {
        (each.kind, each.id): score.information for each, score in zip(every, scorer.scores(singles), strict=True)
    }
    return [max(look, key=lambda each: (information[each.kind, each.id], each.id)) for look in looks]


def _next_check(lead: Askable, look: Sequence[Askable], information: float, per_minute: float) -> NextCheck:
    return NextCheck(
        check=lead.id,
        settles=tuple(sorted({symptom for each in look for symptom in each.settles})),
        kind=lead.kind,
        ask=Wording(lead.ask.question.owner, lead.ask.question.support),
        minutes=lead.ask.minutes,
        risk=lead.ask.risk,
        needs=lead.ask.needs,
        who=lead.ask.who,
        information=information,
        per_minute=per_minute,
    )
