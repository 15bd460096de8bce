"""One reference case made ready to be run under many changed rule sets, and how a case notices a change.

Most changes leave most cases as they were, and that is found without a whole diagnosis: a changed condition whose
matches are the same, and a changed frequency word that moves no chance to speak of, change nothing that a case sees.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from heapq import nsmallest

from saltriage.believe import believe
from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose, diagnosis_of, examine
from saltriage.errors import SaltriageError
from saltriage.explain import Explained, explain
from saltriage.explain.cause_network import network_of
from saltriage.find import find
from saltriage.knowledge.model import Knowledge
from saltriage.ranking import rank
from saltriage.result import Diagnosis
from saltriage.workshop.mutants import Mutant
from saltriage.workshop.reference_cases import danger_failures, failures, plan_failures

__all__ = ["Trial", "noticed", "trial_of"]

_LEADING = 8  # a case is touched by the causes that lead in it
_LEAST_MOVE = 0.01  # chances are shown in whole per cent; smaller moves count as not noticed


@dataclass(frozen=True, slots=True)
class Trial:
    """A reference case and how it comes out with the rules as they are.

    Args:
        touches: every id that plays a part in it.    excluded: causes that cannot apply to its pool.
        evident: symptoms whose frequencies bear on its ranking.    asks: it expects a certain next check.
    """

    case: Case
    touches: frozenset[str]
    examined: Explained
    chances: Mapping[str, float]
    excluded: frozenset[str]
    evident: frozenset[str]
    asks: bool


def trial_of(case: Case, knowledge: Knowledge, matcher: Matcher) -> tuple[Trial | None, str]:
    """The case made ready; or None and its first failure where it does not come out as it says.

    Raises: CaseRefused, MatcherFailed: as `diagnose`.
    """
    asks = "next" in case.expect
    found = diagnose(case, knowledge, matcher, next_check=asks)
    problems = failures(case.expect, found) + plan_failures(case, knowledge) + danger_failures(case, knowledge)
    if problems:
        return None, problems[0]
    examined = examine(case, knowledge, matcher)
    network, evidence = examined.network, examined.evidence
    evident = frozenset(network.symptoms[place] for place in (*evidence.present, *evidence.absent, *evidence.silent))
    excluded = frozenset(set(knowledge.causes) - set(network.causes))
    trial = Trial(case, _touched(case, found), examined, examined.chances, excluded, evident, asks)
    return trial, ""


def _touched(case: Case, found: Diagnosis) -> frozenset[str]:
    """Everything that plays a part in a case: what it names, what came of it, what it expects."""
    expected: set[str] = set()
    _texts(case.expect, expected)
    return frozenset(
        {line.reading for line in found.readings}
        | {answer.symptom for answer in found.answers}
        | {action.action for action in found.actions}
        | {action.action for action in found.withheld}
        | {stop.stop for stop in found.stops}
        | {order.order for order in found.orders}
        | {doubt.doubt for doubt in found.doubts}
        | {note.note for note in found.safety}
        | set(list(found.posteriors)[:_LEADING])
        | {found.targets, found.profile}
        | expected
    )


def _texts(value: object, into: set[str]) -> None:
    if isinstance(value, str):
        into.add(value)
    elif isinstance(value, Mapping):
        for each in value.values():
            _texts(each, into)
    elif isinstance(value, list | tuple):
        for each in value:
            _texts(each, into)


def noticed(mutant: Mutant, trial: Trial, matcher: Matcher) -> str:
    """The first failure of a case under a mutant; empty if it passes."""
    case = trial.case
    if _refused(mutant, case):
        return "the case is refused"
    if mutant.rules == "plans" or (mutant.rules == "limits" and "water" in case.expect):
        return next(iter(plan_failures(case, mutant.knowledge)), "")
    try:
        found = _diagnosed(mutant, trial, matcher)
    except (SaltriageError, KeyError, StopIteration) as trouble:  # the last of its kind may be gone
        return f"no diagnosis: {trouble}"
    if found is None:
        return ""
    problems = failures(case.expect, found) or danger_failures(case, mutant.knowledge)
    return problems[0] if problems else ""


def _refused(mutant: Mutant, case: Case) -> bool:
    """True where the case names a rule that is gone, so that it could not even be read."""
    if mutant.kind != "removal":
        return False
    typed = tuple(key for key, reading in case.readings.items() if reading.origin != "profile")
    named = {
        "symptoms": (*case.symptoms, *case.unknown, *typed), "readings": (*case.symptoms, *case.unknown, *typed),
        "equipment": (case.profile,), "targets": (case.targets,),
    }  # fmt: skip
    return mutant.rule in named.get(mutant.rules, ())


def _diagnosed(mutant: Mutant, trial: Trial, matcher: Matcher) -> Diagnosis | None:
    """The diagnosis of a case under a mutant; None where it cannot be another one."""
    if mutant.kind == "word":
        examined = _reweighed(mutant, trial)
        return diagnosis_of(examined, next_check=trial.asks) if examined else None
    if mutant.kind in ("flip", "threshold") and mutant.rules != "limits":
        before, now = trial.examined.found, find(believe(trial.case, mutant.knowledge, matcher))
        same_doubts = now.believed.settled.doubts == before.believed.settled.doubts
        if now.truths == before.truths and now.facts == before.facts and same_doubts:
            return None
        return diagnosis_of(explain(now), next_check=trial.asks)
    return diagnose(trial.case, mutant.knowledge, matcher, next_check=trial.asks)


def _reweighed(mutant: Mutant, trial: Trial) -> Explained | None:
    """The case ranked with a changed frequency word; None where that moves no chance to speak of."""
    symptom = next(iter(mutant.touches - {mutant.rule}), mutant.rule)  # a cause and a symptom may share an id
    asks = trial.asks and bool(mutant.touches & trial.touches)
    if mutant.rule in trial.excluded or (symptom not in trial.evident and not asks):
        return None
    network = network_of(mutant.knowledge, trial.excluded)
    ranking = rank(network.network, trial.examined.evidence)
    if not asks and not _moved(dict(zip(network.causes, ranking.probabilities, strict=True)), trial.chances):
        return None
    believed = trial.examined.found.believed
    believed = replace(believed, situation=replace(believed.situation, knowledge=mutant.knowledge))
    found = replace(trial.examined.found, believed=believed)
    return replace(trial.examined, found=found, network=network, ranking=ranking)


def _moved(now: Mapping[str, float], before: Mapping[str, float]) -> bool:
    """True where chances differ by more than a report shows, or the first three come in another order."""
    if any(abs(now[cause] - chance) >= _LEAST_MOVE for cause, chance in before.items()):
        return True
    return _first_three(now) != _first_three(before)


def _first_three(chances: Mapping[str, float]) -> list[str]:
    return nsmallest(3, chances, key=lambda cause: (-chances[cause], cause))
