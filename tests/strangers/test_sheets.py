"""Calls by strangers: forms and keys speak of rules that there are, and every hazard in them is noticed."""

import json
from pathlib import Path
from typing import Any

import pytest

from saltriage.case import Case
from saltriage.guard import guard
from saltriage.knowledge import Knowledge, load_knowledge

HERE = Path(__file__).parent
VOICES = ("V1", "V2", "V3", "V4", "V5", "V12", "V13", "V14", "V15", "V16", "V17", "V18", "V19")


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(HERE.parents[1] / "rules")


def lines(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


@pytest.mark.parametrize("voice", VOICES)
def test_every_sheet_has_its_form_and_key(voice: str) -> None:
    sheets = [sheet["id"] for sheet in lines(HERE / f"{voice}.jsonl")]

    assert len(sheets) == len(set(sheets)) >= 44
    for folder in ("form", "key"):
        assert sorted(each["id"] for each in lines(HERE / folder / f"{voice}.jsonl")) == sorted(sheets)


@pytest.mark.parametrize("voice", VOICES)
def test_forms_and_keys_name_rules_that_there_are(voice: str, rules: Knowledge) -> None:
    """Words taken from the opening stand in it, to the letter."""
    said = {sheet["id"]: sheet["said"] for sheet in lines(HERE / f"{voice}.jsonl")}
    for form in lines(HERE / "form" / f"{voice}.jsonl"):
        for fact in form["facts"]:
            assert fact.get("symptom", "") in {"", *rules.symptoms}, form["id"]
            assert fact.get("reading", "") in {"", *rules.readings}, form["id"]
            if fact["from"] == "said":
                assert fact["words"] in said[form["id"]], form["id"]
    for key in lines(HERE / "key" / f"{voice}.jsonl"):
        assert {*key["truth"], *key["also_ok"]} <= rules.causes.keys(), key["id"]


@pytest.mark.parametrize("voice", VOICES)
def test_every_hazard_is_noticed_in_the_opening_words(voice: str, rules: Knowledge) -> None:
    """It stands, or is asked back at once."""
    for sheet in lines(HERE / f"{voice}.jsonl"):
        if sheet["kind"] == "hazard":
            dangers = guard(Case.from_data({"said": sheet["said"]}, rules), rules)

            assert dangers.standing or dangers.asked_back, sheet["id"]
