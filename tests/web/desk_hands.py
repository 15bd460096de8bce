"""A pair of hands at the support desk, and a line to the server that can be slow or lost."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

__all__ = ["Hands", "Opened", "at_desk", "slow_line"]

Opened = Callable[..., "Page"]
MOST_TABS = 400

# Answers are held back in the page itself: a route of the test would stop its hands as well.
_LINE = """
window.line = {down: false, delays: [0]};
const sent = window.fetch;
window.fetch = async (address, options) => {
  if (window.line.down) throw new TypeError("no line");
  const {delays} = window.line;
  const slow = /panels|words/.test(String(address));
  const wait = !slow ? 0 : delays.length > 1 ? delays.shift() : delays[0];
  const answer = await sent(address, options);
  await new Promise((done) => setTimeout(done, wait));
  return answer;
};
"""


def slow_line(page: "Page", *delays: int) -> None:
    """From now on the answers of panels and words come so many ms late, one after the other; the last goes on."""
    page.evaluate("(delays) => { window.line.delays = delays; }", list(delays))


# The browsers of the tests say that they are in the United States; most tests type metric numbers.
_METRIC = "localStorage['saltriage.desk.choices'] ||= '{\"units\": \"metric\"}';"


def at_desk(opened: Opened, width: int = 1440, height: int = 900, dark: bool = False) -> "Hands":
    """The desk with its first question shown, in metric units."""
    page = opened("about:blank", width=width, dark=dark)
    page.set_viewport_size({"width": width, "height": height})
    page.add_init_script(_LINE + _METRIC)
    page.goto("/support")
    page.wait_for_selector(".asking")
    hands = Hands(page)
    hands.settled()
    return hands


class Hands:
    """Presses keys; sets no value by script."""

    def __init__(self, page: "Page") -> None:
        self.page = page

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, text: str, delay: float = 0) -> None:
        self.page.keyboard.type(text, delay=delay)

    def at(self) -> dict[str, str]:
        """What has the focus."""
        found: dict[str, str] = self.page.evaluate(
            "(({id, tagName, textContent}) => ({id, tag: tagName, text: textContent.trim()}))(document.activeElement)"
        )
        return found

    def tab_to(self, backwards: bool = False, **wanted: str) -> None:
        """Tab until the focus is on what is wanted: by id or text."""
        for _ in range(MOST_TABS):
            if all(self.at()[key] == value for key, value in wanted.items()):
                return
            self.press("Shift+Tab" if backwards else "Tab")
        pytest.fail(f"cannot be reached by keyboard: {wanted}")

    def choose(self, text: str) -> None:
        """In a list that has the focus: type the beginning of the entry."""
        self.type(text)
        assert self.page.evaluate("document.activeElement.selectedOptions[0].textContent").strip() == text

    def settled(self) -> None:
        """Wait until the words were listened to and the panels show all that was told."""
        self.page.locator("body:not([aria-busy]):not([data-listening])").wait_for()

    def search(self) -> None:
        """To the search, once it knows what it looks through."""
        self.press("Alt+4")
        self.page.locator("#add[data-ready]").wait_for()

    def question(self) -> str:
        """Ids of the question that is shown, joined by +; 'more' where it is asked whether to ask on."""
        ids = self.page.eval_on_selector_all(
            "#ask .asking", "(all) => all.map((each) => each.dataset.id || each.dataset.kind)"
        )
        return "+".join(ids)

    def alive(self) -> None:
        """Wait until the card takes keys again: 0.4 s after it changed."""
        self.page.wait_for_timeout(450)

    def answer(self, key: str) -> None:
        """One key on the question card, and wait for what comes of it."""
        self.press("Alt+2")
        self.alive()
        self.press(key)
        self.settled()

    def call(self) -> dict[str, Any]:
        """The call as it is kept in the browser, once it is."""
        self.page.wait_for_timeout(200)
        kept: dict[str, Any] = self.page.evaluate(
            "JSON.parse(localStorage.getItem('saltriage.desk.call.' + location.hash.slice(1)))"
        )
        return kept
