"""The support desk in a real browser, by keyboard only: no mouse, no script of the test that sets a value."""

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from web_scenes import DEMO, command_line, demo_data, demo_path
from web_walks import without_name

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]
MOST_TABS = 400


class Keys:
    """A pair of hands on a keyboard."""

    def __init__(self, page: "Page") -> None:
        self.page = page

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def at(self) -> dict[str, str]:
        """What has the focus."""
        found: dict[str, str] = self.page.evaluate(
            "(({id, name, tagName, textContent}) => ({id, name: name || '', tag: tagName, text: textContent.trim()}))"
            "(document.activeElement)"
        )
        return found

    def tab_to(self, backwards: bool = False, **wanted: str) -> None:
        """Tab until the focus is on what is wanted: by id, name or text."""
        for _ in range(MOST_TABS):
            if all(self.at()[key] == value for key, value in wanted.items()):
                return
            self.press("Shift+Tab" if backwards else "Tab")
        pytest.fail(f"cannot be reached by keyboard: {wanted}")

    def choose(self, text: str) -> None:
        """In a list that has the focus: type the beginning of the entry."""
        self.type(text)
        shown = self.page.evaluate("document.activeElement.selectedOptions[0].textContent")
        assert shown.strip() == text

    def settled(self) -> None:
        """Wait until the panels show the last answer."""
        self.page.locator("body:not([aria-busy])").wait_for()


def enter_number(keys: Keys, reading: str, entry: Any, knowledge: Any) -> None:
    parts = entry if isinstance(entry, dict) else None
    number, _, unit = ("", "", "") if parts else str(entry).partition(" ")
    keys.tab_to(id=f"r.{reading}")
    keys.type(str(parts["value"]) if parts else number)
    unit = parts.get("unit", "") if parts else unit
    if unit:
        keys.press("Tab")
        if keys.page.evaluate("document.activeElement.value") != unit:
            keys.choose(unit)
    if parts and "method" in parts:
        keys.tab_to(name=f"r.{reading}.method")
        keys.choose(knowledge.readings[reading].methods[parts["method"]].title)


@pytest.mark.long
@pytest.mark.parametrize("name", DEMO)
def test_a_case_by_keyboard_comes_out_as_on_the_command_line(browser_page: Opened, knowledge: Any, name: str) -> None:
    """Answers by name, numbers in the grid, facts of pool and plant: the saved result is the command line's JSON."""
    told, page = demo_data(name), browser_page("/support", width=1440)
    keys = Keys(page)
    page.wait_for_selector(".asking")

    if name != DEMO[0]:
        title_case(keys, told["title"])
    keys.tab_to(id="add")
    for symptom, said in told["symptoms"].items():
        keys.type(knowledge.symptoms[symptom].title)
        keys.press("Escape")
        keys.tab_to(text={"yes": "Yes", "no": "No"}[said])
        keys.press("Enter")
        page.locator("#add:focus").wait_for()
    keys.press("Alt+3")
    more = [each for each in told["readings"] if not page.locator(f"#numbers [id='r.{each}']").is_visible()]
    order = page.evaluate("[...document.querySelectorAll('#numbers fieldset[data-path] input')].map((each) => each.id)")
    numbers = {**told["readings"], **settings_of(told)}
    for field in order:
        reading = field.removeprefix("r.")
        if reading in numbers and reading not in more:
            enter_number(keys, reading, numbers[reading], knowledge)
    keys.tab_to(text="More readings")
    keys.press("Enter")
    for field in order:
        if field.removeprefix("r.") in more:
            enter_number(keys, field.removeprefix("r."), told["readings"][field.removeprefix("r.")], knowledge)
    keys.tab_to(text="Pool and equipment")
    keys.press("Enter")
    keys.tab_to(id="spread")
    keys.type(told["pool"]["volume-uncertainty"])
    for field in page.evaluate("[...document.querySelectorAll('#numbers select[data-path]')].map((each) => each.id)"):
        word = {**told["pool"], **told["equipment"]}.get(field.removeprefix("c-"))
        if word is not None:
            keys.tab_to(id=field)
            keys.choose(knowledge.equipment[word].title if field == "c-profile" else word.replace("-", " "))
    if name == DEMO[0]:  # all the way back from the last field to the first: once is enough
        title_case(keys, told["title"], backwards=True)
    keys.tab_to(id="save-result")
    keys.settled()
    with page.expect_download() as saving:
        keys.press("Enter")

    expected = command_line("diagnose", str(demo_path(name)), "--format", "json")
    assert without_name(saving.value.path().read_text(encoding="utf-8")) == without_name(expected)
    first = json.loads(expected)["causes"][0]["title"]
    assert page.locator("[data-panel=likely] h3").first.inner_text() == first
    assert first in page.locator("#status").inner_text()


def title_case(keys: Keys, title: str, backwards: bool = False) -> None:
    keys.tab_to(backwards, id="case-title")
    keys.type(title)


def settings_of(told: dict[str, Any]) -> dict[str, str]:
    """The numbers of pool and equipment by the ids of their fields."""
    equipment = told["equipment"]
    band = {f"salt-band-{end}": text for end, text in equipment["salt-band"].items()}
    plain = {key: value for key, value in equipment.items() if isinstance(value, str) and value[0].isdigit()}
    return {"pool-volume": told["pool"]["volume"], **band, **plain}


def test_words_are_taken_and_questions_answered_with_single_keys(browser_page: Opened) -> None:
    """Ctrl+Enter reads the words, Enter takes them, then y, n and u answer one question after the other."""
    page = browser_page("/support", width=1440)
    keys = Keys(page)
    page.wait_for_selector(".asking")
    keys.press("Alt+1")
    keys.type("the low salt light is on, salt 2100 ppm")
    keys.press("Control+Enter")
    page.locator("#take:focus").wait_for()
    keys.press("Enter")
    keys.settled()
    look = page.locator(".asking").first.get_attribute("data-id")
    keys.tab_to(text="None of these")
    keys.press("Enter")
    page.locator(f".asking[data-id='{look}']").wait_for(state="detached")
    page.locator(".asking :focus").wait_for()

    asked = []
    for key in ("u", "n", "u"):
        keys.settled()
        asked.append(page.locator(".asking").first.get_attribute("data-id"))
        if page.locator(".asking").first.locator(".number").count():
            keys.tab_to(text="Cannot be measured")
            keys.press("Enter")
        else:
            keys.press(key)
        page.locator(f".asking[data-id='{asked[-1]}']").wait_for(state="detached")

    told = page.locator("#told").inner_text()
    assert len(set(asked)) == 3
    assert "Yes: Low-salt warning" in told
    assert page.locator("[id='r.salt']").input_value() == "2100"


def test_a_refused_number_is_said_and_marked(browser_page: Opened) -> None:
    """And goes again when it is mended."""
    page = browser_page("/support", width=1440)
    page.wait_for_selector(".asking")
    with page.expect_response("**/support/panels"):
        page.fill("[id='r.ph']", "77")
        page.press("[id='r.ph']", "Tab")
    page.wait_for_selector("#refused li")

    assert "readings.ph" in page.locator("#refused").inner_text()
    assert page.locator("[id='r.ph']").get_attribute("aria-invalid") == "true"
    page.fill("[id='r.ph']", "7.7")
    page.press("[id='r.ph']", "Tab")
    page.wait_for_selector("#refused", state="hidden")


def test_a_case_file_is_loaded_shown_and_saved(browser_page: Opened) -> None:
    page = browser_page("/support", width=1440)
    page.wait_for_selector(".asking")
    page.set_input_files("#load", demo_path("scaled-plates-hard-water"))
    page.locator("#status", has_text="Most likely").wait_for()

    with page.expect_download() as saving:
        page.click("#save")

    assert json.loads(saving.value.path().read_text(encoding="utf-8")) == demo_data("scaled-plates-hard-water")
    assert page.locator("[id='r.calcium-hardness']").input_value() == "520"
    expected = command_line("diagnose", str(demo_path("scaled-plates-hard-water")), "--for", "support")
    assert page.locator("#summary").input_value() == expected
