"""The support desk in a real browser, by keyboard only: no mouse, no script of the test that sets a value."""

import json
from typing import Any

import pytest
from desk_hands import Hands, Opened, at_desk
from web_scenes import DEMO, command_line, demo_data, demo_path
from web_walks import without_name

SIGNS = {"degC": "°C", "degF": "°F", "m3": "m³"}


def enter_number(hands: Hands, reading: str, entry: Any, knowledge: Any) -> None:
    parts = entry if isinstance(entry, dict) else None
    number, _, unit = ("", "", "") if parts else str(entry).partition(" ")
    hands.tab_to(id=f"r.{reading}")
    hands.type(str(parts["value"]) if parts else number)
    unit = parts.get("unit", "") if parts else unit
    if unit:
        hands.press("Tab")
        if hands.page.evaluate("document.activeElement.value") != unit:
            hands.choose(SIGNS.get(unit, unit))
    if parts and "method" in parts:
        hands.press("Tab")
        hands.choose(knowledge.readings[reading].methods[parts["method"]].title)


def settings_of(told: dict[str, Any]) -> dict[str, str]:
    """The numbers of pool and equipment by the ids of their fields."""
    equipment = told["equipment"]
    band = {f"salt-band-{end}": text for end, text in equipment["salt-band"].items()}
    plain = {key: value for key, value in equipment.items() if isinstance(value, str) and value[0].isdigit()}
    return {"pool-volume": told["pool"]["volume"], **band, **plain}


@pytest.mark.long
@pytest.mark.parametrize("name", DEMO)
def test_a_case_by_keyboard_comes_out_as_on_the_command_line(browser_page: Opened, knowledge: Any, name: str) -> None:
    """Answers by search, numbers in the grid, facts of pool and plant: the saved result is the command line's JSON."""
    told, hands = demo_data(name), at_desk(browser_page)
    page = hands.page

    hands.press("Alt+6")
    hands.type(told["title"])
    hands.search()
    for symptom, said in told["symptoms"].items():
        hands.type(knowledge.symptoms[symptom].title)
        hands.press({"yes": "Enter", "no": "Shift+Enter"}[said])
    hands.press("Alt+3")
    order = page.evaluate("[...document.querySelectorAll('#numbers .d-value')].map((each) => each.id)")
    more = page.evaluate("[...document.querySelectorAll('#more-readings .d-value')].map((each) => each.id)")
    numbers = {**told["readings"], **settings_of(told)}
    for field in order:
        if field.removeprefix("r.") in numbers and field not in more:
            enter_number(hands, field.removeprefix("r."), numbers[field.removeprefix("r.")], knowledge)
    hands.tab_to(text="More readings")
    hands.press("Enter")
    for field in more:
        if field.removeprefix("r.") in numbers:
            enter_number(hands, field.removeprefix("r."), numbers[field.removeprefix("r.")], knowledge)
    hands.tab_to(text="Pool and equipment")
    hands.press("Enter")
    hands.tab_to(id="spread")
    hands.type(told["pool"]["volume-uncertainty"])
    for field in page.evaluate("[...document.querySelectorAll('#pool-facts select')].map((each) => each.id)"):
        word = {**told["pool"], **told["equipment"]}.get(field.removeprefix("c-"))
        if word is not None:
            hands.tab_to(id=field)
            hands.choose(knowledge.equipment[word].title if field == "c-profile" else word.replace("-", " "))
    hands.press("Alt+2")
    hands.settled()
    hands.press("m", "7")
    hands.tab_to(id="save-result")
    with page.expect_download() as saving:
        hands.press("Enter")

    expected = command_line("diagnose", str(demo_path(name)), "--format", "json")
    assert without_name(saving.value.path().read_text(encoding="utf-8")) == without_name(expected)
    first = json.loads(expected)["causes"][0]["title"]
    assert page.locator("[data-panel=why] .d-cause").first.inner_text() == first
    assert first in page.locator("#status").inner_text()


def test_words_are_heard_live_and_questions_answered_with_single_keys(browser_page: Opened) -> None:
    """What is sure is taken while one types; then y, n and u answer one question after the other, and Z undoes."""
    hands = at_desk(browser_page)
    page = hands.page
    assert hands.at()["id"] == "caller"
    hands.type("the low salt light is on, salt 2100 ppm")
    page.locator("#told", has_text="Low-salt warning heard").wait_for()
    hands.settled()
    assert page.locator("[id='r.salt']").input_value() == "2100"
    assert page.locator("#marks .d-mark-heard").all_inner_texts() == ["low salt light is on", "salt 2100 ppm"]

    hands.press("Control+Enter")
    hands.alive()
    hands.press("n")
    hands.settled()
    asked = [hands.question()]
    for key in ("u", "u", "n"):
        hands.alive()
        is_numbers = page.locator("#ask .d-asked").count() > 0
        hands.press("u" if is_numbers else key)
        hands.settled()
        asked.append(hands.question())

    assert len(set(asked)) == 4
    assert len(hands.call()["asked"]) == 4
    hands.press("z")
    hands.settled()
    assert hands.question() == asked[2]
    assert "Undone" in page.locator("#last").inner_text()


def test_a_refused_number_is_said_and_marked_and_all_else_counts(browser_page: Opened) -> None:
    """And goes again when it is mended."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+3")
    hands.type("0,5")  # free chlorine, as half of the world writes it
    hands.tab_to(id="r.ph")
    hands.type("77")
    hands.press("Tab")
    page.wait_for_selector("#refused li")
    hands.settled()

    assert "pH of the water" in page.locator("#refused").inner_text()
    assert page.locator("[id='r.ph']").get_attribute("aria-invalid") == "true"
    assert page.locator("[data-row=free-chlorine]").get_attribute("data-verdict") == "below"
    assert page.locator("[id='r.ph']").input_value() == "77"
    hands.tab_to(backwards=True, id="r.ph")
    hands.type("7.7")
    hands.press("Tab")
    page.wait_for_selector("#refused li", state="detached")


def test_a_case_file_is_loaded_shown_and_saved(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("scaled-plates-hard-water"))
    page.locator("#status", has_text="Most likely").wait_for()
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="save")

    with page.expect_download() as saving:
        hands.press("Enter")

    assert json.loads(saving.value.path().read_text(encoding="utf-8")) == demo_data("scaled-plates-hard-water")
    assert saving.value.suggested_filename.endswith(".case.json")
    assert page.locator("[id='r.calcium-hardness']").input_value() == "520"


def test_the_summary_is_what_the_command_line_says_for_support(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    hands.page.set_input_files("#load", demo_path("scaled-plates-hard-water"))
    hands.page.locator("#status", has_text="Most likely").wait_for()
    hands.press("Alt+2", "m", "6")
    shown = hands.page.locator("[data-copy=whole]")
    shown.wait_for()

    expected = command_line("diagnose", str(demo_path("scaled-plates-hard-water")), "--for", "support")
    assert shown.text_content() == expected
