"""Pools of the review of the first edition, and what each way to a dose says of them."""

from functools import cache
from pathlib import Path
from typing import Any

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.plans.water_balance import WaterBalance, water_balance
from saltriage.result import AdvisedAction, Diagnosis

FOLDER = Path(__file__).parent / "cases"


@cache
def knowledge() -> Knowledge:
    return load_knowledge()


@cache
def case_of(start: str) -> Case:
    """The pool whose file begins with this."""
    (path,) = (each for each in sorted(FOLDER.glob("*.yaml")) if each.name.startswith(f"{start}-"))
    return load_case(path, knowledge())


@cache
def diagnosed(start: str) -> Diagnosis:
    return diagnose(case_of(start), knowledge(), next_check=False)


@cache
def balanced(start: str) -> WaterBalance:
    return water_balance(case_of(start), knowledge())


def pool(**parts: Any) -> Case:
    return Case.from_data({"case": "pool", **parts}, knowledge())


def doses(found: Diagnosis) -> dict[str, AdvisedAction]:
    """Chemical or 'water' -> the action shown that gives it now."""
    return {
        ("water" if action.dose.product.startswith("water") else action.adds): action
        for action in found.actions
        if action.dose is not None and action.dose.computed and action.dose.quantity in ("mass", "volume")
    }


def now(start: str) -> dict[str, float]:
    """Chemical -> litres or kilograms that a diagnosis gives now."""
    return {key: action.dose.first / 1000 if action.dose.unit in ("mL", "g") else action.dose.first  # type: ignore[union-attr]
            for key, action in doses(diagnosed(start)).items()}  # fmt: skip


def planned(start: str) -> dict[str, float]:
    """Chemical -> litres or kilograms that the plan of the water gives now."""
    plan = balanced(start).plan
    assert plan is not None
    return {step.purpose: step.now / 1000 if step.unit in ("mL", "g") else step.now for step in plan.steps}


def why_not(start: str, chemical: str) -> str:
    """Why the plan of the water does not give it."""
    plan = balanced(start).plan
    assert plan is not None
    return plan.not_given[chemical].reason


def held_back(start: str) -> dict[str, str]:
    """Action -> why a diagnosis does not offer it."""
    return {each.action: each.because.owner for each in diagnosed(start).withheld}
