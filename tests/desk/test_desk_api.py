"""Kept calls over HTTP: what the document says is so, nobody's answers are lost, and nothing is kept twice."""

import json
import uuid
from typing import Any

import httpx
import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from saltriage.web.openapi import openapi_document
from saltriage.web.openapi_desk import DESK_OPERATIONS
from saltriage.web.openapi_examples import DESK_EXAMPLES
from saltriage.web.problems import KINDS

DOCUMENT = openapi_document(desk=True)
NAME = str(uuid.UUID(int=7))
SAVE = DESK_EXAMPLES["desk/save"]
PERSON = SAVE["person"]
DESK = "/api/v1/desk"


def fits(component: str, data: Any) -> None:
    registry = Registry().with_resource("doc:", Resource.from_contents(DOCUMENT, default_specification=DRAFT202012))
    Draft202012Validator({"$ref": f"doc:#/components/schemas/{component}"}, registry=registry).validate(data)


def save(client: httpx.Client, seen: int, name: str = NAME, **changes: Any) -> httpx.Response:
    return client.put(f"{DESK}/calls/{name}", json={**SAVE, "seen": seen} | changes)


def kept(client: httpx.Client, name: str = NAME) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"{DESK}/calls/{name}").json()
    return found


@pytest.mark.parametrize("operation", DESK_OPERATIONS, ids=lambda each: each[2])
def test_every_operation_answers_as_the_document_says(client, operation):
    """The example of each is sent, on a desk with one call; the document is the one that is served."""
    method, path, id, _, body, answer, _ = operation
    if id != "saveCall":
        assert save(client, 0).status_code == 200
    if id == "reopenCall":
        client.post(f"{DESK}/calls/{NAME}/close", json=DESK_EXAMPLES["desk/close"])
    sent = {"json": DESK_EXAMPLES[body]} if body else {}

    got = client.request(method, DESK + path.format(call=NAME), **sent)

    assert got.status_code == 200, got.text
    fits(answer, got.json())
    served = client.get("/api/v1/openapi.json").json()
    assert served == json.loads(json.dumps(DOCUMENT))
    assert served["paths"][f"{DESK}{path}"][method]["operationId"] == id


def test_a_call_opens_with_its_dangers(client):
    case = {"case": "tingle", "said": "the ladder tingles", "symptoms": {"tingle": "yes"}}
    told = save(client, 0, case=case).json()

    assert list(told)[:3] == ["format", "stops", "orders"]
    assert told["stops"][0]["level"] == "life"
    assert client.get(f"{DESK}/calls?which=all").json()["calls"][0]["danger"] == "life"


def test_the_same_save_again_is_kept_once(client):
    first, again = save(client, 0).json(), save(client, 0).json()

    assert (first["number"], first["version"]) == (again["number"], again["version"]) == (1, 1)
    assert len(client.get(f"{DESK}/calls?which=all").json()["calls"]) == 1


def test_who_comes_too_late_is_told_who_changed_what_and_gets_the_call(client):
    """409 with the fields that the other changed; together they write both answers."""
    save(client, 0)
    mine = {**SAVE["case"], "symptoms": {**SAVE["case"]["symptoms"], "foam": "no"}}
    theirs = {**SAVE["case"], "symptoms": {**SAVE["case"]["symptoms"], "water-level-falls": "yes"}}
    assert save(client, 1, case=theirs).json()["version"] == 2

    late = save(client, 1, case=mine)

    assert late.status_code == 409
    assert late.headers["content-type"] == "application/problem+json"
    problem = late.json()
    fits("Problem", problem)
    assert problem["type"] == "/api/v1/problems/call-changed"
    assert problem["now"] == 2
    assert [(each["who"], each["did"], each["fields"]) for each in problem["changes"]] == [
        ("kim", "revised", ["symptoms.water-level-falls"])
    ]
    fits("KeptCall", problem["call"])
    both = {**theirs, "symptoms": {**problem["call"]["case"]["symptoms"], "foam": "no"}}
    assert save(client, problem["now"], case=both).status_code == 200
    assert kept(client)["case"]["symptoms"] == {**SAVE["case"]["symptoms"], "water-level-falls": "yes", "foam": "no"}


@pytest.mark.parametrize("sign", ["\\u0000", "\\ud800"])
def test_signs_that_no_database_takes_break_nothing(client, sign):
    """NUL, which PostgreSQL refuses, and half a sign, as a field of a limited length cuts it: sought, and as a name."""
    told = json.dumps({**SAVE, "case": {**SAVE["case"], "symptoms": {"X": "yes"}}})
    for method, path, body in (
        ("POST", "/search", '{"cause": "X"}'),
        ("POST", "/search", '{"words": "X"}'),
        ("POST", "/search", '{"phone": "X"}'),
        ("PUT", f"/calls/{NAME}", told),
    ):
        sent = body.replace("X", sign).encode()
        answer = client.request(method, DESK + path, content=sent, headers={"Content-Type": "application/json"})
        assert answer.status_code == (422 if method == "PUT" else 200), body
    assert json.loads(f'"{sign}"') in answer.json()["errors"][0]["pointer"]
    for name in ("%00", "1%00", "%FF"):
        assert client.get(f"{DESK}/calls/{name}").status_code == 404


def test_a_refused_case_is_said_by_field_and_changes_nothing(client):
    save(client, 0)
    answer = save(client, 1, case={**SAVE["case"], "readings": {"ph": 44}})

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "#/case/readings/ph"
    assert kept(client)["version"] == 1


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"seen": -1}, "#/seen"),
        ({"seen": "1"}, "#/seen"),
        ({"person": {"name": 3}}, "#/person/name"),
        ({"person": {"name": "x" * 201}}, "#/person/name"),
        ({"ring-back": "tomorrow"}, "#/ring-back"),
        ({"ring-back": "2026-13-01T00:00:00Z"}, "#/ring-back"),
        ({"minutes": -1}, "#/minutes"),
        ({"more": 1}, "#/more"),
        ({"sheet": []}, "#/sheet"),
    ],
)
def test_a_body_of_another_shape_is_refused_at_its_field(client, change, pointer):
    answer = client.put(f"{DESK}/calls/{NAME}", json=SAVE | change)

    assert answer.status_code == 422, answer.text
    assert [each.get("pointer") for each in answer.json()["errors"]] == [pointer]
    assert client.get(f"{DESK}/calls?which=all").json()["calls"] == []


@pytest.mark.parametrize("name", ["abc", "7" * 30, NAME.upper() + "X", "..%2f..%2fetc", "' OR 1=1 --"])
def test_a_name_that_is_none_is_refused(client, name):
    assert save(client, 0, name=name).status_code in (404, 422)
    assert client.get(f"{DESK}/calls/{name}").status_code == 404


@pytest.mark.parametrize("way", ["", "/note", "/close", "/reopen", "/looked"])
def test_a_call_that_is_not_there_is_said_as_such(client, way):
    body = {"/note": {"text": "x"}, "/close": {}, "/reopen": {}, "/looked": {}}
    sent = client.post(f"{DESK}/calls/{NAME}{way}", json=body[way]) if way else client.get(f"{DESK}/calls/9")

    assert (sent.status_code, sent.json()["type"]) == (404, "/api/v1/problems/no-such-call")


def test_closing_and_reopening(client):
    """The same outcome again is kept once, another is refused, and what was told stands still while it is closed."""
    save(client, 0)
    close = DESK_EXAMPLES["desk/close"]
    done = client.post(f"{DESK}/calls/{NAME}/close", json={**close, "seen": 1}).json()
    assert (done["is-open"], done["outcome"]["how"]) == (False, "test")
    assert client.post(f"{DESK}/calls/{NAME}/close", json={**close, "seen": 1}).json() == done
    other = client.post(f"{DESK}/calls/{NAME}/close", json={"remark": "another"})
    assert (other.status_code, other.json()["type"]) == (409, "/api/v1/problems/call-closed")
    late = save(client, 2, case={"case": "x", "symptoms": {"foam": "yes"}})
    assert (late.status_code, late.json()["type"]) == (409, "/api/v1/problems/call-closed")

    again = client.post(f"{DESK}/calls/{NAME}/reopen", json={}).json()
    assert (again["is-open"], again["outcome"]) == (True, None)
    assert client.post(f"{DESK}/calls/{NAME}/reopen", json={}).json() == again


@pytest.mark.parametrize(
    "wrong", [{"causes": ["salt-diluted-by-rain"]}, {"causes": ["no-such-cause"], "how": "test"}, {"how": "guess"}]
)
def test_an_outcome_that_cannot_be_is_refused(client, wrong):
    """A cause without how it is known, one that no rule has, a way that there is not."""
    save(client, 0)
    assert client.post(f"{DESK}/calls/{NAME}/close", json=wrong).status_code == 422
    assert kept(client)["is-open"]


def test_a_caller_is_found_by_number_with_his_history(client):
    save(client, 0)
    client.post(f"{DESK}/calls/{NAME}/close", json=DESK_EXAMPLES["desk/close"])
    second = str(uuid.UUID(int=8))
    told = save(client, 0, name=second, person={**PERSON, "phone": "0171-555-0134"}).json()

    assert [(each["number"], each["cured"]) for each in told["earlier"]] == [(1, ["Add salt"])]
    found = client.post(f"{DESK}/search", json={"phone": "+49 171 555 0134"}).json()
    assert [each["number"] for each in found["calls"]] == [2, 1]
    assert found["people"] == [{**PERSON, "calls": 2}]
    by_words = client.post(f"{DESK}/search", json={"words": "tolben lindenwyk"}).json()
    assert [each["number"] for each in by_words["calls"]] == [2, 1]
    by_cause = client.post(f"{DESK}/search", json={"cause": "salt-diluted-by-rain"}).json()
    assert 1 in [each["number"] for each in by_cause["calls"]]


def test_what_is_due_is_listed_and_ticked_off(client):
    save(client, 0, **{"ring-back": "2020-01-01T08:00:00Z"})
    due = client.get(f"{DESK}/calls", params={"which": "due"}).json()["calls"]
    assert due[0]["promised"][0] == {"title": "Ring back", "see": "", "due": "2020-01-01T08:00:00Z"}
    assert client.get(DESK).json()["due"] == 1

    assert client.post(f"{DESK}/calls/1/looked", json={}).json()["ring-back"] == ""
    assert client.post(f"{DESK}/calls/1/looked", json={}).status_code == 200
    assert client.get(f"{DESK}/calls", params={"which": "due"}).json()["calls"] == []


def test_a_note_sent_twice_stands_once(client):
    save(client, 0)
    for _ in range(2):
        told = client.post(f"{DESK}/calls/{NAME}/note", json={"text": "two\nlines"}).json()
    assert [(each["by"], each["text"]) for each in told["notes"]] == [("kim", "two\nlines")]


def test_signs_that_cannot_be_kept_do_not_stop_a_save(client):
    """Pasted from somewhere; whoever types on the phone is not sent to look for a sign that is not to be seen."""
    told = save(client, 0, person={**PERSON, "name": "Ma\x00ra\u202e Tolben"}, sheet={"notes": "a\x00b"}).json()
    assert told["person"]["name"] == "Ma ra Tolben"
    assert told["sheet"] == {"notes": "a b"}


@pytest.mark.parametrize(
    "given", [{"data": {"seen": "1"}}, {"content": b"{}", "headers": {"Content-Type": "text/plain"}}]
)
def test_a_form_of_another_site_changes_nothing(client, given):
    """What a page elsewhere can send without being asked first is no JSON (Fetch, 'CORS-safelisted')."""
    save(client, 0)
    for way in ("close", "reopen", "looked", "note"):
        assert client.post(f"{DESK}/calls/{NAME}/{way}", **given).status_code == 403
    assert kept(client)["version"] == 1


def test_a_desk_that_is_held_says_so_and_is_written_later(kind, client, address, monkeypatch):
    """503 and Retry-After: a page keeps what it has and sends it again."""
    from saltriage.desk.connecting import Connected
    from saltriage.errors import DeskTrouble

    def held(self):
        raise DeskTrouble("another program holds the desk")

    with monkeypatch.context() as patched:
        patched.setattr(Connected, "writing", held)
        answer = save(client, 0)
    assert (answer.status_code, answer.json()["type"]) == (503, "/api/v1/problems/desk-trouble")
    assert "Retry-After" in answer.headers
    assert save(client, 0).status_code == 200


@pytest.mark.parametrize("kind_of", ["call-changed", "call-closed", "no-such-call", "desk-trouble", "foreign-page"])
def test_the_kinds_of_the_desk_can_be_looked_up(client, kind_of):
    assert client.get(f"/api/v1/problems/{kind_of}").json()["status"] == KINDS[kind_of].status
