"""Ways through the pages that several tests take."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

__all__ = ["begin", "downloaded", "fill_case", "go", "open_folds", "press", "take_case", "without_name"]

SETTING_IDS = {"volume": "pool-volume"}


def press(page: "Page", button: "Locator") -> None:
    """Press a button that sends the form, and wait for the page that comes, with script or without."""
    page.evaluate("document.querySelector('main').dataset.old = 'yes'; null")
    button.click()
    page.locator("main:not([data-old])").wait_for()


def begin(page: "Page") -> None:
    """Past the look for danger, to the words."""
    press(page, page.get_by_role("button", name="None of these"))


def go(page: "Page", where: str) -> None:
    """To another page: by its address from the start, by the links at its end from everywhere else."""
    if page.locator(".look-form").count():
        page.goto(f"/owner/{where}")
    else:
        press(page, page.locator(f"nav.ways button[value={where}]"))


def open_folds(page: "Page") -> None:
    """Everything that is folded, unfolded."""
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")


def take_case(page: "Page", text: str) -> None:
    """Take up a saved case or a code."""
    page.goto("/owner/words")
    page.get_by_text("Go on with a saved case or code").click()
    page.fill("#saved-case", text)
    press(page, page.get_by_role("button", name="Take this case"))


def fill_case(page: "Page", case: Mapping[str, Any]) -> None:
    """Tell everything that a case file says, by the forms; ends on the result."""
    go(page, "list")
    open_folds(page)
    for symptom, said in case["symptoms"].items():
        page.locator(f"select[name='s.{symptom}']").select_option(said)
    go(page, "numbers")
    page.locator("details > summary").click()
    for reading, entry in case["readings"].items():
        _fill(page, reading, entry)
    go(page, "pool")
    for section in ("pool", "equipment"):
        for key, value in case[section].items():
            _fill_fact(page, key, value)
    if "title" in case:
        page.locator("[name='c.title']").fill(case["title"])
    go(page, "result")


def _fill_fact(page: "Page", key: str, value: Any) -> None:
    if key == "salt-band":
        for end, text in value.items():
            _fill(page, f"salt-band-{end}", text)
    elif key == "volume-uncertainty":
        page.locator("[name='c.volume-uncertainty']").fill(value)
    elif page.locator(f"select[name='c.{key}']").count():
        page.locator(f"select[name='c.{key}']").select_option(value)
    else:
        _fill(page, SETTING_IDS.get(key, key), value)


def _fill(page: "Page", reading: str, entry: Any) -> None:
    parts = entry if isinstance(entry, dict) else None
    number, _, unit = ("", "", "") if parts else str(entry).partition(" ")
    page.locator(f"[name='r.{reading}.value']").fill(str(parts["value"]) if parts else number)
    unit = parts.get("unit", "") if parts else unit
    if unit:
        page.locator(f"[name='r.{reading}.unit']").select_option(unit)
    if parts and parts.get("method"):
        page.locator(f"[name='r.{reading}.method']").select_option(parts["method"])


def downloaded(page: "Page", button: "Locator") -> str:
    """The text of what a button lets one save."""
    with page.expect_download() as saving:
        button.click()
    return Path(saving.value.path()).read_text(encoding="utf-8")


def without_name(diagnosis: str) -> dict[str, Any]:
    """A diagnosis without the id of its case, which a page does not ask for."""
    data: dict[str, Any] = json.loads(diagnosis)
    del data["case"]
    return data
