"""What the desk shows without scrolling, measured by boxes; narrow screens; what cannot be seen but must be there."""

from collections.abc import Mapping

import pytest
from desk_hands import Hands, Opened, at_desk
from test_browser_access import violations
from web_scenes import demo_path

SCREENS = [(1366, 768), (1440, 900), (1920, 1080)]
LEAST_READINGS = 10  # the kit, in its order


def below_the_fold(hands: Hands, wanted: Mapping[str, int]) -> list[str]:
    """What of the wanted (selector -> how many at least) is not wholly inside the window and its own column."""
    found: list[str] = hands.page.evaluate(
        """(wanted) => Object.entries(wanted).flatMap(([selector, least]) => {
             const all = [...document.querySelectorAll(selector)];
             const seen = all.filter((each) => {
               const box = each.getBoundingClientRect();
               const column = each.closest('#told, .d-column, body').getBoundingClientRect();
               return box.width > 0 && box.height > 0 && box.top >= column.top - 1 && box.left >= 0
                 && box.bottom <= Math.min(column.bottom, innerHeight) + 1 && box.right <= innerWidth + 1;
             });
             return seen.length >= Math.min(least, Math.max(all.length, 1))
               ? [] : [`${selector}: ${seen.length} of ${all.length}`];
           })""",
        dict(wanted),
    )
    return found


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_at_the_start_nothing_that_matters_is_below_the_fold(browser_page: Opened, width: int, height: int) -> None:
    hands = at_desk(browser_page, width, height)
    wanted = {
        "#caller": 1, "#danger": 1, "#ask": 1, "#ask .asking": 7, "#ask [data-answer]": 2, "#add": 1, "#told": 1,
        "#notes": 1, ".d-grid .d-row": LEAST_READINGS, "#end": 1, "#case-title": 1,
    }  # fmt: skip

    assert below_the_fold(hands, wanted) == []


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_in_the_middle_of_a_call_nothing_that_matters_is_below_the_fold(
    browser_page: Opened, width: int, height: int
) -> None:
    """Words heard, danger line, next question with its keys, causes, what is off, the dose, the kit, what was told."""
    hands = at_desk(browser_page, width, height)
    hands.page.set_input_files("#load", demo_path("low-salt-after-rain"))
    hands.page.locator(".d-tag").wait_for()
    hands.press("Alt+1")
    hands.type("It had low salt before. My uncle Bert plays the tuba.")
    hands.settled()
    hands.answer("n")
    wanted = {
        "#caller": 1, "#unheard": 1, "#danger": 1, "#ask": 1, "#ask [data-answer]": 3, "#last": 1, ".d-tag": 1,
        ".d-lead": 1, ".d-causes li": 5, ".d-off": 4, ".d-grid .d-row": LEAST_READINGS, "#told li": 3, "#notes": 1,
        "#begun": 1, ".d-pool": 1,
    }  # fmt: skip

    assert below_the_fold(hands, wanted) == []
    assert hands.page.evaluate("document.scrollingElement.scrollHeight") <= height


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_under_danger_orders_and_their_question_are_seen(browser_page: Opened, width: int, height: int) -> None:
    hands = at_desk(browser_page, width, height)
    hands.page.set_input_files("#load", demo_path("low-salt-after-rain"))
    hands.page.locator(".d-tag").wait_for()
    hands.press("Alt+1")
    hands.type("My daughter felt a tingle at the ladder.")
    hands.page.locator("#danger[data-danger=life]").wait_for()
    hands.settled()
    wanted = {
        "#danger button": 1, "#ask .d-orders li": 9, "#ask [data-answer]": 3, ".d-rescue": 1, "#caller": 1,
        ".d-grid .d-row": LEAST_READINGS,
    }  # fmt: skip

    assert below_the_fold(hands, wanted) == []


def test_a_list_of_numbers_leaves_room_for_what_to_do(browser_page: Opened) -> None:
    """Four numbers asked at once, and below them still what to do now, at 1366x768."""
    hands = at_desk(browser_page, 1366, 768)
    hands.type("low salt light on, salt 2100 ppm")
    hands.settled()
    hands.answer("n")
    for _ in range(8):
        if hands.page.locator("#ask .d-asked").count() > 2:
            break
        hands.answer("u")
    asked = hands.page.locator("#ask .d-asked").count()
    assert asked > 2, "no list of numbers was asked"

    wanted = {"#ask .d-asked": asked, "#ask [data-answer]": 2, "#last": 1, ".d-act": 1, ".d-steps li": 1}
    assert below_the_fold(hands, wanted) == []


def test_the_measure_sees_what_lies_below_the_fold(browser_page: Opened) -> None:
    """On a window of half the height things are below it, and the measure says so."""
    hands = at_desk(browser_page, 1366, 500)

    assert below_the_fold(hands, {".d-grid .d-row": 19}) != []


def test_the_order_of_tab_is_the_order_of_the_kit(browser_page: Opened) -> None:
    """Value, unit, method; then the next reading, in the order in which the rules list the kit."""
    hands = at_desk(browser_page)
    kit = hands.page.evaluate("[...document.querySelectorAll('.d-grid .d-row')].slice(0, 4).map((e) => e.dataset.row)")
    hands.press("Alt+3")
    steps = []
    for _ in range(11):
        steps.append(
            hands.page.evaluate(
                "`${document.activeElement.closest('.d-row').dataset.row} ${document.activeElement.className}`"
            )
        )
        hands.press("Tab")

    assert kit[:3] == ["free-chlorine", "total-chlorine", "ph"]
    assert steps[:8] == [
        *(f"{row} {part}" for row in kit[:2] for part in ("d-value", "d-unit", "d-method")),
        "ph d-value", "ph d-method",
    ]  # fmt: skip


@pytest.mark.parametrize("width", [1099, 683, 320])
def test_below_1100_pixels_it_is_one_column(browser_page: Opened, width: int) -> None:
    """200 % zoom on a screen of 1366 px, and 400 % on one of 1280: one column, no scrolling sideways."""
    hands = at_desk(browser_page, width, 700)
    hands.page.set_input_files("#load", demo_path("low-salt-after-rain"))
    hands.page.locator(".d-tag").wait_for()

    assert hands.page.evaluate("document.documentElement.scrollWidth") <= width
    lefts = hands.page.evaluate(
        "[...document.querySelectorAll('.d-column')].map((e) => e.getBoundingClientRect().left)"
    )
    assert len(set(lefts)) == 1


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("view", ["start", "words", "list", "danger", "keep-out", "help", "calls", "search", "lost"])
def test_axe_finds_nothing_on_any_view_of_the_desk(browser_page: Opened, view: str, dark: bool) -> None:
    hands = at_desk(browser_page, dark=dark)
    page = hands.page
    if view in ("words", "calls"):
        hands.type("low salt light after heavy rain, pool full to the rim, salt 2100, the box shows 2200, tuba music")
        hands.settled()
    if view == "list":
        page.set_input_files("#load", demo_path("flow-warning-air-in-system"))
        page.locator("#status", has_text="Most likely").wait_for()
        hands.press("Alt+2")
        hands.alive()
        hands.press("y")
        hands.settled()
    if view == "danger":
        hands.type("My daughter felt a tingle at the ladder.")
        page.locator("#danger[data-danger=life]").wait_for()
    if view == "keep-out":
        hands.press("Alt+3")
        hands.tab_to(id="r.ph")
        hands.type("6.0")
        hands.press("Tab")
        page.locator("#danger[data-danger=unfit]").wait_for()
    if view in ("help", "calls"):
        hands.press("Alt+2", {"help": "?", "calls": "a"}[view])
    if view == "search":
        hands.search()
        hands.type("cloudy")
        page.locator("#found li").first.wait_for()
    if view == "lost":
        page.evaluate("window.line.down = true; null")
        hands.press("Alt+3")
        hands.type("77")
        hands.press("Enter")
        page.locator("#line:not([hidden])").wait_for()
    hands.page.wait_for_timeout(200)  # a new question fades in for 0.12 s

    assert violations(page) == []


def test_without_script_the_page_says_where_to_go(browser_page: Opened) -> None:
    page = browser_page("/support", script=False)

    assert "needs its script" in page.locator("noscript").inner_text()
    assert page.locator("noscript a").get_attribute("href") == "/"


def test_the_desk_is_light(browser_page: Opened) -> None:
    """All it needs for the first question is under 250 kB before it is packed, headers left out.

    The list of the search comes after it, once, and is kept by the browser.
    """
    page = browser_page("about:blank")
    sizes: dict[str, int] = {}
    page.on("response", lambda answer: sizes.__setitem__(answer.url, len(answer.body())))
    page.goto("/support")
    page.wait_for_selector(".asking")
    page.wait_for_load_state("networkidle")

    lists = [url for url in sizes if url.endswith("/support/symptoms")]
    assert len(lists) <= 1
    for url in lists:
        assert sizes.pop(url) < 300_000
    assert len(sizes) >= 5
    assert sum(sizes.values()) < 250_000
