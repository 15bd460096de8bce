"""Limits typed into fields: '<10' and 'over 5' on the owner's pages without a script, at the desk, and over the API."""

import html
import json
import re
from typing import Any

import httpx
import pytest
from desk_hands import Opened, at_desk
from test_openapi import DOCUMENT, of_component

STRIP = "test-strip"


def case_after(client: httpx.Client, typed: dict[str, str], before: dict[str, Any] | None = None) -> dict[str, Any]:
    """The case that the page carries once its form was sent."""
    state = json.dumps({"case": before or {}})
    page = client.post("/owner", data={"state": state, "step": "numbers", "go": "words", **typed}).text
    carried = re.search(r'name="state" value="([^"]*)"', page)
    assert carried is not None, page[:500]
    found: dict[str, Any] = json.loads(html.unescape(carried[1]))["case"]
    return found


def field(reading: str, value: str, unit: str = "", method: str = "") -> dict[str, str]:
    return {f"r.{reading}.value": value, f"r.{reading}.unit": unit, f"r.{reading}.method": method}


@pytest.mark.parametrize(
    ("typed", "entry"),
    [
        (field("free-chlorine", "<10", "ppm"), "<10 ppm"),
        (field("free-chlorine", "under 10", "ppm"), "<10 ppm"),
        (field("free-chlorine", "> 5", "mg/L"), ">5 mg/L"),
        (field("free-chlorine", "over 5", "mg/L"), ">5 mg/L"),
        (field("free-chlorine", "Less than 1", "mg/L", STRIP),
         {"value": 1, "unit": "mg/L", "bound": "below", "method": STRIP}),
        (field("ph", "over 8"), ">8"),
    ],
)  # fmt: skip
def test_a_field_of_the_owner_takes_a_limit(client: httpx.Client, typed: dict[str, str], entry: object) -> None:
    reading = next(iter(typed)).split(".")[1]

    assert case_after(client, typed)["readings"][reading] == entry


def test_a_field_shows_the_limit_it_took(client: httpx.Client) -> None:
    """And, sent again as it stands, changes nothing."""
    entry = {"value": 1, "unit": "mg/L", "bound": "below", "method": STRIP}
    state = json.dumps({"case": {"readings": {"free-chlorine": entry}}})
    page = client.post("/owner", data={"state": state, "step": "words", "go": "numbers"}).text

    assert 'name="r.free-chlorine.value" id="r.free-chlorine" value="&lt;1"' in page
    again = case_after(client, field("free-chlorine", "<1", "mg/L", STRIP), {"readings": {"free-chlorine": entry}})
    assert again["readings"]["free-chlorine"] == entry


def test_words_of_an_owner_fill_the_field_with_the_limit(client: httpx.Client) -> None:
    page = client.post(
        "/owner", data={"state": "", "step": "words", "go": "heard", "words": "stabiliser is under 30 ppm"}
    ).text

    assert re.search(r'name="r\.cyanuric-acid\.value"[^>]*value="&lt;30"', page)


def test_the_api_hears_and_takes_limits(client: httpx.Client) -> None:
    """Heard with its bound and entry; the entry diagnosed; answers fit the published schema."""
    text = "chlorine over 5 ppm"
    (reading,) = client.post("/api/v1/words", json={"text": text}).json()["readings"]
    pieces = client.post("/api/v1/hear", json={"text": text}).json()["spans"]
    case = {
        "readings": {reading["id"]: reading["entry"], "cyanuric-acid": "<30 ppm"},
        "symptoms": {"return-jets-weak": "yes"},
    }
    told = client.post("/api/v1/diagnose", json=case)
    lines = {each["reading"]: each for each in told.json()["readings"]}

    assert (reading["bound"], reading["entry"]) == ("above", {"value": 5, "unit": "ppm", "bound": "above"})
    assert ("above", 5) in {(each.get("bound"), each.get("number")) for each in pieces}
    of_component("Diagnosis").validate(told.json())
    assert lines["cyanuric-acid"]["typed"] == "under 30 ppm"
    entry = DOCUMENT["components"]["schemas"]["Case"]["properties"]["readings"]["additionalProperties"]
    assert entry["properties"]["bound"]["enum"] == ["below", "above"]


def test_the_desk_types_and_shows_limits(browser_page: Opened) -> None:
    """Signs and words, with and without a method; the grid shows what was taken."""
    hands = at_desk(browser_page)
    page = hands.page
    for reading, typed in (("ph", "under 7"), ("free-chlorine", "> 5")):
        page.locator(f"[id='r.{reading}']").fill(typed)
        page.locator(f"[id='r.{reading}']").blur()
    hands.settled()
    readings = hands.call()["facts"]["readings"]

    assert readings == {"ph": "<7", "free-chlorine": ">5 mg/L"}
    row = page.locator(".d-row", has=page.locator("[id='r.free-chlorine']"))
    row.locator(".d-method").select_option(STRIP)
    hands.settled()
    told = hands.call()["facts"]["readings"]["free-chlorine"]
    assert told == {"value": 5, "unit": "mg/L", "method": STRIP, "bound": "above"}
    assert page.locator("[id='r.free-chlorine']").input_value() == ">5"
