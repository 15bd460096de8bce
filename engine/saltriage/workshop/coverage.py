"""Coverage of the reference cases: which rules take part in none, and whether answers that are missing mislead."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from saltriage.case import Case, load_case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose, examine
from saltriage.errors import CaseRefused
from saltriage.knowledge.matching import conditions_of
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis

__all__ = ["Coverage", "coverage", "coverage_text", "left_out"]

KEPT = 0.90
"""Share of hidden answers after which the first cause must still be among the first three."""
_KINDS = (
    "states",
    "causes",
    "symptoms",
    "readings",
    "doubts",
    "actions",
    "safety",
    "orders",
    "equipment",
    "targets",
    "plans",
)


@dataclass(frozen=True, slots=True)
class Hidden:
    """One answer hidden from one case: `place` of the first cause afterwards, counted from 1."""

    case: str
    answer: str
    first: str
    place: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """Args:
    cases: how many were run.    fired: folder -> ids that took part in a case.    silent: folder -> those that did not.
    never_first: causes that come first in no case.    hidden: every answer hidden in turn; empty where not asked for.
    """

    cases: int
    fired: dict[str, tuple[str, ...]]
    silent: dict[str, tuple[str, ...]]
    never_first: tuple[str, ...]
    hidden: tuple[Hidden, ...]

    @property
    def kept(self) -> float:
        """Share of hidden answers after which the first cause is still among the first three."""
        return sum(one.place <= 3 for one in self.hidden) / len(self.hidden) if self.hidden else 1.0

    @property
    def passed(self) -> bool:
        return not any(self.silent.values()) and not self.never_first and self.kept >= KEPT


def coverage(paths: Iterable[Path], knowledge: Knowledge, leave_one_out: bool = True) -> Coverage:
    """Run the cases and see which rules take part.

    A cause takes part when it is shown; a symptom when it is present; a reading when it is known; a doubt when it is
    raised; an action, caution or stop when it is shown; a profile when it is used; a plan when a case expects it.
    Raises: CaseRefused: a case that cannot be read.
    """
    matcher = Matcher(conditions_of(knowledge), prefer="plain")
    cases = [load_case(path, knowledge) for path in paths]
    fired: dict[str, set[str]] = {kind: set() for kind in _KINDS}
    firsts: set[str] = set()
    for case in cases:
        found = diagnose(case, knowledge, matcher, next_check=False)
        _add(fired, case, found, knowledge)
        firsts |= {cause.cause for cause in found.causes[:1]}
    known = {kind: set(getattr(knowledge, kind)) for kind in _KINDS}
    return Coverage(
        len(cases),
        {kind: tuple(sorted(fired[kind] & known[kind])) for kind in _KINDS},
        {kind: tuple(sorted(known[kind] - fired[kind])) for kind in _KINDS},
        tuple(sorted(known["causes"] - firsts)),
        tuple(left_out(cases, knowledge, matcher)) if leave_one_out else (),
    )


def _add(fired: dict[str, set[str]], case: Case, found: Diagnosis, knowledge: Knowledge) -> None:
    fired["states"] |= {each.state for each in found.states if each.standing == "proven"}
    fired["causes"] |= {cause.cause for cause in found.causes}
    fired["symptoms"] |= {answer.symptom for answer in found.answers if answer.present}
    fired["readings"] |= {line.reading for line in found.readings}
    fired["doubts"] |= {doubt.doubt for doubt in found.doubts}
    fired["actions"] |= {action.action for action in found.actions}
    fired["safety"] |= {note.note for note in found.safety} | {stop.stop for stop in found.stops}
    fired["orders"] |= {order.order for order in found.orders}
    fired["equipment"].add(found.profile)
    fired["targets"].add(found.targets)
    wanted = case.expect.get("plan")
    if isinstance(wanted, dict | type(case.expect)):
        fired["plans"] |= {plan.id for plan in knowledge.plans.values() if plan.occasion == wanted["occasion"]}


def left_out(cases: Sequence[Case], knowledge: Knowledge, matcher: Matcher) -> list[Hidden]:
    """Hide each answer and reading of each case that says what comes first, one at a time."""
    found: list[Hidden] = []
    for case in cases:
        if "first" not in case.expect:
            continue
        first = next(iter(examine(case, knowledge, matcher).chances))
        told = [key for key, reading in case.readings.items() if reading.origin == "told"]
        for answer in (*case.symptoms, *told):
            try:
                shorter = case.without(answer, knowledge=knowledge)
            except CaseRefused:  # the rest would contradict itself, so nobody could report it
                continue
            order = list(examine(shorter, knowledge, matcher).chances)
            found.append(Hidden(case.id, answer, first, order.index(first) + 1 if first in order else len(order) + 1))
    return found


def coverage_text(found: Coverage) -> str:
    """One line a kind of rule, then what is missing."""
    lines = [f"{found.cases} cases"]
    for kind in _KINDS:
        whole = len(found.fired[kind]) + len(found.silent[kind])
        lines.append(f"{kind:<10}{len(found.fired[kind]):>5} of {whole:>4} take part in a case")
        lines += [f"    in no case: {id}" for id in found.silent[kind]]
    causes = len(found.fired["causes"]) + len(found.silent["causes"])
    lines.append(f"{causes - len(found.never_first)} of {causes} causes come first in a case")
    lines += [f"    never first: {id}" for id in found.never_first]
    if found.hidden:
        lines.append(
            f"{len(found.hidden)} answers hidden one at a time: the first cause stays among the first three in"
            f" {found.kept:.1%} (wanted {KEPT:.0%})"
        )
    return "\n".join(lines) + "\n"
