"""`rules diff`: what two states of the rules tell the same callers.

Callers are all reference cases of the newer state and a seeded population. Compared is what a caller would notice:
the first cause, the order of the first three, stop rules, actions and doses.
"""

from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.case import Case, load_case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.bundle import bundle_file
from saltriage.knowledge.matching import conditions_of
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis, DoseAdvice
from saltriage.workshop.lock import lock_of, wanted_version
from saltriage.workshop.population import SEED, sampled_callers
from saltriage.workshop.reference_cases import case_files
from saltriage.workshop.revisions import state

__all__ = ["ASPECTS", "Change", "Comparison", "callers_of", "compare"]

ASPECTS = ("first", "order", "stop", "dose", "action", "refused")
"""What can differ for a caller, gravest for triage first."""
_SHOWN = 3
_LEAST_DOSE = 0.01  # a dose that moves by less than this share of itself is the same


@dataclass(frozen=True, slots=True)
class Change:
    """One difference for one caller. `caller`: id of the case or of the sampled caller, whose title says more."""

    caller: str
    title: str
    is_case: bool
    aspect: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Args:
    old, new: versions of the knowledge.    rules: ``folder/id`` -> added, removed, changed or reworded.
    cases, callers: how many were compared.
    suggested, why: the version that the newer state should have, as `rules lock` says it there.
    """

    old: str
    new: str
    rules: dict[str, str]
    cases: int
    callers: int
    changes: tuple[Change, ...]
    suggested: str
    why: str

    @property
    def touched(self) -> Counter[str]:
        """How many callers differ in each aspect; one caller may count in several."""
        return Counter(change.aspect for change in self.changes)


def compare(old: str, new: str, checkout: Path, callers: int = 300, seed: int = SEED) -> Comparison:
    """Compare two states.

    Args: old, new: git revisions of `checkout`, or folders that hold rules/ and cases/; an empty `new` is the checkout.
    callers: how many to draw beside the reference cases.
    Raises: UsageRefused: no such state; KnowledgeRefused: rules that do not pass the check.
    """
    with state(old, checkout) as before, state(new or str(checkout), checkout) as after:
        try:
            return _compared(before, after, callers, seed)
        finally:
            for folder in {before, after} - {checkout, Path(old), Path(new)}:  # nobody looks there again
                with suppress(OSError):
                    bundle_file(folder / "rules").unlink()


def _compared(before: Path, after: Path, callers: int, seed: int) -> Comparison:
    knowledge = (load_knowledge(before / "rules"), load_knowledge(after / "rules"))
    files = case_files(after / "cases" / "reference")
    cases = _loaded_cases(files, knowledge[1])
    told: list[tuple[bool, Any]] = [(True, path) for path in files]
    told += [(False, data) for data in sampled_callers(knowledge[0], cases, callers, seed)]
    matchers = tuple(Matcher(conditions_of(each), prefer="plain") for each in knowledge)
    changes: list[Change] = []
    firsts: tuple[dict[str, str], dict[str, str]] = ({}, {})
    for is_case, source in told:
        name, title, answers = "", "", []
        for side in (0, 1):
            case = _loaded(source, knowledge[side])
            found = None if case is None else diagnose(case, knowledge[side], matchers[side], next_check=False)
            answers.append(found)
            if case is not None:
                name, title = case.id, case.title
            if found is not None and is_case:
                firsts[side][found.case] = found.causes[0].cause if found.causes else ""
        changes += _changes(name or str(source), title, is_case, answers[0], answers[1])
    locks = (lock_of(before / "rules", firsts[0]), lock_of(after / "rules", firsts[1]))
    suggested, why = wanted_version(after / "rules", locks[1])
    return Comparison(
        knowledge[0].version, knowledge[1].version, _rules(locks[0].rules, locks[1].rules), len(files), callers,
        tuple(changes), suggested, why,
    )  # fmt: skip


def callers_of(rules: Path, knowledge: Knowledge, count: int, seed: int = SEED) -> list[dict[str, Any]]:
    """The sampled callers of a comparison of these rules with others, as case data."""
    cases = _loaded_cases(case_files(rules.parent / "cases" / "reference"), knowledge)
    return list(sampled_callers(knowledge, cases, count, seed))


def _loaded_cases(files: Iterable[Path], knowledge: Knowledge) -> list[Case]:
    return [case for path in files if (case := _loaded(path, knowledge)) is not None]


def _loaded(source: Any, knowledge: Knowledge) -> Case | None:
    try:
        if isinstance(source, Path):
            return load_case(source, knowledge)
        return Case.from_data(source, knowledge)
    except CaseRefused:
        return None


def _rules(old: Any, new: Any) -> dict[str, str]:
    found: dict[str, str] = {}
    for key in sorted({*old, *new}):
        if key not in old or key not in new:
            found[key] = "added" if key in new else "removed"
        elif old[key].meaning != new[key].meaning:
            found[key] = "changed"
        elif old[key].wording != new[key].wording:
            found[key] = "reworded"
    return found


def _changes(name: str, title: str, is_case: bool, old: Diagnosis | None, new: Diagnosis | None) -> Iterable[Change]:
    if old is None or new is None:
        if (old is None) != (new is None):
            told = {True: "refused", False: "answered"}
            yield Change(name, title, is_case, "refused", told[old is None], told[new is None])
        return
    tops = [[cause.cause for cause in each.causes[:_SHOWN]] for each in (old, new)]
    if tops[0][:1] != tops[1][:1]:
        yield Change(name, title, is_case, "first", _first(old), _first(new))
    elif tops[0] != tops[1]:
        yield Change(name, title, is_case, "order", ", ".join(tops[0]), ", ".join(tops[1]))
    stops = [sorted(stop.stop for stop in each.stops) for each in (old, new)]
    if stops[0] != stops[1]:
        yield Change(name, title, is_case, "stop", ", ".join(stops[0]) or "none", ", ".join(stops[1]) or "none")
    yield from _dose_changes(name, title, is_case, old, new)
    shown = [{action.action for action in each.actions} for each in (old, new)]
    if shown[0] != shown[1]:
        gone, more = sorted(shown[0] - shown[1]), sorted(shown[1] - shown[0])
        yield Change(name, title, is_case, "action", ", ".join(gone) or "none less", ", ".join(more) or "none more")


def _dose_changes(name: str, title: str, is_case: bool, old: Diagnosis, new: Diagnosis) -> Iterable[Change]:
    doses = [{action.action: action.dose for action in each.actions if action.dose} for each in (old, new)]
    for action in sorted(doses[0].keys() & doses[1].keys()):
        one, two = doses[0][action], doses[1][action]
        if one.computed != two.computed or _differ(one.low, two.low) or _differ(one.high, two.high):
            yield Change(name, title, is_case, "dose", f"{action} {_dose(one)}", f"{action} {_dose(two)}")


def _differ(one: float, two: float) -> bool:
    return abs(one - two) > _LEAST_DOSE * max(abs(one), abs(two))


def _dose(dose: DoseAdvice) -> str:
    return f"{dose.low:.4g} to {dose.high:.4g} {dose.unit}" if dose.computed else "not computed"


def _first(found: Diagnosis) -> str:
    return f"{found.causes[0].cause} {found.causes[0].probability:.0%}" if found.causes else "none"
