"""`saltriage cases exam` as typed, on invented calls and on the first five sheets of one stranger."""

import json
import re
import shutil
from pathlib import Path

import pytest
from calls import form, key, sheet, written
from jsonschema import Draft202012Validator

from in_process import command
from saltriage.exam import files_of, read_papers
from saltriage.exam.json_schema import exam_schema
from saltriage.knowledge import load_knowledge

ROOT = Path(__file__).parents[2]
STRANGERS = ROOT / "tests" / "strangers"


def exam(*words, at, code=0):
    done = command("cases", "exam", *words, at=at)
    assert done.returncode == code, done.stdout + done.stderr
    return done


@pytest.fixture
def calls(tmp_path):
    """Three invented calls, one of them in doubt."""
    names = ["A-1", "A-2", "B-1"]
    keys = [key("A-1"), key("A-2", doubt="nearest id"), key("B-1", truth=[], answer="not-enough-known")]
    kinds = ["single", "single", "insufficient"]
    sheets = [sheet(name, kind=kind) for name, kind in zip(names, kinds, strict=True)]
    written(tmp_path, sheets, [form(name) for name in names], keys)
    return tmp_path


def test_figures_groups_and_sheets_left_out(calls):
    done = exam("calls.jsonl", "--by", "voice,kind", at=calls)
    lines = [" ".join(line.split()) for line in done.stdout.splitlines()]

    assert "sheets: calls.jsonl; forms: form/calls.jsonl; keys: key/calls.jsonl" in done.stderr
    assert "sheets scored 2" in lines
    assert "first right 1.000 (1 of 1)" in lines
    assert any(line.startswith("says: not enough is known 0.000 (0 of 1)") for line in lines)
    assert "nothing forbidden advised no key tells it" in lines
    assert any(line.startswith("B 1 - - -") for line in lines)
    assert any(line.startswith("insufficient 1 - - -") for line in lines)
    assert lines[-3:] == ["Not scored (1)", "A-2: nearest id", "That is more than one in 20: the figures may flatter."]


def test_json_keeps_to_its_schema(calls):
    told = json.loads(exam("calls.jsonl", "--by", "level", "--format", "json", "--mode", "talk", at=calls).stdout)

    Draft202012Validator(exam_schema()).validate(told)
    assert told["whole"]["sheets"] == told["groups"]["level"]["1"]["sheets"] == len(told["sheets"]) == 2
    assert told["whole"]["talk"]["questions-mean"] > 0
    assert told["excluded"] == [{"sheet": "A-2", "reason": "nearest id"}]


def test_the_schema_in_the_repository_is_current():
    """If it is not: `python -m saltriage.exam.json_schema > schemas/exam-result.schema.json`."""
    file = (ROOT / "schemas" / "exam-result.schema.json").read_text(encoding="utf-8")

    assert json.loads(file) == exam_schema()


def test_what_is_wrong_ends_with_2(calls):
    path = calls / "key" / "calls.jsonl"
    path.write_text(path.read_text(encoding="utf-8").replace('"cause"', '"case"'), encoding="utf-8")

    assert "key/calls.jsonl:1: answer: 'case' is not one of" in exam("calls.jsonl", at=calls, code=2).stderr
    assert "--by who: expected voice, kind, level" in exam("calls.jsonl", "--by", "who", at=calls, code=2).stderr


@pytest.mark.parametrize("mode", ["form", "talk"])
def test_the_first_five_sheets_of_a_stranger(mode, tmp_path):
    """They are read, sat and marked; how many are right is measured, not tested."""
    sheets = (STRANGERS / "V1.jsonl").read_text(encoding="utf-8").splitlines()[:5]
    (tmp_path / "V1.jsonl").write_text("\n".join(sheets) + "\n", encoding="utf-8")
    for folder in ("form", "key"):
        (tmp_path / folder).mkdir()
        shutil.copy(STRANGERS / folder / "V1.jsonl", tmp_path / folder)

    told = json.loads(exam("V1.jsonl", "--mode", mode, "--format", "json", at=tmp_path).stdout)

    assert [each["sheet"] for each in told["sheets"]] == [f"V1-00{n}" for n in range(1, 6)]
    assert not any(each["refused"] for each in told["sheets"])
    assert all(each["shown"] for each in told["sheets"])
    assert (told["whole"]["talk"] is not None) == (mode == "talk")


def test_all_sheets_of_strangers_keep_to_the_schemas():
    """Sheets, forms and keys of all five; none is lost."""
    files = files_of([STRANGERS / f"V{n}.jsonl" for n in range(1, 6)])
    papers = read_papers(files, load_knowledge())

    assert len(papers.scored) + len(papers.excluded) == 300


def test_the_least_call_of_the_page_is_read(tmp_path):
    """The three lines in DEVELOPERS.md are a sheet, its form and its key."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"```json\n(.*)\n(.*)\n(.*)\n```", page)
    assert found is not None
    written(tmp_path, *([json.loads(line)] for line in found.groups()))

    assert "sheets scored                     1" in exam("calls.jsonl", at=tmp_path).stdout
