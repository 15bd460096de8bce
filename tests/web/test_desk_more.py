"""Water, plan, follow-up, history, hand-over and summary at the desk: the same functions as on the command line."""

import base64
import json
import zlib
from pathlib import Path
from typing import Any

import httpx
import pytest
from desk_hands import Opened, at_desk
from test_browser_access import violations
from web_scenes import DEMO, command_line, demo_data, demo_path

KINDS = ("water", "plan", "follow-up", "history", "hand-over", "summary")
WHEN = "2026-05-04T10:00"


def panel(client: httpx.Client, kind: str, **sent: Any) -> str:
    answer = client.post(f"/support/more/{kind}", json={"case": demo_data("low-salt-after-rain"), "when": WHEN, **sent})
    assert answer.status_code == 200, answer.text
    return answer.text


def record_in(text: str) -> dict[str, Any]:
    """The record that a panel hands back for the browser to keep."""
    found = text.split("data-record='")[1].split("'>")[0]
    data: dict[str, Any] = json.loads(found)
    return data


def plain(text: str) -> str:
    """Words without tags, spaces as one."""
    import html
    import re

    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def words_of(text: str) -> list[str]:
    """Words of a text report as a page shows them: heads are no longer shouted, items have no dash, rules no line."""
    return [word.lower() for word in text.split() if word != "-" and set(word) != {"="}]


@pytest.mark.parametrize("name", DEMO)
def test_water_says_every_word_of_the_command_line(client: httpx.Client, name: str) -> None:
    """In its order, unfolded."""
    expected = command_line("water", str(demo_path(name)))
    text = panel(client, "water", case=demo_data(name))

    assert words_of(plain(text)) == words_of(expected)
    assert "<h3>The water now</h3>" in text


def test_dialogs_print_pages_of_their_own(browser_page: Opened) -> None:
    """P gives the report for support, the hand-over its page, each in a window of its own."""
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator(".d-tag").wait_for()
    hands.press("Alt+2")
    with page.context.expect_page() as opened:
        hands.press("p")
    assert "Rain has thinned the salt" in opened.value.inner_text("body")
    page.bring_to_front()
    hands.press("Alt+2", "h")
    page.locator("[data-print=hand-over]").wait_for()
    hands.tab_to(text="Page to print")
    with page.context.expect_page() as opened:
        hands.press("Enter")
    assert "Hand-over" in opened.value.inner_text("body")


@pytest.mark.parametrize("occasion", ["start-up", "care", "closing"])
def test_plan_holds_every_step_of_the_command_line(client: httpx.Client, occasion: str) -> None:
    told = json.loads(command_line("plan", occasion, str(demo_path("low-salt-after-rain")), "--format", "json"))
    text = plain(panel(client, "plan", occasion=occasion))

    steps = [line["say"]["owner"] for line in told["lines"] if not line["held"]]
    assert len(steps) >= 3
    assert [step for step in steps if " ".join(step.split()) not in text] == []


def test_hand_over_holds_what_the_command_line_hands_over(client: httpx.Client, tmp_path: Path) -> None:
    record = tmp_path / "record.json"
    command_line("diagnose", str(demo_path("low-salt-after-rain")), "--save", str(record))
    listed = command_line("hand-over", str(record)).partition("MEASURED")[2].replace("\n    ", " ").splitlines()
    lines = [each.removeprefix("  - ") for each in listed if each.startswith("  - ")]
    text = plain(panel(client, "hand-over")).replace(" ,", ",")

    assert len(lines) >= 20
    assert [line for line in lines if " ".join(line.split()) not in text] == []


def test_a_follow_up_judges_what_was_promised_and_history_keeps_it(client: httpx.Client) -> None:
    """Salt went in as told and the test rose as it should: as promised; the history has two entries."""
    begun = panel(client, "follow-up")
    record = record_in(begun)
    assert "add-salt" in begun
    promise = next(each for each in record["entries"][0]["promises"] if each["action"] == "add-salt")
    assert promise["dose"] > 0
    # A weighed dose raises salt by dose over volume (mass balance).
    raised = 2100 + promise["dose"] * 1e3 / 42000
    followed = panel(
        client, "follow-up", record=record, readings={"salt": f"{raised:.0f} mg/L"}, symptoms={},
        did={"add-salt": ""}, when="2026-05-06T10:00",
    )  # fmt: skip

    assert "as promised" in plain(followed).lower()
    kept = record_in(followed)
    assert [entry["when"] for entry in kept["entries"]] == [WHEN, "2026-05-06T10:00"]
    history = plain(panel(client, "history", record=kept))
    assert "2026-05-06 10:00" in history
    assert "Add salt" in plain(panel(client, "hand-over", record=kept))


@pytest.mark.parametrize("kind", ["plan", "history", "hand-over"])
def test_pages_to_print_are_whole_documents_without_script(client: httpx.Client, kind: str) -> None:
    sent = {"case": {**demo_data("low-salt-after-rain"), "title": "<script>alert(1)</script>"}, "when": WHEN}
    answer = client.post(f"/support/page/{kind}", data={"sent": json.dumps(sent)})

    assert answer.status_code == 200
    assert answer.text.startswith("<!doctype html>")
    assert "<script" not in answer.text
    assert "script-src" not in answer.headers["content-security-policy"]
    assert "default-src 'none'" in answer.headers["content-security-policy"]


@pytest.mark.parametrize(
    "wrong",
    [[], {"case": 3}, {"case": {}, "occasion": "birthday"}, {"case": {}, "when": "soon"}, {"case": {}, "record": [1]},
     {"case": {}, "record": {"status": "open"}}, {"case": {"symptoms": {"nothing": "yes"}}}, {"case": {}, "did": 3}],
)  # fmt: skip
def test_what_cannot_be_is_refused(client: httpx.Client, wrong: Any) -> None:
    """With a problem, never with a fault of ours; the record of a panel that reads one."""
    answer = client.post("/support/more/follow-up", json=wrong)

    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"


def test_other_addresses_are_refused(client: httpx.Client) -> None:
    assert client.post("/support/more/nothing", json={"case": {}}).status_code == 404
    assert client.post("/support/page/water", data={"sent": "{}"}).status_code == 404
    assert client.post("/support/page/plan", content=b"sent=%ff").status_code == 422
    assert client.post("/support/page/plan", data={"sent": "{"}).status_code == 422


def test_what_the_search_loads_is_kept_by_the_browser(client: httpx.Client) -> None:
    first = client.get("/support/symptoms")
    assert len(first.json()) > 300
    assert all(each["title"] and each["ask"] for each in first.json())

    assert client.get("/support/symptoms", headers={"If-None-Match": first.headers["etag"]}).status_code == 304


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_all_panels_are_reached_by_keys_and_pass_axe(browser_page: Opened, dark: bool) -> None:
    hands = at_desk(browser_page, dark=dark)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator(".d-tag").wait_for()
    hands.press("Alt+2", "m")
    for place, kind in enumerate([*KINDS, "case"], 1):
        hands.press(str(place))
        page.locator(f"[data-kind={kind}][aria-pressed=true]").wait_for()
        page.locator("#more-shown:not([aria-busy])").wait_for(state="attached")
        assert violations(page) == [], kind
    hands.press("Escape")
    assert hands.at()["id"] == "ask"


def test_a_pasted_case_is_opened_as_a_call_of_its_own(browser_page: Opened) -> None:
    """What is no case is said and opens nothing; the call that was open stays in the rail."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+6")
    hands.type("Before")
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="pasted")
    page.keyboard.insert_text("symptomes: {}")
    hands.press("Tab", "Enter")
    page.locator("#line", has_text="symptomes").wait_for()
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="pasted")
    hands.press("Control+A")
    page.keyboard.insert_text(demo_path("low-salt-after-rain").read_text(encoding="utf-8"))
    hands.press("Tab", "Enter")
    page.locator(".d-tag").wait_for()

    assert page.locator("#case-title").input_value() == demo_data("low-salt-after-rain")["title"]
    page.locator("#calls .d-call-line").nth(1).wait_for()


def code_of(data: dict[str, Any]) -> str:
    """A case as owners' pages write it: JSON, zlib (RFC 1950), base64 for addresses (RFC 4648, section 5)."""
    packed = zlib.compress(json.dumps(data).encode(), 9)
    return "ST1." + base64.urlsafe_b64encode(packed).decode().rstrip("=")


def test_a_code_from_the_owners_page_is_opened_and_a_cut_one_is_said(browser_page: Opened) -> None:
    """With the line ends that a message puts into it."""
    hands = at_desk(browser_page)
    page = hands.page
    code = code_of(demo_data("low-salt-after-rain"))
    folded = "\n".join(code[place : place + 60] for place in range(0, len(code), 60))
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="pasted")
    page.keyboard.insert_text(folded[: len(folded) // 2])
    hands.press("Tab", "Enter")
    page.locator("#line", has_text="cut off").wait_for()
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="pasted")
    hands.press("Control+A")
    page.keyboard.insert_text(folded)
    hands.press("Tab", "Enter")
    page.locator(".d-tag").wait_for()

    assert page.locator("#case-title").input_value() == demo_data("low-salt-after-rain")["title"]
    assert page.locator("[id='r.salt']").input_value() == "2100"


def test_a_call_is_ended_and_followed_up_when_they_call_again(browser_page: Opened) -> None:
    """End keeps what was promised; days later the call is opened, what was done is ticked, and the record grows."""
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator(".d-tag").wait_for()
    hands.press("Alt+2", "e")
    page.locator("#end", has_text="Reopen").wait_for()
    page.wait_for_timeout(400)
    assert "ended" in page.locator("#begun").inner_text()
    record = hands.call()["record"]
    assert len(record["entries"]) == 1
    page.reload()
    page.wait_for_selector(".asking")
    hands.press("Alt+2", "m", "3")
    page.locator("[data-did]").first.wait_for()
    hands.tab_to(id="now.salt")
    hands.type("2,800 mg/L")
    hands.press("Enter")
    page.locator("#more-shown .d-report").wait_for()

    page.wait_for_timeout(300)
    assert "What was promised, what came" in page.locator("#more-shown .d-report").inner_text()
    assert len(hands.call()["record"]["entries"]) == 2
    assert hands.call()["record"]["case"]["readings"]["salt"] == {"value": 2800, "unit": "mg/L"}
