"""Whole reports of the three demo cases, word for word as they are stored.

After a wanted change write them anew with `STORE_REPORTS=1 python -m pytest tests/report`, and read the difference.
"""

import json
import os
import unicodedata
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from saltriage.case import load_case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.report.diagnosis.html import diagnosis_html
from saltriage.report.diagnosis.json_form import diagnosis_json
from saltriage.report.diagnosis.json_schema import diagnosis_schema
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[2]
STORED = Path(__file__).parent / "stored"
DEMO = ("flow-warning-air-in-system", "low-salt-after-rain", "scaled-plates-hard-water")


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@cache
def found(name: str) -> Diagnosis:
    return diagnose(load_case(ROOT / "cases" / "demo" / f"{name}.yaml", rules()), rules())


def told(name: str, form: str) -> str:
    if form == "owner.txt":
        return diagnosis_text(found(name))
    if form == "support-us.txt":
        return diagnosis_text(found(name), reader="support", units="us")
    if form == "owner.html":
        return diagnosis_html(found(name), rules())
    return diagnosis_json(found(name))


def steady(text: str) -> str:
    """Without the fingerprint, which changes with every rule, and the engine, which depends on the machine."""
    plain = text.replace(rules().fingerprint, "FINGERPRINT").replace(rules().fingerprint[:12], "FINGERPRINT")
    for engine in ("durable-rules", "plain evaluator"):
        plain = plain.replace(f"matched by {engine}", "matched by ENGINE").replace(f'"{engine}"', '"ENGINE"')
    return plain


@pytest.mark.parametrize("form", ["owner.txt", "support-us.txt", "owner.html", "json"])
@pytest.mark.parametrize("name", DEMO)
def test_a_report_is_as_it_is_stored(name: str, form: str) -> None:
    path = STORED / f"{name}.{form}"
    now = steady(told(name, form))
    if os.environ.get("STORE_REPORTS"):
        path.write_text(now, encoding="utf-8")

    assert path.read_text(encoding="utf-8").splitlines() == now.splitlines()


@pytest.mark.parametrize("reader", ["owner", "support"])
@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", DEMO)
def test_text_fits_into_eighty_columns(name: str, reader: str, units: str) -> None:
    """Counted in cells of a terminal; no tab, no line that ends in blanks."""
    text = diagnosis_text(found(name), reader=reader, units=units)  # type: ignore[arg-type]

    for line in text.splitlines():
        cells = sum(
            0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1
            for sign in line
        )
        assert cells <= 80, line
        assert line == line.rstrip()
        assert line.isprintable()


@pytest.mark.parametrize("name", DEMO)
def test_colour_adds_no_word(name: str) -> None:
    """Without its escape sequences the coloured text is the plain one; the plain one has none."""
    import re

    plain, coloured = diagnosis_text(found(name)), diagnosis_text(found(name), colour=True)

    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


@pytest.mark.parametrize("name", DEMO)
def test_a_diagnosis_fits_its_published_schema(name: str) -> None:
    schema = json.loads((ROOT / "schemas" / "diagnosis.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)

    errors = list(Draft202012Validator(schema).iter_errors(json.loads(diagnosis_json(found(name)))))

    assert errors == []


def test_the_published_schema_is_the_one_of_the_program() -> None:
    """If it is not: `python -m saltriage.report.diagnosis.json_schema > schemas/diagnosis.schema.json`."""
    file = (ROOT / "schemas" / "diagnosis.schema.json").read_text(encoding="utf-8")

    assert json.loads(file) == diagnosis_schema()


def test_the_schema_refuses_what_is_no_diagnosis() -> None:
    """A key too many, one too few, a number for a text."""
    data = json.loads(diagnosis_json(found(DEMO[0])))
    valid = Draft202012Validator(diagnosis_schema())

    assert valid.is_valid(data)
    assert not valid.is_valid({**data, "extra": 1})
    assert not valid.is_valid({key: value for key, value in data.items() if key != "stops"})
    assert not valid.is_valid({**data, "title": 3})


def test_the_same_case_gives_the_same_bytes() -> None:
    """In every form, made anew."""
    again = diagnose(load_case(ROOT / "cases" / "demo" / f"{DEMO[1]}.yaml", rules()), rules())

    assert diagnosis_json(again) == diagnosis_json(found(DEMO[1]))
    assert diagnosis_html(again, rules()) == diagnosis_html(found(DEMO[1]), rules())
