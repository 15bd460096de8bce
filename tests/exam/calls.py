"""Invented calls for the tests of the exam: a sheet, its form and its key, as data to be written to files."""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from saltriage.exam import PaperFiles

RAIN = "It rained for three days, the pool ran over, and now the low salt light is on."


def sheet(id: str = "A-1", **other: Any) -> dict[str, Any]:
    return {"id": id, "kind": "single", "said": RAIN, "danger": None, "level": 1, **other}


def form(id: str = "A-1", **other: Any) -> dict[str, Any]:
    facts = [
        {"from": "said", "words": "It rained for three days", "symptom": "heavy-rain", "answer": "yes"},
        {"from": "said", "words": "the pool ran over", "symptom": "overflowed-in-rain", "answer": "yes"},
        {"from": "said", "words": "the low salt light is on", "symptom": "low-salt-warning", "answer": "yes"},
        {"from": "asked", "ask": 0, "reading": "salt", "value": 2300, "unit": "mg/L", "method": "drop-test"},
        {"from": "asked", "ask": 1, "symptom": "plates-scaled", "answer": "no"},
    ]
    pool = {"kind": "in-ground", "volume": "40 m3", "setting": "outdoor"}
    return {"id": id, "facts": facts, "pool": pool, "equipment": {"cell-age": "3 years"}, **other}


def key(id: str = "A-1", **other: Any) -> dict[str, Any]:
    return {"id": id, "truth": ["salt-diluted-by-rain"], "also_ok": ["salt-too-low"], "answer": "cause", **other}


def written(
    home: Path,
    sheets: Iterable[Mapping[str, Any]],
    forms: Iterable[Mapping[str, Any]],
    keys: Iterable[Mapping[str, Any]],
) -> PaperFiles:
    """The three files, where the program looks for them."""
    files = PaperFiles(home / "calls.jsonl", home / "form" / "calls.jsonl", home / "key" / "calls.jsonl")
    for path, lines in ((files.sheets, sheets), (files.form, forms), (files.key, keys)):
        path.parent.mkdir(exist_ok=True)
        path.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    return files
