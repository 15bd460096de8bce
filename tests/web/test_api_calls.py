"""Plans, records, talks and words over the API: the same as the command line's, dangers first, right pointers."""

import json
from pathlib import Path
from typing import Any

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_openapi import DOCUMENT, of_component
from web_scenes import command_line, demo_data, demo_path

from saltriage.case import case_to_data
from saltriage.guard import danger_look
from saltriage.interview import Interview
from saltriage.knowledge import Knowledge
from saltriage.plans import OCCASIONS
from saltriage.web.openapi_examples import EXAMPLES
from saltriage.web.pointers import pointer, steps_to
from saltriage.words import hear

RAIN = "low-salt-after-rain"
SMOKE = {"smoke-or-scorch": "yes"}


def answered(client: httpx.Client, operation: str, body: object, **more: Any) -> dict[str, Any]:
    answer = client.post(f"/api/v1/{operation}", json=body, **more)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_are_answered_as_documented(client: httpx.Client, name: str) -> None:
    posted = DOCUMENT["paths"][f"/api/v1/{name}"]["post"]
    component = posted["responses"]["200"]["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2]

    of_component(component).validate(answered(client, name, EXAMPLES[name]))
    assert posted["requestBody"]["content"]["application/json"]["example"] == EXAMPLES[name]


@pytest.mark.parametrize("name", EXAMPLES)
def test_dangers_come_before_everything_that_is_advised(client: httpx.Client, name: str) -> None:
    """Before them stand only names and versions."""
    told = list(answered(client, name, EXAMPLES[name]))

    first = told.index("dangers" if name == "words" else "stops")
    assert set(told[:first]) <= {"format", "case", "title", "knowledge-version", "fingerprint", "matcher"}


@pytest.mark.parametrize("name", [name for name, body in EXAMPLES.items() if "case" in body or "record" in body])
def test_a_danger_in_the_case_is_told_in_every_answer(client: httpx.Client, name: str) -> None:
    body = json.loads(json.dumps(EXAMPLES[name]))
    case = body["record"]["case"] if "record" in body else body if name in ("diagnose", "water") else body["case"]
    case["symptoms"] = {**case["symptoms"], **SMOKE}

    told = answered(client, name, body)

    assert told["stops"][0]["level"] in ("life", "harm")
    assert told["orders"]


# Plans and records.


@pytest.mark.parametrize("occasion", [each.value for each in OCCASIONS])
def test_a_plan_is_the_command_lines(client: httpx.Client, occasion: str) -> None:
    body = {"case": demo_data(RAIN), "occasion": occasion}
    told = answered(client, "plan", body)

    assert told == json.loads(command_line("plan", occasion, str(demo_path(RAIN)), "--format", "json"))
    text = client.post("/api/v1/plan?reader=support&units=us", json=body, headers={"Accept": "text/plain"})
    wanted = command_line("plan", occasion, str(demo_path(RAIN)), "--for", "support", "--units", "us")
    assert text.text == wanted


def test_a_plan_as_a_calendar(client: httpx.Client, tmp_path: Path) -> None:
    body = {"case": demo_data(RAIN), "occasion": "opening", "start": "2027-05-03", "time-zone": "Europe/Paris"}
    answer = client.post("/api/v1/plan", json=body, headers={"Accept": "text/calendar"})
    file = tmp_path / "plan.ics"
    options = ("--start", "2027-05-03", "--time-zone", "Europe/Paris", "--ics", str(file))
    command_line("plan", "opening", str(demo_path(RAIN)), *options)

    assert answer.headers["content-type"].startswith("text/calendar")
    assert answer.content == file.read_bytes()


@pytest.mark.parametrize(
    ("body", "pointed"),
    [
        ({"occasion": "opening", "start": "2027-02-30"}, "#/start"),
        ({"occasion": "opening", "time-zone": "Lindenwyk"}, "#/time-zone"),
        ({"occasion": "picnic"}, "#/occasion"),
        ({"occasion": "opening", "days": 3}, "#/days"),
        ({}, "#"),
    ],
)
def test_what_cannot_be_planned_is_pointed_at(client: httpx.Client, body: dict[str, Any], pointed: str) -> None:
    answer = client.post("/api/v1/plan", json={"case": demo_data(RAIN), **body})

    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.json()["errors"]] == [pointed]


def test_a_record_goes_the_whole_way(client: httpx.Client, tmp_path: Path) -> None:
    """Opened, followed up, read as history and handed over: word for word what the command line says of its file."""
    told = answered(client, "records", {"case": demo_data(RAIN), "when": "2026-11-01T10:00"})
    file = tmp_path / "pool.json"
    file.write_text(json.dumps(told["record"]), encoding="utf-8")
    body = {
        "record": told["record"],
        "readings": {"salt": {"value": 2950, "unit": "mg/L", "method": "drop-test"}},
        "did": {"add-salt": "26 kg"},
        "when": "2026-11-03T09:00",
    }
    options = ("--readings", "salt=2950 mg/L by drop-test", "--did", "add-salt=26kg", "--date", "2026-11-03T09:00")

    followed = answered(client, "follow-up", body)
    printed = json.loads(command_line("follow-up", str(file), *options, "--format", "json"))

    assert {key: followed[key] for key in printed} == printed
    assert followed["record"] == json.loads(file.read_text(encoding="utf-8"))
    kept = {"record": followed["record"]}
    for name in ("history", "hand-over"):
        text = client.post(f"/api/v1/{name}", json=kept, headers={"Accept": "text/plain"}).text
        assert text == command_line(name, str(file))
        page = client.post(f"/api/v1/{name}", json=kept, headers={"Accept": "text/html"})
        assert page.text == command_line(name, str(file), "--format", "html")
        assert "sha256-" in page.headers["content-security-policy"]
    assert answered(client, "history", kept)["entries"] == followed["record"]["entries"]


@pytest.mark.parametrize(
    ("change", "pointed"),
    [
        ({"readings": {"ph": 44}}, "#/readings/ph"),
        ({"readings": {"phh": 7}}, "#/readings/phh"),
        ({"did": {"add-gold": "1 kg"}}, "#/did"),
        ({"did": {"add-salt": "1 parsec"}}, "#/did/add-salt"),
        ({"when": "2020-01-01"}, "#/when"),
        ({"readings": {}}, "#/readings"),
    ],
)
def test_what_cannot_be_followed_up_is_pointed_at(client: httpx.Client, change: dict[str, Any], pointed: str) -> None:
    answer = client.post("/api/v1/follow-up", json={**EXAMPLES["follow-up"], **change})

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointed


def test_a_wrong_record_is_pointed_at(client: httpx.Client) -> None:
    record = json.loads(json.dumps(EXAMPLES["history"]["record"]))
    record["case"]["readings"]["ph"] = 44
    in_its_case = client.post("/api/v1/history", json={"record": record})
    record["entries"][0]["readings"][0]["middle"] = "much"
    in_itself = client.post("/api/v1/history", json={"record": record})

    assert in_its_case.json()["errors"][0]["pointer"] == "#/record/case/readings/ph"
    assert in_itself.json()["errors"][0]["pointer"] == "#/record/entries/0/readings/0/middle"


@pytest.mark.parametrize(
    ("kind", "key", "value"),
    [
        ("promises", "quantity", ""),
        ("promises", "mg-per-unit", 0),
        ("promises", "mg-per-unit", 1e300),
        ("readings", "middle", 1e308),
        ("readings", "half-width", 1e308),
    ],
)
def test_a_record_that_cannot_be_reckoned_with_is_pointed_at(
    client: httpx.Client, kind: str, key: str, value: object
) -> None:
    """Changed by hand, it broke the follow-up: a division by nothing, a number too large, an unknown quantity."""
    body = json.loads(json.dumps(EXAMPLES["follow-up"]))
    body["record"]["entries"][0][kind][0][key] = value
    answer = client.post("/api/v1/follow-up", json=body)

    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.json()["errors"]] == [f"#/record/entries/0/{kind}/0/{key}"]


# Talks.


def test_a_talk_over_the_api_is_the_interview(client: httpx.Client, knowledge: Knowledge) -> None:
    """Step by step the same question, case and ending, while the server keeps nothing."""
    words = "it says low salt"
    interview = Interview.start(knowledge).told(words, hear(words, knowledge).hints)
    told = answered(client, "interview/start", {"words": words})
    for turn in range(6):
        wanted = interview.next_question()
        assert told["ending"] == (interview.standing.ending and interview.standing.ending.value)
        assert told["case"] == case_to_data(interview.case)
        if wanted is None:
            break
        assert [each["id"] for each in told["question"]["items"]] == [each.id for each in wanted.items]
        said = {each.id: "no" if turn % 2 and each.kind == "symptom" else "unknown" for each in wanted.items}
        interview = interview.answer(said, wanted)
        asked = [each["id"] for each in told["question"]["items"]]
        body = {"interview": told["interview"], "asked": asked, "effort": told["question"]["effort"], "said": said}
        told = answered(client, "interview/answer", body)
    assert [each["said"] for each in told["interview"]["steps"]] == [each.said for each in interview.steps]
    assert told["questions-asked"] == interview.questions_asked
    back = answered(client, "interview/undo", {"interview": told["interview"]})
    assert len(back["interview"]["steps"]) == len(told["interview"]["steps"]) - 1


def test_a_talk_opens_with_the_look_for_dangers(client: httpx.Client, knowledge: Knowledge) -> None:
    told = answered(client, "interview/start", {})

    assert [each["id"] for each in told["question"]["items"]] == list(danger_look(knowledge))


def test_a_danger_in_the_first_words_ends_the_talk(client: httpx.Client) -> None:
    told = answered(client, "interview/start", {"words": "there is smoke coming out of the control box"})

    assert told["ending"] == "stop"
    assert told["orders"]


def test_a_danger_is_told_with_a_refused_answer(client: httpx.Client) -> None:
    """The wrong number beside it does not hide the smoke, and both are told where they stand."""
    interview = answered(client, "interview/start", {})["interview"]
    body = {"interview": interview, "said": {"ph": 44, **SMOKE, "no-such-thing": "yes"}}
    refused = client.post("/api/v1/interview/answer", json=body)

    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] in ("#/said/ph", "#/said/no-such-thing")
    assert refused.json()["orders"]
    assert list(refused.json()).index("stops") < list(refused.json()).index("errors")


@pytest.mark.parametrize(
    ("body", "pointed"),
    [
        ({"asked": ["no-such-thing"]}, "#/asked"),
        ({"words": "\x07"}, "#/words"),
        ({"interview": {}}, "#/interview"),
        (
            {"interview": {**EXAMPLES["interview/next"]["interview"], "steps": [{"said": []}]}},
            "#/interview/steps/0/said",
        ),
    ],
)
def test_a_wrong_answer_is_pointed_at(client: httpx.Client, body: dict[str, Any], pointed: str) -> None:
    whole = {"interview": EXAMPLES["interview/next"]["interview"], "said": {}, **body}
    refused = client.post("/api/v1/interview/answer", json=whole)

    assert refused.status_code == 422
    assert pointed in [each["pointer"] for each in refused.json()["errors"]]


def test_why_a_question_is_asked(client: httpx.Client, knowledge: Knowledge) -> None:
    data = EXAMPLES["interview/why"]["interview"]
    interview = Interview.from_data(data, knowledge)
    question = interview.next_question()
    assert question is not None

    told = answered(client, "interview/why", {"interview": data})

    wanted = [(each.item, each.answer, each.leader) for each in interview.what_would_change(question)]
    assert [(each["item"], each["answer"], each["leader"]) for each in told["changes"]] == wanted


# Words.

SAID = "no chlorine since the rain 🙂, pH 7,8, and blurbs in the wibble"


@pytest.mark.parametrize("positions", ["code-points", "utf-16"])
def test_spans_lie_where_the_words_are(client: httpx.Client, positions: str) -> None:
    """Each span holds its own words, counted as asked for; what was not understood is among them."""
    told = answered(client, "hear", {"text": SAID, "positions": positions})

    units = SAID.encode("utf-16-le")
    for span in told["spans"]:
        if positions == "utf-16":
            assert units[2 * span["start"] : 2 * span["end"]].decode("utf-16-le") == span["words"]
        else:
            assert SAID[span["start"] : span["end"]] == span["words"]
    meanings = {each["meaning"] for each in told["spans"]}
    assert {"reading", "not-understood"} <= meanings
    assert next(each for each in told["spans"] if each["meaning"] == "reading")["entry"] == {"value": 7.8}


def test_a_danger_in_words_is_a_span_and_a_stop(client: httpx.Client) -> None:
    told = answered(client, "hear", {"text": "there is smoke coming out of the control box"})

    assert told["stops"]
    assert told["spans"][0]["meaning"] == "danger"


def test_a_case_file_is_read(client: httpx.Client) -> None:
    text = demo_path(RAIN).read_text(encoding="utf-8")

    assert answered(client, "read-case", {"text": text})["case"] == demo_data(RAIN)
    refused = client.post("/api/v1/read-case", json={"text": "symptoms: [no"})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "#/text"


# Forms and pointers.


def test_a_diagnosis_in_other_forms(client: httpx.Client) -> None:
    case, path = demo_data(RAIN), str(demo_path(RAIN))
    text = client.post("/api/v1/diagnose?full=yes", json=case, headers={"Accept": "text/plain"})
    page = client.post("/api/v1/diagnose", json=case, headers={"Accept": "text/html, application/json;q=0.5"})
    either = client.post("/api/v1/diagnose", json=case, headers={"Accept": "image/png, */*;q=0.1"})

    assert text.text == command_line("diagnose", path, "--full")
    assert page.text == command_line("diagnose", path, "--format", "html")
    assert either.headers["content-type"] == "application/json"


def test_a_form_or_option_that_there_is_not(client: httpx.Client) -> None:
    form = client.post("/api/v1/diagnose", json={}, headers={"Accept": "image/png"})
    option = client.post("/api/v1/diagnose?reader=dog", json={})

    assert (form.status_code, form.json()["type"]) == (406, "/api/v1/problems/not-acceptable")
    assert option.status_code == 422
    assert option.json()["errors"][0]["parameter"] == "reader"


@pytest.mark.parametrize(
    ("field", "body", "wanted"),
    [
        ("case file", [], "#"),
        ("readings.ph", {"readings": {"ph": 44}}, "#/readings/ph"),
        ("readings.a.b", {"readings": {"a.b": 1, "a": {"c": 1}}}, "#/readings/a.b"),
        ("readings.a/b~c", {"readings": {"a/b~c": 1}}, "#/readings/a~1b~0c"),
        ("equipment.salt-band", {"equipment": {"profile": ""}}, "#/equipment"),
    ],
)
def test_pointers(field: str, body: object, wanted: str) -> None:
    """RFC 6901: to the value, or to what lacks it; '#' is the whole body."""
    assert pointer(steps_to(field, body, ((),))) == wanted
    inside = pointer(steps_to(field, {"case": body}, (("case",), ())))
    assert inside == ("#/case" if wanted == "#" else f"#/case{wanted[1:]}")


@given(st.recursive(st.integers(), lambda inner: st.dictionaries(st.text(max_size=5), inner, max_size=3)), st.data())
def test_a_pointer_always_leads_somewhere(body: object, data: st.DataObject) -> None:
    """Whatever a refusal calls its field, the pointer leads to a value of the body (RFC 6901, section 4)."""
    field = data.draw(st.text(alphabet="ab./~01", max_size=8))

    found = body
    for step in pointer(steps_to(field, body, ((),)))[1:].split("/")[1:]:
        assert isinstance(found, dict)
        found = found[step.replace("~1", "/").replace("~0", "~")]
