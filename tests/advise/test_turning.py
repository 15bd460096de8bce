"""What is said to take an action back takes it back: the case is told anew with it, and diagnosed again."""

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.result import TurningPoint

ROOT = Path(__file__).parents[2]
NAMES = (
    "low-salt-after-rain", "scaled-plates-hard-water", "flow-warning-air-in-system",
)  # fmt: skip


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def turned(case: Case, point: TurningPoint) -> Case:
    """The case with the reading just beyond the limit, known exactly, or with the other answer."""
    if point.kind == "symptom":
        return case.with_symptom(point.id, "yes" if point.turns == "present" else "no", rules())
    assert point.value is not None
    step = {"at-least": 0.0, "above": 0.01, "at-most": 0.0, "below": -0.01}[point.turns]
    return case.with_reading(
        point.id, f"{point.value + step} {'' if point.unit == 'pH' else point.unit}".strip(), rules()
    )


def cases() -> list[Any]:
    paths = {path.stem: path for path in (ROOT / "cases").rglob("*.yaml")}
    return [pytest.param(paths[name], id=name) for name in (*NAMES, *sorted(paths)[::40])]


@pytest.mark.parametrize("path", cases())
def test_what_would_take_an_action_back_does(path: Path) -> None:
    case = load_case(path, rules())
    for action in diagnose(case, rules(), next_check=False).actions:
        for point in action.unless:
            if point.kind == "reading" and point.id not in case.readings:
                continue  # worked out from others, which a reading told would contradict
            try:
                changed = turned(case, point)
            except CaseRefused:
                continue  # another reading of the case cannot be beside it, as less total than free chlorine
            again = diagnose(changed, rules(), next_check=False)

            assert action.action not in [each.action for each in again.actions], (action.action, point)


def test_salt_is_taken_back_by_a_test_in_the_band() -> None:
    """The band of the case, not a number of ours; pH needs no unit."""
    found = diagnose(load_case(ROOT / "cases" / "demo" / f"{NAMES[0]}.yaml", rules()), rules(), next_check=False)
    (salt,) = next(action.unless for action in found.actions if action.action == "add-salt")

    assert (salt.kind, salt.id, salt.turns, salt.value, salt.unit) == ("reading", "salt", "at-least", 2700.0, "mg/L")
