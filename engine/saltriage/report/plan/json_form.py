"""A plan as JSON: the same data as the other forms, keys in kebab-case, one line feed at the end."""

import json
from dataclasses import replace

from saltriage.plans import PlanResult
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.report.water.json_form import water_data

__all__ = ["plan_json"]

FORMAT_VERSION = 1


def plan_json(plan: PlanResult) -> str:
    """The plan as a JSON document; the doses of the water as `saltriage water --json` gives it."""
    lines = [_without_balance(line) for line in plan.lines]
    data = {"format": FORMAT_VERSION, **plain_data(plan), "lines": lines}
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _without_balance(line: object) -> object:
    balance = line.worked.balance if line.worked is not None else None  # type: ignore[attr-defined]
    if balance is None:
        return plain_data(line)
    data = plain_data(replace(line, worked=replace(line.worked, balance=None)))  # type: ignore[type-var,attr-defined]
    data["worked"]["balance"] = water_data(balance)
    return data
