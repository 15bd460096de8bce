"""Runs mutants against the reference cases: a wrong that no case notices is a rule that no case protects."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

from saltriage.case import load_case
from saltriage.conditions import Matcher
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.matching import conditions_of
from saltriage.knowledge.model import Knowledge
from saltriage.workshop.listening import ListeningBench, heard_otherwise, listening_bench
from saltriage.workshop.mutants import KINDS, MUTABLE, Mutant, mutants
from saltriage.workshop.reference_cases import case_files
from saltriage.workshop.revisions import changed_files
from saltriage.workshop.trials import Trial, noticed, trial_of

__all__ = ["MUST_BE_CAUGHT", "Caught", "MutationResult", "mutate", "rules_of_files", "run_mutation"]

MUST_BE_CAUGHT = ("removal", "flip", "threshold")
"""Kinds of mutants none of which may go unnoticed; of changed frequency words only the share is reported."""
_FEW = 60
_DOSES = frozenset({"water", "dose", "plan"})
_SHARES = 12  # a worker, so that none idles long at the end


@dataclass(frozen=True, slots=True)
class Caught:
    """One mutant and the case that noticed it.

    Args: by: id of the case, or the sentence; empty if none did.    how: the first failure, or 'the case is refused'.
    """

    mutant: str
    kind: str
    rules: str
    rule: str
    by: str
    how: str


@dataclass(frozen=True, slots=True)
class MutationResult:
    """What a run found.

    Args:
        tried: every mutant, in the order of `mutants`.
        failing: cases that fail before anything is wronged, with the first reason; they catch nothing.
    """

    tried: tuple[Caught, ...]
    failing: Mapping[str, str]

    @property
    def survivors(self) -> tuple[Caught, ...]:
        """Removals, flips and moved thresholds that no case noticed."""
        return tuple(one for one in self.tried if not one.by and one.kind in MUST_BE_CAUGHT)


def run_mutation(
    rules: Path | None,
    case_paths: Sequence[Path],
    kinds: tuple[str, ...] = KINDS,
    *,
    only: frozenset[str] = frozenset(),
    workers: int = 1,
    progress: Callable[[int, int], None] | None = None,
    sample: Callable[[list[Mutant]], list[Mutant]] | None = None,
    few: int = _FEW,
) -> MutationResult:
    """Every mutant with the case that caught it.

    Args:
        rules: folder, None for the shipped rules.    case_paths: files of reference cases.
        kinds: see `mutants`.    only: ids of rules to wrong; empty means all.    workers: processes.
        progress: told how many of how many are done.    sample: chooses among the mutants; with one worker only.
    """
    bench = _prepared(rules, tuple(case_paths), kinds, only, sample)
    count = len(bench.mutants)
    if workers <= 1 or sample or count < few:
        tried = []
        for place in range(count):
            tried.append(_caught(bench.mutants[place], bench))
            if progress:
                progress(place + 1, count)
        return MutationResult(tuple(tried), bench.failing)
    found: dict[int, Caught] = {}
    shares = min(count, workers * _SHARES)
    with ProcessPoolExecutor(workers, initializer=_start, initargs=(rules, tuple(case_paths), kinds, only)) as pool:
        for share in as_completed([pool.submit(_share, number, shares) for number in range(shares)]):
            found |= share.result()
            if progress:
                progress(len(found), count)
    return MutationResult(tuple(found[place] for place in range(count)), bench.failing)


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything that trying mutants needs, read once in each process."""

    knowledge: Knowledge
    plain: Matcher
    trials: Mapping[str, Trial]
    failing: Mapping[str, str]
    mutants: Sequence[Mutant]
    listening: ListeningBench | None


_BENCH: list[Bench] = []


def _start(rules: Path | None, case_paths: Sequence[Path], kinds: tuple[str, ...], only: frozenset[str]) -> None:
    _BENCH[:] = [_prepared(rules, case_paths, kinds, only, None)]


def _share(number: int, shares: int) -> dict[int, Caught]:
    (bench,) = _BENCH
    return {place: _caught(bench.mutants[place], bench) for place in range(number, len(bench.mutants), shares)}


def _prepared(
    rules: Path | None,
    case_paths: Sequence[Path],
    kinds: tuple[str, ...],
    only: frozenset[str],
    sample: Callable[[list[Mutant]], list[Mutant]] | None,
) -> Bench:
    knowledge = load_knowledge(rules)
    plain = Matcher(conditions_of(knowledge), prefer="plain")
    trials: dict[str, Trial] = {}
    failing: dict[str, str] = {}
    for path in case_paths:
        case = load_case(path, knowledge)
        trial, problem = trial_of(case, knowledge, plain)
        if trial:
            trials[case.id] = trial
        elif not case.known_gap:
            failing[case.id] = problem
    chosen = list(mutants(knowledge, kinds, only))
    chosen = sample(chosen) if sample else chosen
    listening = listening_bench(knowledge) if any(mutant.rules == "hearing" for mutant in chosen) else None
    failing |= listening.failing if listening else {}
    trials = dict(sorted(trials.items(), key=lambda one: (sorted(one[1].excluded), one[0])))  # networks are kept by it
    return Bench(knowledge, plain, trials, failing, chosen, listening)


def _caught(mutant: Mutant, bench: Bench) -> Caught:
    """The mutant with the first case that notices it; the cases that its rule names are tried first."""
    if bench.listening is not None and mutant.rules == "hearing":
        by, how = heard_otherwise(mutant, bench.listening)
        return Caught(mutant.name, mutant.kind, mutant.rules, mutant.rule, by, how)
    changes_conditions = mutant.kind != "word"
    matcher = Matcher(conditions_of(mutant.knowledge), prefer="plain") if changes_conditions else bench.plain
    trials = bench.trials
    own = [trials[case] for case in mutant.cases if case in trials]
    rest = [trial for key, trial in trials.items() if key not in mutant.cases]
    if mutant.rules == "limits":  # only doses can notice it
        rest = [trial for trial in rest if trial.case.expect.keys() & _DOSES]
    near = [trial for trial in rest if trial.touches & mutant.touches]
    # Nothing that a removed rule does not touch can notice it; of the others each case decides by itself.
    far = [] if mutant.kind == "removal" else [trial for trial in rest if not trial.touches & mutant.touches]
    for trial in (*own, *near, *far):
        how = noticed(mutant, trial, matcher)
        if how:
            return Caught(mutant.name, mutant.kind, mutant.rules, mutant.rule, trial.case.id, how)
    return Caught(mutant.name, mutant.kind, mutant.rules, mutant.rule, "", "")


def rules_of_files(paths: Iterable[Path], knowledge: Knowledge) -> frozenset[str]:
    """Ids of the rules in these files, and of rules whose cases are in them; a change of scales means every rule."""
    names = {path.stem for path in paths if path.suffix == ".yaml"}
    rules = [rule for group in MUTABLE for rule in getattr(knowledge, group).values()]
    if "knowledge" in names:
        return frozenset(rule.id for rule in rules)
    return frozenset(rule.id for rule in rules if rule.id in names or names & set(rule.cases))


def mutate(
    rules: Path | None,
    kinds: tuple[str, ...] = (),
    only: frozenset[str] = frozenset(),
    *,
    changed: str = "",
    workers: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> MutationResult:
    """A run over the reference cases that lie beside the rules.

    Args: kinds, only: empty means all.    changed: a git revision; only rules that differ from it, or whose cases do.
    Raises: UsageRefused: no such kind, rule or revision; no case lies beside the rules.
    """
    home = rules or data_folder("rules")
    knowledge = load_knowledge(rules)
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown:
        raise UsageRefused(f"{unknown[0]}: no kind of mutant; kinds are {', '.join(KINDS)}")
    every = {id for group in MUTABLE for id in getattr(knowledge, group)}
    if only - every:
        near = nearest(min(only - every), every)
        raise UsageRefused(f"{min(only - every)}: no rule has this id. {near}".strip())
    if changed:
        since = rules_of_files(changed_files(changed, home.parent), knowledge)
        only = only & since if only else since
        if not only:
            return MutationResult((), {})
    files = case_files(home.parent / "cases" / "reference")
    if not files:
        raise UsageRefused(f"no reference case lies under {home.parent / 'cases' / 'reference'}")
    return run_mutation(rules, files, kinds or KINDS, only=only, workers=workers, progress=progress)
