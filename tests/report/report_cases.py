"""Cases to make reports of: all that the project has, and the calls of strangers as a clerk ticked them."""

import json
import os
from functools import cache
from pathlib import Path
from typing import Any

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[2]
SAMPLE = 150  # all of them take over a minute: ALL_REPORTS=1


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@cache
def reported() -> tuple[tuple[str, Case, Diagnosis], ...]:
    """Name, case and diagnosis of a fixed sample of the cases, of all where ALL_REPORTS is set."""
    found = []
    for name, told in _chosen():
        try:
            case = load_case(told, rules()) if isinstance(told, Path) else _case_of(*told)
        except CaseRefused:
            continue  # a case or sheet that is refused as a whole has no report
        found.append((name, case, diagnose(case, rules())))
    return tuple(found)


def _chosen() -> list[tuple[str, Any]]:
    every: list[tuple[str, Any]] = [(path.stem, path) for path in sorted((ROOT / "cases").rglob("*.yaml"))]
    folder = ROOT / "tests" / "strangers"
    for sheets in sorted(folder.glob("*.jsonl")):
        said = {each["id"]: each["said"] for each in _lines(sheets)}
        every += [(form["id"], (form, said[form["id"]])) for form in _lines(folder / "form" / sheets.name)]
    # Evenly over the list, so that cases and strangers keep their shares when new ones come.
    return every if os.environ.get("ALL_REPORTS") else every[:: max(1, len(every) // SAMPLE)]


def _case_of(form: dict[str, Any], said: str) -> Case:
    """A sheet by its form, as `saltriage cases exam` sits it."""
    facts, placed = form["facts"], {"pool": form["pool"], "equipment": form.get("equipment", {})}
    filed = Case.from_data({"case": "pool", **placed}, rules()).readings
    readings = {
        fact["reading"]: {key: fact[key] for key in ("value", "unit", "method") if fact.get(key) not in ("", None)}
        for fact in facts
        if fact.get("reading") and fact["reading"] not in filed
    }
    symptoms = {fact["symptom"]: fact["answer"] for fact in facts if fact.get("symptom")}
    told = {"case": "sheet", "said": said, "symptoms": symptoms, "readings": readings, **placed}
    return Case.from_data(told, rules())


def _lines(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
