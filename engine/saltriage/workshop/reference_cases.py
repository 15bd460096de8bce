"""Reference cases: what a case says must come out, held against what does come out."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.case import Case, load_case
from saltriage.diagnosis import dangers_of_case, diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge
from saltriage.plans.expected import plan_problems
from saltriage.pool.units import parse_quantity, to_canonical
from saltriage.result import Diagnosis

__all__ = ["CaseOutcome", "case_files", "danger_failures", "failures", "plan_failures", "run_file"]

Failure = str
_TOP = 3
_ELSEWHERE = frozenset({"plan", "hides", "leaves"})  # not of the diagnosis itself


@dataclass(frozen=True, slots=True)
class CaseOutcome:
    """One reference case run: no failures means it passed. A case with a known gap that passes by now says so."""

    case: str
    path: Path
    failures: tuple[Failure, ...]
    first: str
    known_gap: str = ""

    @property
    def passed(self) -> bool:
        return not self.failures


def failures(expected: Mapping[str, Any], found: Diagnosis) -> list[Failure]:
    """Every expectation that the diagnosis does not meet, as sentences; empty when it meets all.

    What a case expects of a plan is not the diagnosis' to meet: `plan_failures` looks at that.
    """
    problems: list[Failure] = []
    for word, wanted in expected.items():
        if word not in _ELSEWHERE:
            problems += _CHECKS[word](wanted, found)
    return problems


def plan_failures(case: Case, knowledge: Knowledge) -> list[Failure]:
    """Every expectation of a plan that the plan does not meet; empty where the case expects none.

    Raises: CaseRefused: as `diagnose`.
    """
    if "plan" not in case.expect:
        return []
    return plan_problems(case, knowledge)


def case_files(folder: Path) -> list[Path]:
    """All case files below a folder, sorted by path."""
    return sorted(path for path in folder.rglob("*.yaml") if path.is_file())


def run_file(path: Path, knowledge: Knowledge) -> CaseOutcome:
    """Run one reference case.

    A case that is refused fails with the refusal as its reason.
    """
    try:
        case = load_case(path, knowledge)
        found = diagnose(case, knowledge, next_check="next" in case.expect)
        planned = plan_failures(case, knowledge)
    except CaseRefused as refusal:
        return CaseOutcome(path.stem, path, tuple(str(refusal).splitlines()), "")
    problems = failures(case.expect, found) + planned + danger_failures(case, knowledge)
    first = _top(found)[0] if found.causes else ""
    return CaseOutcome(case.id, path, tuple(problems), first, case.known_gap)


def _top(found: Diagnosis) -> list[str]:
    return [cause.cause for cause in found.causes[:_TOP]]


def _listed(wanted: object) -> list[str]:
    return [wanted] if isinstance(wanted, str) else list(wanted)  # type: ignore[call-overload]


def _first(wanted: object, found: Diagnosis) -> list[Failure]:
    allowed, top = _listed(wanted), _top(found)
    if top and top[0] in allowed:
        return []
    shown = ", ".join(f"{cause.cause} {cause.probability:.2f}" for cause in found.causes[:4]) or "none"
    return [f"first cause: wanted {' or '.join(allowed)}, found {shown}"]


def _among_top(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    shown = ", ".join(f"{cause.cause} {cause.probability:.2f}" for cause in found.causes[:4])
    return [f"top three: {cause} is missing, found {shown}" for cause in wanted if cause not in _top(found)]


def _stops(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    standing = [stop.stop for stop in found.stops]
    return [f"stop {stop} does not stand; standing: {standing or 'none'}" for stop in wanted if stop not in standing]


def _no_stops(wanted: bool, found: Diagnosis) -> list[Failure]:
    return [f"stop {stop.stop} stands but must not" for stop in found.stops if stop.level != "unfit"]


def _not_stops(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    standing = [stop.stop for stop in found.stops]
    return [f"stop {stop} stands but must not" for stop in wanted if stop in standing]


def _orders(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    given = [order.order for order in found.orders]
    among = [order for order in given if order in wanted]
    return [] if among == list(wanted) else [f"orders: wanted {list(wanted)} in this order, given: {given}"]


def danger_failures(case: Case, knowledge: Knowledge) -> list[Failure]:
    """Actions that the dangers of a case must rule out or leave, and do not. Raises: CaseRefused: as `diagnose`."""
    hides, leaves = _listed(case.expect.get("hides", ())), _listed(case.expect.get("leaves", ()))
    if not (hides or leaves):
        return []
    dangers = dangers_of_case(case, knowledge)
    actions = knowledge.actions
    gone = [f"action {each} is not known" for each in (*hides, *leaves) if each not in actions]
    shown = [
        f"the dangers leave {each}, which they must rule out"
        for each in hides
        if each in actions and dangers.leaves(actions[each])
    ]
    hidden = [
        f"the dangers rule {each} out, which they must leave"
        for each in leaves
        if each in actions and not dangers.leaves(actions[each])
    ]
    return gone + shown + hidden


def _advise(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    shown = [action.action for action in found.actions]
    return [f"action {action} is not shown; shown: {shown}" for action in wanted if action not in shown]


def _never(wanted: Mapping[str, Sequence[str]], found: Diagnosis) -> list[Failure]:
    shown = {action.action for action in found.actions}
    problems = [
        f"cause {cause} is in the top three but must never be"
        for cause in wanted.get("causes", ())
        if cause in _top(found)
    ]
    return problems + [
        f"action {action} is shown but must never be" for action in wanted.get("actions", ()) if action in shown
    ]


def _cautions(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    shown = [note.note for note in found.safety]
    return [f"caution {note} is not shown; shown: {shown or 'none'}" for note in wanted if note not in shown]


def _next(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    asked = {check.check for check in found.next_checks} | {
        item for check in found.next_checks for item in check.settles
    }
    return [] if asked & set(wanted) else [f"next check: wanted one of {list(wanted)}, found {sorted(asked)}"]


def _states(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    proven = [each.state for each in found.states if each.standing == "proven"]
    return [f"state {state} is no fact; facts: {proven or 'none'}" for state in wanted if state not in proven]


def _no_states(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    proven = [each.state for each in found.states if each.standing == "proven"]
    return [f"state {state} is shown as a fact but must not be" for state in wanted if state in proven]


def _doubts(wanted: Sequence[str], found: Diagnosis) -> list[Failure]:
    raised = [doubt.doubt for doubt in found.doubts]
    return [f"doubt {doubt} is not raised; raised: {raised or 'none'}" for doubt in wanted if doubt not in raised]


def _no_doubts(wanted: bool, found: Diagnosis) -> list[Failure]:
    return [f"doubt {doubt.doubt} is raised but must not be" for doubt in found.doubts]


def _state(wanted: Sequence[str], found: Diagnosis, state: bool | None) -> list[Failure]:
    known = {answer.symptom: answer.present for answer in found.answers}
    word = {True: "present", False: "absent", None: "unknown"}
    return [
        f"symptom {symptom}: wanted {word[state]}, found {word[known.get(symptom)]}"
        for symptom in wanted
        if known.get(symptom) is not state
    ]


def _readings(wanted: Mapping[str, Mapping[str, str]], found: Diagnosis) -> list[Failure]:
    lines = {line.reading: line for line in found.readings if not line.withdrawn}
    problems = []
    for reading, ends in wanted.items():
        line = lines.get(reading)
        if line is None:
            problems.append(f"reading {reading}: wanted a number, found none")
            continue
        low, high = (parse_quantity(ends[end], line.quantity).canonical for end in ("low", "high"))
        if not low <= line.low <= line.high <= high:
            problems.append(f"reading {reading}: wanted {low:g} to {high:g}, found {line.low:g} to {line.high:g}")
    return problems


def _undecided(wanted: bool, found: Diagnosis) -> list[Failure]:
    return [] if found.undecided else [f"'not enough known' is not said; first is {_top(found)[:1]}"]


def _dose(wanted: Mapping[str, str], found: Diagnosis) -> list[Failure]:
    action = next((action for action in found.actions if action.action == wanted["action"]), None)
    if action is None or action.dose is None or not action.dose.computed:
        reason = action.dose.reason if action and action.dose else "the action is not shown or has no dose"
        return [f"dose of {wanted['action']}: not computed ({reason})"]
    dose = action.dose
    low, high = (parse_quantity(wanted[end], dose.quantity).canonical for end in ("low", "high"))
    # The dose is shown in millilitres, the canonical unit of a volume is the litre.
    shown_low, shown_high = (to_canonical(end, dose.unit, dose.quantity) for end in (dose.low, dose.high))
    if low <= shown_low and shown_high <= high:
        return []
    return [
        f"dose of {wanted['action']}: wanted {wanted['low']} to {wanted['high']},"
        f" found {dose.low:g} to {dose.high:g} {dose.unit}"
    ]


def _targets(wanted: str, found: Diagnosis) -> list[Failure]:
    return [] if found.targets == wanted else [f"targets: wanted {wanted}, found {found.targets}"]


_CHECKS: dict[str, Callable[[Any, Diagnosis], list[Failure]]] = {
    "first": _first,
    "among-top": _among_top,
    "both": _among_top,
    "stops": _stops,
    "no-stops": _no_stops,
    "not-stops": _not_stops,
    "orders": _orders,
    "advise": _advise,
    "never": _never,
    "cautions": _cautions,
    "next": _next,
    "states": _states,
    "no-states": _no_states,
    "doubts": _doubts,
    "no-doubts": _no_doubts,
    "present": lambda wanted, found: _state(wanted, found, True),
    "absent": lambda wanted, found: _state(wanted, found, False),
    "unknown": lambda wanted, found: _state(wanted, found, None),
    "readings": _readings,
    "undecided": _undecided,
    "dose": _dose,
    "targets": _targets,
}
