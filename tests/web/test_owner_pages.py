"""The owner's pages without a browser: what forms carry, what they refuse, and attacks in every field."""

import html
import json
import re
from html.parser import HTMLParser
from typing import Any

import httpx
import pytest
from web_scenes import demo_data

from saltriage.interview.question import NOBODY_LOOKS
from saltriage.web.walk import Walk, WalkRefused, case_path, entry_at

EVIL = "\"'></textarea></title><script>alert(1)</script><img src=x onerror=alert(1)>{{7*7}}"
STEPS = ("look", "words", "spot:look-at-the-box", "spot:nowhere", "list", "numbers", "pool", "question", "result")


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes.append(dict(attrs))


def harmless(page: str) -> None:
    """No tag, attribute or template of the attack came to life; the page's own scripts are files."""
    tags = Tags()
    tags.feed(page)
    assert "img" not in tags.names
    assert tags.names.count("script") <= 1
    for name, attributes in zip(tags.names, tags.attributes, strict=True):
        assert not any(key.startswith("on") for key in attributes)
        if name == "script":
            assert (attributes.get("src") or "").startswith("/static/")


def state(**more: object) -> str:
    return json.dumps({"case": demo_data("low-salt-after-rain"), **more})


@pytest.mark.parametrize("go", STEPS)
@pytest.mark.parametrize("step", STEPS)
def test_an_attack_in_every_field_comes_out_as_text(client: httpx.Client, step: str, go: str) -> None:
    """In each field of each page, on the way to each page."""
    fields = {
        "words": EVIL, "saved-case": "", "c.title": EVIL[:80], "c.volume-uncertainty": EVIL[:15], "asked": EVIL,
        "answer": EVIL, "r.ph.value": EVIL, "r.ph.unit": EVIL, "r.ph.method": EVIL, "r.salt.value": EVIL[:30],
        "r.salt.unit": EVIL[:20], "s.low-salt-warning": EVIL, f"s.{EVIL}": "yes", f"r.{EVIL}.value": "1", EVIL: EVIL,
    }  # fmt: skip

    answer = client.post("/owner", data={"state": state(), "step": step, "go": go, **fields})

    assert answer.status_code == 200
    harmless(answer.text)


def test_an_attack_in_the_words_is_shown_as_it_was_typed(client: httpx.Client) -> None:
    answer = client.post("/owner", data={"state": "", "step": "words", "go": "heard", "words": EVIL})

    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in answer.text
    assert "{{7*7}}" in answer.text
    harmless(answer.text)


def test_an_attack_in_a_case_comes_out_as_text(client: httpx.Client) -> None:
    """Title and story, on the result, in the report, in the panels of the desk, and in what is saved."""
    case = {**demo_data("low-salt-after-rain"), "title": EVIL[:90], "story": EVIL}
    carried = {"state": json.dumps({"case": case})}

    for answer in (
        client.post("/owner", data={**carried, "step": "result", "go": "result"}),
        client.post("/owner/report", data={**carried, "reader": "support"}),
        client.post("/support/panels", json={"case": case}),
    ):
        assert answer.status_code == 200
        assert "&lt;script&gt;" in answer.text
        harmless(answer.text)
    saved = client.post("/owner/case.json", data=carried)
    assert saved.json() == case
    assert saved.headers["content-type"] == "application/json"
    assert saved.headers["content-disposition"].startswith("attachment")


@pytest.mark.parametrize("path", ["/owner", "/owner/case.json", "/owner/diagnosis.json", "/owner/report"])
@pytest.mark.parametrize(
    "broken",
    ["{", "[]", '"x"', "null", '{"case": []}', '{"case": {}, "skipped": "salt"}', '{"case": {}, "trail": [1]}',
     '{"case": {}, "trail": [' + ",".join(['"a"'] * 500) + "]}", "[" * 900, '{"case": {"x": NaN}}'],
)  # fmt: skip
def test_a_state_that_no_page_wrote_is_not_believed(client: httpx.Client, path: str, broken: str) -> None:
    answer = client.post(path, data={"state": broken, "step": "list", "go": "result"})

    assert answer.status_code == 400
    assert "Start again" in answer.text


@pytest.mark.parametrize("path", ["/owner/case.json", "/owner/diagnosis.json", "/owner/report"])
def test_a_case_that_is_refused_is_not_saved(client: httpx.Client, path: str) -> None:
    answer = client.post(path, data={"state": json.dumps({"case": {"readings": {"ph": 44}}})})

    assert answer.status_code == 400


def test_forms_of_other_kinds_are_refused(client: httpx.Client) -> None:
    assert client.post("/owner", json={"state": ""}).status_code == 415
    assert client.post("/owner", files={"state": b"x"}).status_code == 415
    latin = client.post("/owner", content=b"words=\xff", headers={"Content-Type": "application/x-www-form-urlencoded"})
    assert latin.status_code == 422
    many = "&".join(f"a{number}=1" for number in range(3000))
    too_many = client.post("/owner", content=many, headers={"Content-Type": "application/x-www-form-urlencoded"})
    assert too_many.status_code == 422


def test_unknown_pages_and_fields_lead_nowhere(client: httpx.Client) -> None:
    answer = client.post("/owner", data={"state": "", "step": "nowhere", "go": "elsewhere", "s.nothing": "yes"})

    assert answer.status_code == 200
    assert "First: is one of these so?" in answer.text


def test_a_number_that_cannot_be_is_refused_in_plain_words(client: httpx.Client) -> None:
    form = {"step": "numbers", "go": "result", "r.pool-volume.value": "45", "r.pool-volume.unit": "US gal"}

    answer = client.post("/owner", data=form)

    assert "expected from 200 to 5000000 L (52.83 to 1321000 US gal)" in answer.text
    assert "expected pool-volume" not in answer.text


def test_a_saved_case_that_is_refused_is_named(client: httpx.Client) -> None:
    answer = client.post("/owner", data={"step": "words", "go": "result", "saved-case": "symptomes: {}\n"})

    assert "symptomes" in answer.text
    assert "mend this first" in answer.text


def test_a_number_that_was_not_changed_keeps_what_its_field_cannot_show(client: httpx.Client) -> None:
    """A precision that was loaded with a case survives the page of numbers."""
    entry = {"value": 2100, "unit": "mg/L", "precision": "150 mg/L"}
    carried = json.dumps({"case": {"readings": {"salt": entry}}})
    page = client.post("/owner", data={"state": carried, "step": "words", "go": "numbers"}).text
    fields = dict(re.findall(r'name="(r\.salt\.value)"[^>]*value="([^"]*)"', page))

    kept = client.post(
        "/owner", data={"state": carried, "step": "numbers", "go": "pool", **fields, "r.salt.unit": "mg/L"}
    ).text

    assert fields == {"r.salt.value": "2100"}
    assert "150 mg/L" in kept


def test_the_panels_refuse_what_the_script_would_not_send(client: httpx.Client) -> None:
    wrong: list[Any] = [{}, [], {"case": 3}, {"case": {}, "skipped": [3]}, {"case": {}, "skipped": "salt"}]
    for sent in wrong:
        assert client.post("/support/panels", json=sent).status_code == 422
    assert client.post("/support/case", json={"text": 3}).status_code == 422
    refused = client.post("/support/case", json={"text": "symptoms: {nothing: yes}\n"})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["field"] == "symptoms.nothing"


def test_a_walk_comes_back_from_its_text() -> None:
    walk = Walk({"symptoms": {"bubbles": "yes"}}, ("salt",), ("salt", "bubbles"), True, "us")

    assert Walk.from_text(walk.text()) == walk
    assert Walk.from_text("") == Walk()
    with pytest.raises(WalkRefused):
        Walk.from_text("{}")


def test_going_back_takes_answers_numbers_and_refusals_back() -> None:
    walk = Walk().answered("bubbles", "yes").told_in_questions("bubbles")
    walk = walk.with_entry(case_path("ph"), 7.4).told_in_questions("ph").skipping("salt").told_in_questions("salt")

    assert walk.back().skipped == ()
    assert walk.back().back().case == {"symptoms": {"bubbles": "yes"}}
    assert walk.back().back().back() == Walk()
    assert Walk().back() == Walk()


def test_every_reading_has_its_place_in_a_case(knowledge: Any) -> None:
    """What is written at its place is taken by the reader of cases as that reading."""
    from saltriage.case import Case

    for reading in knowledge.readings.values():
        if reading.role == "computed" or reading.id.startswith("salt-band"):
            continue
        number = (reading.allowed.low + min(reading.allowed.high, reading.allowed.low + 1)) / 2
        walk = Walk().with_entry(case_path(reading.id), f"{number:g} {reading.unit}".removesuffix(" pH").strip())
        assert entry_at(walk.case, case_path(reading.id)) is not None
        assert reading.id in Case.from_data(walk.case, knowledge).readings


def test_a_danger_that_only_keeps_out_is_told_before_and_beside_questions(client: httpx.Client) -> None:
    """Filth in the water: the rows say so at once, and no question is asked without it."""
    look = client.get("/").text
    rows = re.findall(r'name="answer" value="(danger-[a-z-]+)"', look)
    told = client.post(
        "/owner", data={"step": "question", "asked": "+".join(rows), "answer": "danger-filth", "state": ""}
    ).text
    carried = re.search(r'name="state" value="([^"]*)"', told)
    assert carried is not None
    asked = client.post("/owner", data={"state": html.unescape(carried[1]), "step": "result", "go": "more"}).text

    assert 'class="stop unfit"' in told
    assert 'class="keep-out"' in asked
    assert "Question 1" in asked


def test_after_a_danger_what_is_known_already_is_asked_once_all_are_safe(client: httpx.Client) -> None:
    """One press on the page of orders; the question shows the danger and that nobody goes to look; a new one stops."""

    def state_of(page: str) -> str:
        carried = re.search(r'name="state" value="([^"]*)"', page)
        assert carried is not None
        return html.unescape(carried[1])

    case = {"case": "t", "symptoms": {"tingle": "yes", "low-salt-warning": "yes"}}
    orders = client.post("/owner", data={"state": json.dumps({"case": case}), "step": "result", "go": "result"}).text
    look = client.post("/owner", data={"state": state_of(orders), "step": "question", "go": "safe", "asked": ""}).text
    rows = re.findall(r'name="asked" value="([^"]*)"', look)[0]
    passed = {"state": state_of(look), "step": "question", "asked": rows, "answer": "no"}
    asked = client.post("/owner", data=passed).text
    walk = json.loads(state_of(asked))
    walk["case"]["symptoms"]["danger-gas"] = "yes"
    again = client.post("/owner", data={"state": json.dumps(walk), "step": "question", "go": "question"}).text

    assert "everybody is safe: go on" in orders
    assert "danger-gas" in rows
    assert "danger-electricity" not in rows
    assert 'class="keep-out"' in asked
    assert NOBODY_LOOKS in asked
    assert 'class="look-at"' not in asked
    assert "everybody is safe: go on" in again


def test_a_result_without_an_amount_asks_for_what_it_lacks(client: httpx.Client) -> None:
    """The volume stands beside the result; with it the tag says how much."""
    case = demo_data("low-salt-after-rain")
    carried = json.dumps({"case": {**case, "pool": {}}})
    lacking = client.post("/owner", data={"state": carried, "step": "result", "go": "result"}).text
    filled = {
        "state": carried,
        "step": "result",
        "go": "result",
        "r.pool-volume.value": "42",
        "r.pool-volume.unit": "m3",
    }
    known = client.post("/owner", data=filled).text

    assert 'name="r.pool-volume.value"' in lacking
    assert 'class="tag' not in lacking
    assert 'class="tag dose-now"' in known
    assert 'name="r.pool-volume.value"' not in known
