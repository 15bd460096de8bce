"""Runs mutants against the reference cases: a wrong that no case notices is a rule that no case protects."""

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.errors import SaltriageError
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.matching import Matcher
from saltriage.matching.of_knowledge import conditions_of
from saltriage.reference import failures
from saltriage.result import Diagnosis
from saltriage.workshop.mutants import KINDS, Mutant, mutants

__all__ = ["Caught", "Trial", "run_mutation"]

_LEADING = 8  # a case is touched by the causes that lead in it


@dataclass(frozen=True, slots=True)
class Caught:
    """One mutant and the case that noticed it.

    Args: by: id of the case, empty if none did.    how: the first failure, or 'the case is refused'.
    """

    mutant: str
    kind: str
    rules: str
    rule: str
    by: str
    how: str


@dataclass(frozen=True, slots=True)
class Trial:
    """A reference case made ready to be run many times."""

    case: Case
    touches: frozenset[str]


def run_mutation(
    rules: Path | None,
    case_paths: Sequence[Path],
    kinds: tuple[str, ...] = KINDS,
    only: frozenset[str] = frozenset(),
    workers: int = 1,
) -> list[Caught]:
    """Every mutant with the case that caught it, in the order of `mutants`.

    Args: rules: folder, None for the shipped rules.    case_paths: files of reference cases.    workers: processes.
    Raises: SaltriageError where a case fails before anything is wronged.
    """
    if workers <= 1:
        return _share(rules, case_paths, kinds, only, 0, 1)
    with ProcessPoolExecutor(workers) as pool:
        shares = [pool.submit(_share, rules, case_paths, kinds, only, worker, workers) for worker in range(workers)]
        parts = [share.result() for share in shares]
    longest = max(len(part) for part in parts)
    return [part[place] for place in range(longest) for part in parts if place < len(part)]


def _share(
    rules: Path | None,
    case_paths: Sequence[Path],
    kinds: tuple[str, ...],
    only: frozenset[str],
    worker: int,
    workers: int,
) -> list[Caught]:
    knowledge = load_knowledge(rules)
    plain = Matcher(conditions_of(knowledge), prefer="plain")
    trials = {trial.case.id: trial for trial in _trials(knowledge, plain, case_paths)}
    return [
        _caught(mutant, knowledge, plain, trials)
        for place, mutant in enumerate(mutants(knowledge, kinds, only))
        if place % workers == worker
    ]


def _trials(knowledge: Knowledge, matcher: Matcher, case_paths: Iterable[Path]) -> Iterable[Trial]:
    for path in case_paths:
        case = load_case(path, knowledge)
        found = diagnose(case, knowledge, matcher, next_check="next" in case.expect)
        problems = failures(case.expect, found)
        if not problems:
            yield Trial(case, _touched(case, found))
        elif not case.known_gap:
            raise SaltriageError(f"{path}: fails before anything is changed: {problems[0]}")


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


def _caught(mutant: Mutant, knowledge: Knowledge, plain: Matcher, trials: Mapping[str, Trial]) -> Caught:
    changes_conditions = mutant.kind != "word"
    matcher = Matcher(conditions_of(mutant.knowledge), prefer="plain") if changes_conditions else plain
    own = [trials[case] for case in mutant.cases if case in trials]
    others = [trial for key, trial in trials.items() if key not in mutant.cases and trial.touches & mutant.touches]
    for trial in (*own, *others):
        how = _noticed(mutant, trial.case, matcher)
        if how:
            return Caught(mutant.name, mutant.kind, mutant.rules, mutant.rule, trial.case.id, how)
    return Caught(mutant.name, mutant.kind, mutant.rules, mutant.rule, "", "")


def _noticed(mutant: Mutant, case: Case, matcher: Matcher) -> str:
    """The first failure of a case under a mutant; empty if it passes."""
    refused = mutant.kind == "removal" and (
        (mutant.rules in ("symptoms", "readings") and mutant.rule in (*case.symptoms, *case.unknown, *_typed(case)))
        or (mutant.rules == "equipment" and case.profile == mutant.rule)
        or (mutant.rules == "targets" and case.targets == mutant.rule)
    )
    if refused:
        return "the case is refused"
    try:
        found = diagnose(case, mutant.knowledge, matcher, next_check="next" in case.expect)
    except (SaltriageError, KeyError) as trouble:
        return f"no diagnosis: {trouble}"
    problems = failures(case.expect, found)
    return problems[0] if problems else ""


def _typed(case: Case) -> tuple[str, ...]:
    return tuple(key for key, reading in case.readings.items() if reading.origin != "profile")
