"""Practice in a browser: axe, a narrow phone and a desk, both schemes, keyboard, and no script at all."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from test_browser_access import violations

from practice_numbers import BUBBLE

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]


def entered(page: "Page", field: str, text: str) -> None:
    """Type and press Enter, as whoever works by keyboard does."""
    page.fill(field, text)
    with page.expect_navigation():
        page.locator(field).press("Enter")


def on_opening(page: "Page") -> None:
    pass


def on_answer(page: "Page") -> None:
    entered(page, "#text", "is there white crust on the plates")
    assert page.locator(".newest").inner_text().endswith("No.")


def on_choice(page: "Page") -> None:
    entered(page, "#text", "is the water warm or the pump slow")
    assert page.locator(".picks-list button").count() > 1


def on_decision(page: "Page") -> None:
    on_answer(page)
    with page.expect_navigation():
        page.get_by_role("button", name="Decide").click()


def on_unclear(page: "Page") -> None:
    on_decision(page)
    entered(page, "#cause", "gas in the cell")
    assert page.locator(".problem").count() >= 2


def on_score(page: "Page") -> None:
    on_unclear(page)
    page.locator("input[name=danger][value=no]").check()
    page.locator("input[name=cause-id]").first.check()
    entered(page, "#first", "switch-production-off")
    assert "3 of 3 right" in page.locator("h1").inner_text()


def on_missed(page: "Page") -> None:
    page.goto("/practice?call=5")
    with page.expect_navigation():
        page.get_by_role("button", name="Decide").click()
    page.locator("input[name=danger][value=no]").check()
    entered(page, "#cause", "")
    assert page.locator("main").inner_text().startswith("Danger missed")


VIEWS = (on_opening, on_answer, on_choice, on_unclear, on_score, on_missed)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [360, 1366])
@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.__name__.removeprefix("on_"))
def test_every_view_is_accessible_and_fits(
    browser_page: Opened, view: Callable[["Page"], None], width: int, dark: bool
) -> None:
    """Nothing for axe, nothing to scroll sideways; by keyboard alone where a field is left with Enter."""
    page = browser_page(f"/practice?call={BUBBLE}", width=width, dark=dark)
    view(page)

    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_whole_call_works_without_script(browser_page: Opened) -> None:
    page = browser_page(f"/practice?call={BUBBLE}", width=360, script=False)
    on_score(page)
    with page.expect_navigation():
        page.get_by_role("link", name="The same call again").click()
    assert page.locator("blockquote").first.inner_text() == "Low-salt warning."
