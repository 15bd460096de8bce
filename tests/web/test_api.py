"""The HTTP API on a running server: the same answers as the command line, refusals that name the field."""

import json
from typing import Any

import httpx
import pytest
from jsonschema import Draft202012Validator
from web_scenes import DEMO, ROOT, command_line, demo_data, demo_path

from saltriage.case import Case
from saltriage.guard import danger_look
from saltriage.interview import Interview
from saltriage.knowledge import Knowledge


@pytest.mark.parametrize("name", DEMO)
@pytest.mark.parametrize("base", ["/api/v1", "/api"])
def test_a_diagnosis_is_the_command_lines_to_the_byte(client: httpx.Client, name: str, base: str) -> None:
    """The same case gives the same bytes, under the version's address and under the newest one's."""
    answer = client.post(f"{base}/diagnose", json=demo_data(name))

    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert answer.text == command_line("diagnose", str(demo_path(name)), "--format", "json")


@pytest.mark.parametrize("name", DEMO)
def test_a_water_is_the_command_lines(client: httpx.Client, name: str) -> None:
    answer = client.post("/api/v1/water", json=demo_data(name))

    assert answer.json() == json.loads(command_line("water", str(demo_path(name)), "--json"))


def test_water_without_calcium_has_no_index_and_is_still_json(client: httpx.Client) -> None:
    """An index of minus infinity is told as null: JSON has no infinity."""
    readings = {"ph": 7.4, "total-alkalinity": "80 mg/L", "calcium-hardness": "0 mg/L", "water-temperature": "25 degC"}

    answer = client.post("/api/v1/water", json={"readings": readings})

    assert answer.status_code == 200
    told = json.loads(answer.text, parse_constant=pytest.fail)
    assert told["plan"] is None or told["plan"]["start"]["saturation-index"] is None
    assert "saturation-index" not in [each["name"] for each in told["state"]]
    assert client.post("/api/v1/diagnose", json={"readings": readings}).status_code == 200


def test_the_next_question_is_the_interviews(client: httpx.Client, knowledge: Knowledge) -> None:
    """The look for dangers, then the same question as `saltriage ask` would put, with where to look."""
    case: dict[str, Any] = {"symptoms": {"flow-warning": "yes", "bubbles-at-return": "yes"}}
    opening = client.post("/api/v1/next-question", json={"case": case}).json()["question"]["items"]
    assert [item["id"] for item in opening] == list(danger_look(knowledge))

    case["symptoms"] |= dict.fromkeys(danger_look(knowledge), "no")
    interview = Interview.start(knowledge, Case.from_data(case, knowledge))
    wanted = interview.next_question()

    told = client.post("/api/v1/next-question", json={"case": case}).json()

    assert wanted is not None
    assert [item["id"] for item in told["question"]["items"]] == [item.id for item in wanted.items]
    assert told["question"]["minutes"] == wanted.minutes
    assert told["most-likely"] == interview.standing.leader
    assert told["ending"] is None


def test_what_was_skipped_is_not_asked_again(client: httpx.Client) -> None:
    case = {"symptoms": {"low-salt-warning": "yes"}}
    skipped: list[str] = []
    for _ in range(3):
        told = client.post("/api/v1/next-question", json={"case": case, "skipped": skipped}).json()["question"]
        ids = [item["id"] for item in told["items"]]
        assert set(ids).isdisjoint(skipped)
        skipped += ids

    assert len(skipped) >= 3


def test_a_stop_ends_the_questions(client: httpx.Client) -> None:
    told = client.post("/api/v1/next-question", json={"case": {"symptoms": {"smoke-or-scorch": "yes"}}}).json()

    assert told["ending"] == "stop"
    assert told["stops"]


def test_words_become_candidates_with_entries(client: httpx.Client) -> None:
    """A unit that is open stays open; a number with its unit is ready for a case."""
    heard = client.post("/api/v1/words", json={"text": "the jets are weak, salt 2400 ppm"}).json()

    assert [(each["id"], each["present"]) for each in heard["symptoms"]] == [("return-jets-weak", True)]
    assert heard["readings"][0]["entry"] == {"value": 2400, "unit": "ppm"}
    case = {
        "symptoms": {each["id"]: "yes" for each in heard["symptoms"]},
        "readings": {each["id"]: each["entry"] for each in heard["readings"]},
    }
    assert client.post("/api/v1/diagnose", json=case).status_code == 200


def test_knowledge_is_cached_by_its_fingerprint(client: httpx.Client) -> None:
    first = client.get("/api/v1/knowledge")
    again = client.get("/api/v1/knowledge", headers={"If-None-Match": first.headers["etag"]})

    assert first.json()["fingerprint"].startswith(first.headers["etag"].strip('W/"'))
    assert (again.status_code, again.content) == (304, b"")


def test_health(client: httpx.Client) -> None:
    answer = client.get("/healthz").json()

    assert answer["status"] == "ok"
    assert answer["fingerprint"] == client.get("/api/v1/knowledge").json()["fingerprint"]


def problem(answer: httpx.Response, status: int, kind: str) -> dict[str, object]:
    """The problem details of a refusal, checked for its form (RFC 9457, section 3.1)."""
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    told: dict[str, object] = answer.json()
    assert told["status"] == status
    assert told["type"] == f"/api/v1/problems/{kind}"
    assert told["title"]
    assert told["detail"]
    return told


@pytest.mark.parametrize(
    ("case", "field", "found"),
    [
        ({"readings": {"ph": 44}}, "readings.ph", "44"),
        ({"readings": {"salt": "2400"}}, "readings.salt", "2400"),
        ({"readings": {"salt": {"value": "2400", "unit": "mg/L"}}}, "readings.salt.value", "2400"),
        ({"symptoms": {"low-salt-waning": "yes"}}, "symptoms.low-salt-waning", "low-salt-waning"),
        ({"symptoms": {"low-salt-warning": "maybe"}}, "symptoms.low-salt-warning", "maybe"),
        ({"pool": {"volume": "45"}}, "pool.volume", "45"),
        ({"equipment": {"pump": "steam"}}, "equipment.pump", "steam"),
        ({"symptomes": {}}, "symptomes", "symptomes"),
    ],
)
def test_a_refused_case_names_the_field(client: httpx.Client, case: object, field: str, found: str) -> None:
    """Where it is, as a dotted path and as a JSON pointer, and what stood there."""
    errors = problem(client.post("/api/v1/diagnose", json=case), 422, "case-refused")["errors"]

    assert isinstance(errors, list)
    assert [each["field"] for each in errors] == [field]
    assert errors[0]["pointer"] == "#/" + field.replace(".", "/")
    assert found in errors[0]["found"]
    assert errors[0]["expected"]


def test_the_field_of_a_case_inside_a_larger_body(client: httpx.Client) -> None:
    answer = client.post("/api/v1/next-question", json={"case": {"readings": {"ph": 44}}})

    told = problem(answer, 422, "case-refused")
    assert isinstance(told["errors"], list)
    assert told["errors"][0]["pointer"] == "#/case/readings/ph"


@pytest.mark.parametrize(
    ("body", "status", "kind"),
    [
        (b"", 400, "not-json"),
        (b"{", 400, "not-json"),
        (b"\xff\xfe", 400, "not-json"),
        (b'{"ph": NaN}', 400, "not-json"),
        (b'{"ph": 1e999}', 400, "not-json"),
        (b'{"case": "a", "case": "b"}', 400, "not-json"),
        (b"[" * 2000 + b"]" * 2000, 400, "not-json"),
        (b'{"story": ' + b"9" * 5000 + b"}", 400, "not-json"),
        (b"[]", 422, "case-refused"),
        (b"null", 422, "case-refused"),
        (b'"yes"', 422, "case-refused"),
    ],
)
def test_bodies_that_are_no_case(client: httpx.Client, body: bytes, status: int, kind: str) -> None:
    """A body that is no case is pointed at as a whole."""
    answer = client.post("/api/v1/diagnose", content=body, headers={"Content-Type": "application/json"})

    told = problem(answer, status, kind)
    if kind == "case-refused":
        assert isinstance(told["errors"], list)
        assert [each["pointer"] for each in told["errors"]] == ["#"]


def test_other_refusals(client: httpx.Client) -> None:
    """Media type, method, address, size, shape."""
    problem(client.post("/api/v1/diagnose", content=b"{}"), 415, "wrong-media-type")
    problem(client.post("/api/v1/diagnose", data={"case": "x"}), 415, "wrong-media-type")
    wrong = client.get("/api/v1/diagnose")
    problem(wrong, 405, "method-not-allowed")
    assert wrong.headers["allow"] == "POST"
    problem(client.get("/api/v1/nothing"), 404, "not-found")
    problem(client.get("/static/..%2f..%2fpyproject.toml"), 404, "not-found")
    problem(client.get("/static/app.py"), 404, "not-found")
    problem(client.post("/api/v1/words", json={"text": 3}), 422, "request-refused")
    problem(client.post("/api/v1/words", json={}), 422, "request-refused")
    problem(client.post("/api/v1/next-question", json={"case": {}, "skipped": "salt"}), 422, "request-refused")


def test_every_kind_of_problem_has_a_page(client: httpx.Client) -> None:
    from saltriage.web.problems import KINDS

    for kind, told in KINDS.items():
        assert client.get(f"/api/v1/problems/{kind}").json()["status"] == told.status


def test_answers_fit_the_published_schema(client: httpx.Client) -> None:
    """The file in schemas/, not the copy inside the OpenAPI document."""
    schema = json.loads((ROOT / "schemas" / "diagnosis.schema.json").read_text(encoding="utf-8"))
    for name in DEMO:
        Draft202012Validator(schema).validate(client.post("/api/v1/diagnose", json=demo_data(name)).json())


@pytest.mark.parametrize("path", ["/", "/support", "/healthz", "/api/v1/knowledge", "/static/page.css", "/nothing"])
def test_headers_that_keep_a_page_harmless(client: httpx.Client, path: str) -> None:
    """No script or style of others, no framing, no guessing of types, no cookies."""
    headers = client.get(path).headers

    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert "set-cookie" not in headers
    assert "server" not in headers
