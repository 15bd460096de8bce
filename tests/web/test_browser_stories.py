"""Six callers on a phone: taps and screens until the right thing to do stands on the screen.

Most callers are those of a review by a stranger, who counted 9, 13, 16 and 19 taps and up to 9 screens with the first
pages; their facts are invented here anew. A tap is one press of a finger; typing counts as one, however long it is.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest
from web_walks import begin, press

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]


@dataclass(frozen=True)
class Story:
    """One caller. Args: words: typed; ticks: made instead. yes, numbers: what is so. right: in the headline or
    as the first cause. taps, screens: at most, as measured; the aim is 8 and 5."""

    words: str
    right: str
    taps: int
    screens: int
    ticks: tuple[str, ...] = ()
    yes: frozenset[str] = frozenset()
    numbers: Mapping[str, str] = field(default_factory=dict)


AIR = frozenset(
    {"flow-warning", "air-under-pump-lid", "bubbles-at-return", "equipment-opened-lately", "return-jets-weak"}
)
STORIES = {
    "no-chlorine-in-sun": Story(
        "no chlorine at all on sunny days, chlorine 0, stabiliser 10, pH 7,4", "Add chlorine by hand", 6, 5,
        numbers={"pool-volume": "45"},
    ),
    "flow-light-by-words": Story(
        "flow light came on after I cleaned the filter, bubbles at the jets", "Let the air out of the filter", 8, 5,
        yes=AIR,
    ),
    "flow-light-ticked": Story(
        "", "Let the air out of the filter", 9, 7, ticks=("flow-warning", "bubbles-at-return"), yes=AIR
    ),
    "scale": Story(
        "white crust in the cell, it says inspect cell, hardness 500", "Lime has built up in the cell", 7, 6,
        yes=frozenset({"plates-scaled"}),
    ),
    "cold-water": Story(
        "low salt light is on, I tested 3200 by drops, water is 12 degrees", "too cold", 5, 5,
        yes=frozenset({"water-cold", "cooler-weather"}), numbers={"salt-shown": "2500"},
    ),
    "cold-water-in-autumn": Story(
        "it is autumn, the box says low salt, the water is 11 degrees C", "too cold", 5, 5,
        yes=frozenset({"water-cold", "cooler-weather"}), numbers={"salt-shown": "2500"},
    ),
}  # fmt: skip


class Counted:
    """A page with a counter of taps and screens."""

    def __init__(self, page: "Page") -> None:
        self.page, self.taps, self.screens = page, 0, 1

    def tap(self, selector: str) -> None:
        self.taps += 1
        self.page.locator(selector).first.click()

    def next(self, selector: str) -> None:
        self.taps += 1
        self.screens += 1
        press(self.page, self.page.locator(selector).first)


def tell(walk: Counted, story: Story) -> None:
    """Words typed or ticked, and on to the questions."""
    begin(walk.page)
    walk.taps, walk.screens = walk.taps + 1, walk.screens + 1
    if story.words:
        walk.taps += 1
        walk.page.locator("#words").press_sequentially(story.words)
        walk.page.locator("[name=seen]").evaluate("(each, words) => new Promise((done) => { const look = () =>"
            " each.value === words ? done() : setTimeout(look, 30); look(); })", story.words)  # fmt: skip
        for row in walk.page.locator(".heard-rows li.asked [type=radio][value=yes]").all():
            said = str(row.get_attribute("name")).removeprefix("s.")
            walk.tap(f"[name='s.{said}'][value={'yes' if said in story.yes else 'no'}]")
        walk.next("#go-on")
        return
    walk.tap(".complaints summary")
    for each in story.ticks:
        walk.tap(f".complaints [name='s.{each}'][type=checkbox]")
    walk.next("#go-on")


def answer(walk: Counted, story: Story) -> None:
    """One question, as the caller knows."""
    page = walk.page
    lines = page.locator("[name=asked]").input_value().split("+")
    if page.locator("fieldset.number").count():
        known = [each for each in lines if each in story.numbers]
        for each in known:
            walk.taps += 1
            page.locator(f"[name='r.{each}.value']").fill(story.numbers[each])
        walk.next(f"button[name=answer][value={'unknown' if not known else 'list' if len(lines) > 1 else 'number'}]")
    elif len(lines) > 1:
        for each in lines:
            if each in story.yes:
                walk.tap(f"[name='s.{each}'][type=checkbox]")
        walk.next("button[name=answer][value=no]")
    else:
        walk.next(f"button[name=answer][value={'yes' if lines[0] in story.yes else 'no'}]")


def says(page: "Page", story: Story) -> bool:
    """Whether the result names what is right, first."""
    head = page.locator("h1").inner_text()
    first = page.locator(".candidate h3").first
    return story.right in head or (first.count() > 0 and story.right in first.inner_text())


def to_result(opened: Opened, story: Story, questions: int) -> Counted | None:
    """After so many questions 'Show the result so far'; None where that does not say the right thing."""
    walk = Counted(opened("/", width=360))
    tell(walk, story)
    for _ in range(questions):
        if not walk.page.locator("[name=asked]").count():
            break
        answer(walk, story)
    if walk.page.locator("[name=asked]").count():
        walk.next(".thumb button[name=go][value=result], nav.ways button[value=result]")
    return walk if says(walk.page, story) else None


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(STORIES))
def test_a_caller_gets_to_what_to_do(browser_page: Opened, name: str) -> None:
    """The fewest questions after which the result so far is right, and what it took."""
    story = STORIES[name]
    found = next((walk for count in range(1, 9) if (walk := to_result(browser_page, story, count)) is not None), None)

    assert found is not None, "never right"
    print(f"\n{name}: {found.taps} taps, {found.screens} screens: {found.page.locator('h1').inner_text()}")
    assert found.taps <= story.taps
    assert found.screens <= story.screens
