"""Pieces that many kinds of rules are built from."""

from typing import Any

from saltriage.conditions.condition import condition_from_data
from saltriage.conditions.nodes import Condition, Number
from saltriage.result import Wording

__all__ = ["Data", "condition", "head", "number", "some_number", "some_wording", "wording"]

Data = dict[str, Any]


def head(data: Data, path: str) -> Data:
    return {
        "id": data["id"],
        "version": data["version"],
        "changed": data["changed"],
        "status": data["status"],
        "title": data["title"],
        "cases": tuple(data.get("cases", ())),
        "sources": tuple(data["sources"]),
        "replaced_by": data.get("replaced-by", ""),
        "retired_because": data.get("retired-because", ""),
        "file": path,
    }


def wording(data: Data) -> Wording:
    return Wording(data["owner"], data["support"])


def some_wording(data: Data | None) -> Wording | None:
    return None if data is None else wording(data)


def condition(data: Data, key: str, path: str) -> Condition | None:
    return condition_from_data(data[key], f"{path}: {key}") if key in data else None


def number(data: Data) -> Number:
    return Number(float(data["value"]), data["unit"], data["source"], data.get("margin"))


def some_number(data: Data | None) -> Number | None:
    return None if data is None else number(data)
