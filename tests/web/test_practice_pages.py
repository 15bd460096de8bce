"""The practice pages without script, over plain HTTP: asked, decided, scored; and nothing is given away before."""

import re
from typing import Any

import httpx
import pytest

from practice_numbers import BUBBLE
from saltriage.knowledge import Knowledge
from saltriage.knowledge.home import data_folder
from saltriage.practice import PracticeLibrary
from saltriage.practice.searching import questions_shelf
from saltriage.report.shared.page_engine import environment

NUMBERS = (5, 9, BUBBLE, 17)
HIDDEN = re.compile(r'<input type="hidden" name="([a-z]+)" value="([^"]*)">')


def carried(page: str) -> dict[str, str]:
    """What the form carries."""
    return dict(HIDDEN.findall(page))


def sent(client: httpx.Client, fields: dict[str, str], code: int = 200) -> str:
    answer = client.post("/practice", data=fields, headers={"Accept": "text/html"})
    assert answer.status_code == code, answer.text
    return answer.text


def begun(client: httpx.Client, number: int) -> str:
    answer = client.get(f"/practice?call={number}")
    assert answer.status_code == 200
    return answer.text


def text_of(page: str) -> str:
    plain = re.sub(r"<[^>]+>", " ", page.partition("<main ")[2].partition(">")[2].partition("</main>")[0])
    return " ".join(plain.replace("&#39;", "'").replace("&#34;", '"').split())


def test_a_call_from_the_first_question_to_the_score(client: httpx.Client) -> None:
    page = begun(client, BUBBLE)
    assert "Low-salt warning." in text_of(page)
    page = sent(client, {**carried(page), "text": "is there white crust on the plates", "go": "ask"})
    assert "You asked: White crust on the cell plates No." in text_of(page)
    page = sent(client, {**carried(page), "text": "have the plates white crust or salt", "go": "ask"})
    page = sent(client, {**carried(page), "pick": "salt"})
    assert "You asked: Salt, by a separate test 3100 mg/L, drop-count test for chloride." in text_of(page)
    assert carried(page)["asked"] == "plates-scaled+salt"

    page = sent(client, {**carried(page), "go": "decide"})
    assert "Can somebody be hurt?" in page
    page = sent(client, {**carried(page), "go": "score", "cause": "gas in the cell", "first": "switch-production-off"})
    assert "Say yes or no: danger comes first." in page
    assert 'name="cause-id" value="gas-pocket"' in page
    decided = {"danger": "no", "cause": "gas in the cell", "cause-id": "gas-pocket", "first": "switch-production-off"}
    page = sent(client, {**carried(page), "go": "score", **decided})

    assert "3 of 3 right" in page
    assert "As the program would have asked" in page
    assert "You: 2 questions, 2 of them answered" in page


@pytest.mark.parametrize("number", NUMBERS)
def test_a_missed_danger_stands_before_the_score(client: httpx.Client, knowledge: Knowledge, number: int) -> None:
    """And where there is none, none is named."""
    caller = PracticeLibrary(knowledge, data_folder("cases")).caller(number)
    page = sent(client, {**carried(begun(client, number)), "go": "score", "danger": "no", "cause": "", "first": ""})

    main = text_of(page)
    assert main.startswith(("Danger missed", "Dangers missed")) is caller.is_dangerous
    assert main.index(" right ") > 0


@pytest.mark.parametrize("number", NUMBERS)
def test_pages_before_the_decision_do_not_name_what_is_wrong(
    client: httpx.Client, knowledge: Knowledge, number: int
) -> None:
    """Neither the cause, in title or id, nor the file of the case; whatever was asked."""
    library = PracticeLibrary(knowledge, data_folder("cases"))
    caller = library.caller(number)
    every = "+".join(list(questions_shelf(knowledge).named)[::7])
    pages = [begun(client, number), sent(client, {"call": str(number), "asked": every, "begun": "1"})]
    for page in pages:
        for id in caller.truth:
            assert id not in page
            assert knowledge.causes[id].title not in page
    # The page to decide on lists all causes, the same for every call.
    lists = [
        re.findall("<datalist.*?</datalist>", sent(client, {"call": str(each), "go": "decide"})) for each in (5, BUBBLE)
    ]
    assert lists[0] == lists[1]
    assert len(lists[0]) == 2


WRONG: list[dict[str, str]] = [
    {"call": "0"},
    {"call": "1000000"},
    {"call": "eleven"},
    {"call": "١١"},
    {"call": str(BUBBLE), "asked": "no-such-thing"},
    {"call": str(BUBBLE), "asked": "<script>alert(1)</script>"},
]


@pytest.mark.parametrize("fields", WRONG)
def test_a_form_that_was_tampered_with_is_refused(client: httpx.Client, fields: dict[str, str]) -> None:
    page = sent(client, fields, 422)
    assert "<script>alert" not in page


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", '"><b>x', "{{ 7*7 }}", "🐟", "x" * 400])
def test_whatever_is_typed_stays_text(client: httpx.Client, text: str) -> None:
    page = sent(client, {**carried(begun(client, BUBBLE)), "text": text, "go": "ask"})

    assert "<script>alert" not in page
    assert "<b>x" not in page
    assert "49" not in text_of(page)


def test_another_time_on_the_clock_is_no_error(client: httpx.Client) -> None:
    for stamp in ("", "0", "-5", "99999999999", "tomorrow"):
        fields = {
            "call": str(BUBBLE),
            "asked": "",
            "begun": stamp,
            "go": "score",
            "danger": "no",
            "cause": "",
            "first": "",
        }
        assert "of 3 right" in sent(client, fields)


def test_a_call_by_chance_can_be_had_again(client: httpx.Client) -> None:
    page = client.get("/practice").text
    again = begun(client, int(carried(page)["call"]))

    assert carried(again)["call"] == carried(page)["call"]
    assert text_of(again) == text_of(page)


def test_every_template_of_practice_is_read(knowledge: Knowledge) -> None:
    """A slip in one that a test does not reach would be our fault in front of a trainee."""
    folder = data_folder("rules").parent / "engine" / "saltriage" / "web" / "templates"
    names = sorted(path.name for path in folder.glob("practice*.j2"))
    assert len(names) == 5
    for name in names:
        environment(folder).get_template(name)


def answered(client: httpx.Client, operation: str, body: dict[str, Any], code: int = 200) -> dict[str, Any]:
    answer = client.post(f"/api/v1/practice/{operation}", json=body)
    assert answer.status_code == code, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_the_api_gives_the_same_call(client: httpx.Client) -> None:
    call = answered(client, "start", {"call": BUBBLE})
    assert (call["opening"], call["stops"]) == ("Low-salt warning.", [])
    heard = answered(client, "ask", {"call": BUBBLE, "text": "is there white crust on the plates", "asked": []})
    assert (heard["question"]["id"], heard["answer"], heard["known"]) == ("plates-scaled", "no", True)
    found = answered(client, "find", {"what": "cause", "text": "gas in the cell"})
    assert found["found"][0]["id"] == "gas-pocket"
    body = {"call": BUBBLE, "asked": heard["asked"], "cause": "gas-pocket", "first": "switch-production-off"}

    score = answered(client, "decide", {**body, "danger": False})

    assert (score["right"], score["scored"], score["missed"], score["questions"]) == (3, 3, [], 1)
    assert score["way"]["questions"] >= 1
    assert score["causes"][0]["cause"] == "gas-pocket"
    blind = answered(client, "decide", {**body, "call": 5, "danger": False})
    assert list(blind)[:4] == ["format", "stops", "orders", "missed"]
    assert blind["missed"] == [each["title"] for each in blind["stops"]]


def test_an_unknown_id_is_refused_by_name(client: httpx.Client) -> None:
    body = {"call": BUBBLE, "asked": [], "cause": "gas-pockets", "first": "", "danger": False}
    told = answered(client, "decide", body, 422)
    assert "gas-pocket" in told["detail"]
    assert told["errors"][0]["pointer"] == "#/cause"
