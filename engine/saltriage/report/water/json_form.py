"""State and plan of a water as JSON; keys in kebab-case as in a diagnosis."""

import json
from typing import TYPE_CHECKING, Any

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.model import WATER_CHANGE
from saltriage.knowledge import ids
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.report.water.step_words import step_kind, step_title

if TYPE_CHECKING:
    from saltriage.dosing import DoseStep
    from saltriage.plans.water_balance import WaterBalance
    from saltriage.pool.water import Water

__all__ = ["water_data", "water_json"]

FORMAT_VERSION = 1
SHOWN = tuple(ARGUMENTS.values())
"""Properties of a water in the order of its JSON form."""


def water_data(balance: "WaterBalance") -> dict[str, Any]:
    """Plain data of a balance."""
    plan = balance.plan
    return {
        "format": FORMAT_VERSION,
        **{
            name.replace("_", "-"): plain_data(getattr(balance, name))
            for name in (
                "case", "title", "knowledge_version", "fingerprint", "stops", "orders", "readings", "doubts", "state",
                "volume_known", "targets", "missing", "reason", "assumptions", "safety",
                "salt_rows", "hours_rows",
            )
        },
        "plan": None
        if plan is None
        else {
            "start": _water(plan.start),
            "end": _water(plan.end),
            "steps": [_step(step) for step in plan.steps],
            "outcomes": plain_data(balance.outcomes),
            "not-given": [
                {
                    "what": each.purpose, "state": each.state, "because": each.reason, "missing": list(each.missing),
                    "limits": list(each.limits),
                }
                for each in plan.not_given.values()
                if each.state != "fine"
            ],
            "course": plain_data(balance.course),
            "assumptions": list(plan.assumptions),
            "notes": list(plan.notes),
        },
    }  # fmt: skip


def water_json(balance: "WaterBalance") -> str:
    """The balance as a JSON document."""
    return json.dumps(water_data(balance), ensure_ascii=False, indent=2) + "\n"


def _water(water: "Water | None") -> dict[str, float] | None:
    if water is None:
        return None
    shown = {name.replace("_", "-"): round(getattr(water, name), 4) for name in SHOWN}
    return {**shown, ids.SATURATION_INDEX: round(water.saturation_index(), 3)}


def _step(step: "DoseStep") -> dict[str, Any]:
    return {
        "kind": step_kind(step),
        "title": step_title(step),
        "because": step.why,
        "product": step.product.name.replace("_", "-") if step.product else None,
        "amount": round(step.now, 3),
        "unit": step.unit,
        "amount-range": {"low": round(step.low, 3), "high": round(step.high, 3)} if step.product else None,
        "in-all": round(step.middle, 3),
        "parts": len(step.parts),
        "portions": 1,
        "portion-wait-h": 0.0,
        "fraction-replaced": round(step.fraction, 4),
        "drains": len(step.parts) if step.purpose == WATER_CHANGE else 0,
        "rounds": 0,
        "until-ph": step.until_ph,
        "starts-h": step.starts_h,
        "wait-h": step.wait_h,
        "test": list(step.test),
        "hands": step.hands,
        "limits": list(step.limits),
        "gas": step.gas,
        "how": step.how.owner if step.how else "",
        "caution": ", ".join(step.safety),
        "source": "limits: " + ", ".join(step.limits) if step.limits else "common practice",
        "readings": [step.reading],
        "arithmetic": list(step.arithmetic),
        "assumptions": list(step.assumptions),
        "water-after": _water(step.after),
    }
