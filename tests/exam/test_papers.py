"""Sheets, forms and keys: what is wrong is told with file, line and field; retired ids are followed."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from calls import form, key, sheet, written

from saltriage.errors import UsageRefused
from saltriage.exam import files_of, read_papers
from saltriage.knowledge import load_knowledge

sys.path.insert(0, str(Path(__file__).parents[1] / "retired"))
from retirements import later

TODAY = load_knowledge()


def refused(home, sheets=(), forms=(), keys=(), knowledge=TODAY) -> str:
    files = written(home, sheets or [sheet()], forms or [form()], keys or [key()])
    with pytest.raises(UsageRefused) as caught:
        read_papers([files], knowledge)
    return str(caught.value).replace(str(home), "")


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"sheets": [sheet(), sheet("A-2", level=4)]}, "/calls.jsonl:2: level: 4 is not one of [1, 2, 3]"),
        ({"sheets": [sheet(kind="odd")]}, "/calls.jsonl:1: kind: 'odd' is not one of"),
        ({"sheets": [{"id": "A-1"}]}, "/calls.jsonl:1: the line: 'said' is a required property"),
        ({"sheets": [sheet(), sheet()]}, '/calls.jsonl:2: id: "A-1" stands in line 1 already'),
        ({"forms": [form(fact=[])]}, "/form/calls.jsonl:1: the line: Additional properties are not allowed ('fact'"),
        ({"forms": [form(facts=[{"from": "said", "symptom": "heavy-rain"}])]}, ":1: facts.0: 'answer' is a dependency"),
        ({"forms": [form(facts=[{"from": "said"}])]}, "/form/calls.jsonl:1: facts.0: "),
        ({"forms": [form(facts=[{"from": "told", "symptom": "foam", "answer": "yes"}])]}, ":1: facts.0.from: 'told'"),
        ({"keys": [key(answer="perhaps")]}, "/key/calls.jsonl:1: answer: 'perhaps' is not one of"),
        ({"keys": [key(), key("A-2", truth=["Rain"])]}, "/key/calls.jsonl:2: truth.0: 'Rain' does not match"),
    ],
)
def test_a_line_that_breaks_its_schema_is_refused_by_its_field(tmp_path, files, told):
    assert told in refused(tmp_path, **files)


def test_every_mistake_is_told_at_once(tmp_path):
    told = refused(tmp_path, [sheet(level=0)], [form(pool=3)], [key(also_ok="x")])

    assert [line.split(":")[0] for line in told.splitlines()] == [
        "/calls.jsonl", "/form/calls.jsonl", "/key/calls.jsonl",
    ]  # fmt: skip


def test_unknown_ids_are_named_with_the_nearest_one(tmp_path):
    facts = [{"from": "said", "symptom": "heavy-rains", "answer": "yes"}]
    told = refused(
        tmp_path, forms=[form(facts=facts)], keys=[key(truth=["salt-to-low"], needed=["dose-nothing-at-all"])]
    )

    assert '/form/calls.jsonl:1: facts.0.symptom: "heavy-rains" is no symptom' in told
    assert 'Did you mean "heavy-rain"?' in told
    assert (
        '/key/calls.jsonl:1: truth.0: "salt-to-low" is no cause or state of these rules. Did you mean "salt-too-low"?'
        in told
    )
    assert 'needed.0: "dose-nothing-at-all" is no action or safety or order' in told


def test_json_that_breaks_off_is_told_with_its_line(tmp_path):
    files = written(tmp_path, [sheet()], [form()], [key()])
    files.sheets.write_text(json.dumps(sheet()) + '\n{"id": "A-2", \n', encoding="utf-8")

    with pytest.raises(UsageRefused, match=r"calls\.jsonl:2: column \d+: The JSON breaks off"):
        read_papers([files], TODAY)


def test_a_sheet_without_form_or_key_is_refused_and_others_lines_are_passed_over(tmp_path):
    told = refused(tmp_path, [sheet(), sheet("A-2")], [form(), form("A-2"), form("A-3")], [key(), key("A-3")])

    assert told.splitlines() == ['/calls.jsonl:2: id: nothing for "A-2" stands in /key/calls.jsonl']


def test_missing_and_empty_files_are_refused(tmp_path):
    files = written(tmp_path, [], [form()], [key()])
    with pytest.raises(UsageRefused, match="nothing stands in it"):
        read_papers([files], TODAY)
    with pytest.raises(UsageRefused, match="No such file"):
        read_papers(files_of([tmp_path / "other.jsonl"]), TODAY)


def test_retired_ids_are_followed_and_noted(tmp_path):
    """In forms and keys; one that nothing took the place of counts for nothing."""
    knowledge = later(TODAY, "symptom", "low-salt-warning", now="salt-lamp-lit")
    knowledge = later(knowledge, "symptom", "plates-scaled")
    knowledge = later(knowledge, "reading", "salt", now="salt-tested")
    knowledge = later(knowledge, "cause", "salt-too-low", now="salt-low")
    knowledge = later(knowledge, "cause", "salt-diluted-by-rain")
    files = written(tmp_path, [sheet()], [form()], [key()])

    papers = read_papers([files], knowledge)
    (paper,) = papers.scored

    assert paper.form.told("symptom") == {"heavy-rain": "yes", "overflowed-in-rain": "yes", "salt-lamp-lit": "yes"}
    assert list(paper.form.told("reading")) == ["salt-tested"]
    assert (paper.key.truth, paper.key.also_ok) == ((), ("salt-low",))
    assert len(papers.notes) == 5
    assert papers.notes[0].endswith(":1: facts.2.symptom: the symptom low-salt-warning is now salt-lamp-lit")


def test_a_number_of_another_quantity_is_not_taken_over(tmp_path):
    """Salt told as mg/L is no pH, whatever took the place of its id."""
    knowledge = later(TODAY, "reading", "salt", now="ph")
    files = written(tmp_path, [sheet()], [form()], [key()])

    assert read_papers([files], knowledge).scored[0].form.told("reading") == {}


def test_sheets_in_doubt_and_those_named_are_not_scored(tmp_path):
    """Each with its reason; the one that is named wins over the key's own."""
    files = written(
        tmp_path,
        [sheet(f"A-{n}") for n in range(4)],
        [form(f"A-{n}") for n in range(4)],
        [key("A-0"), key("A-1", doubt="nearest id"), key("A-2"), key("A-3", doubt="shaky")],
    )
    without = tmp_path / "without.jsonl"
    without.write_text('{"id": "A-2", "reason": "two answers"}\n{"id": "A-3", "reason": "ours"}\n', encoding="utf-8")

    papers = read_papers([files], TODAY, without)
    everything = read_papers([files], TODAY, doubtful=True)

    assert [paper.sheet.id for paper in papers.scored] == ["A-0"]
    assert [(each.sheet, each.reason) for each in papers.excluded] == [
        ("A-1", "nearest id"), ("A-2", "two answers"), ("A-3", "ours"),
    ]  # fmt: skip
    assert len(everything.scored) == 4
    without.write_text('{"id": "B-1", "reason": "not there"}\n', encoding="utf-8")
    with pytest.raises(UsageRefused, match='there is no sheet "B-1"'):
        read_papers([files], TODAY, without)


def test_where_forms_and_keys_are_looked_for(tmp_path):
    one, two = tmp_path / "a" / "one.jsonl", tmp_path / "a" / "two.jsonl"

    (beside,) = files_of([one])
    (named,) = files_of([one], form=tmp_path / "f.jsonl", key=tmp_path)
    assert (beside.form, beside.key) == (one.parent / "form" / "one.jsonl", one.parent / "key" / "one.jsonl")
    assert (named.form, named.key) == (tmp_path / "f.jsonl", tmp_path / "one.jsonl")
    assert [each.key for each in files_of([one, two], key=tmp_path)] == [tmp_path / "one.jsonl", tmp_path / "two.jsonl"]
    with pytest.raises(UsageRefused, match="not a folder"):
        files_of([one, two], key=tmp_path / "keys.jsonl")


def test_the_same_sheet_in_two_files_is_refused(tmp_path):
    files = written(tmp_path, [sheet()], [form()], [key()])
    copy = tmp_path / "again.jsonl"
    copy.write_text(files.sheets.read_text(encoding="utf-8"), encoding="utf-8")

    with pytest.raises(UsageRefused, match='the sheet "A-1" stands in another file as well'):
        read_papers([files, replace(files, sheets=copy)], TODAY)
