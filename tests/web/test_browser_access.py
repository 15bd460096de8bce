"""The pages for everybody: axe-core, narrow and zoomed screens, dark, keyboard, and a first page that is light."""

import gzip
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from web_scenes import demo_path
from web_walks import begin, go, open_folds, press, take_case

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]
# axe-core 4.14.1, Mozilla Public License 2.0; its rules tagged for WCAG 2.0 to 2.2, levels A and AA.
AXE = Path(__file__).parent / "vendor" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: "Page") -> list[str]:
    """Whatever axe finds, as 'rule (impact): place'."""
    # A content security policy rightly forbids foreign script: the checker is put in through the debugger's door.
    page.evaluate(AXE.read_text(encoding="utf-8") + "; null")
    found: dict[str, Any] = page.evaluate(
        "(tags) => axe.run(document, {runOnly: tags, resultTypes: ['violations']})", TAGS
    )
    assert found["passes"], "axe checked nothing"
    return [
        f"{each['id']} ({each['impact']}): {node['target']} {node.get('failureSummary', '')}"
        for each in found["violations"]
        for node in each["nodes"]
    ]


def on_look(page: "Page") -> None:
    pass


def on_words(page: "Page") -> None:
    begin(page)
    page.fill("#words", "low salt light on, big rain, chlorine 0.8 ppm, my uncle likes jazz records")
    page.locator(".heard-rows").wait_for()


def on_spot(page: "Page") -> None:
    page.goto("/owner/spot/look-at-the-box")


def on_list(page: "Page") -> None:
    go(page, "list")


def on_refused_numbers(page: "Page") -> None:
    go(page, "numbers")
    page.fill("[id='r.ph']", "77")
    press(page, page.locator(".main-button").first)


def on_pool(page: "Page") -> None:
    go(page, "pool")


def on_question(page: "Page") -> None:
    begin(page)
    press(page, page.locator("#go-on"))
    press(page, page.locator("button[name=answer]").last)


def on_stop(page: "Page") -> None:
    press(page, page.locator(".danger-row").nth(1))


def on_result(page: "Page") -> None:
    take_case(page, demo_path("low-salt-after-rain").read_text(encoding="utf-8"))


def on_report(page: "Page") -> None:
    on_result(page)
    page.get_by_role("button", name="Page to print", exact=True).evaluate(
        "(each) => each.removeAttribute('formtarget')"
    )
    page.get_by_role("button", name="Page to print", exact=True).click()
    page.wait_for_selector(".report")


def on_parts(page: "Page") -> None:
    page.goto("/parts")


PAGES = [
    on_look, on_words, on_spot, on_list, on_refused_numbers, on_pool, on_question, on_stop, on_result, on_report,
    on_parts,
]  # fmt: skip


@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("there", PAGES, ids=lambda there: there.__name__)
def test_axe_finds_nothing(browser_page: Opened, there: Callable[["Page"], None], dark: bool, width: int) -> None:
    """Nothing at all, of whatever weight; contrast in both schemes; on a phone and at a desk."""
    page = browser_page("/", width=width, dark=dark)
    there(page)
    open_folds(page)
    page.wait_for_timeout(150)  # the change of a button's colour takes 0.12 s

    assert violations(page) == []


@pytest.mark.parametrize("there", PAGES, ids=lambda there: there.__name__)
def test_nothing_is_cut_off_at_320_pixels(browser_page: Opened, there: Callable[["Page"], None]) -> None:
    """WCAG 1.4.10: no scrolling in two directions at 320 px, which is 1280 px at 400 % zoom."""
    page = browser_page("/", width=320)
    there(page)
    open_folds(page)

    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    wide = page.evaluate(
        """[...document.querySelectorAll('main *')].filter((each) => {
             const box = each.getBoundingClientRect();
             return box.width > 0 && box.right > 321 && !each.closest('textarea, svg, .hush');
           }).map((each) => each.outerHTML.slice(0, 80))"""
    )
    assert wide == []


@pytest.mark.parametrize("there", PAGES, ids=lambda there: there.__name__)
def test_targets_are_large_enough(browser_page: Opened, there: Callable[["Page"], None]) -> None:
    """WCAG 2.5.8: 24 by 24 px at least; links inside a sentence are exempt. Answers of the owner: 44 px."""
    page = browser_page("/", width=360)
    there(page)

    small = page.evaluate(
        """[...document.querySelectorAll('button, select, input:not([type=hidden]), summary')].filter((each) => {
             const box = (each.closest('label') || each).getBoundingClientRect();
             return each.checkVisibility() && box.width > 0 && (box.width < 24 || box.height < 24);
           }).map((each) => each.outerHTML.slice(0, 80))"""
    )
    assert small == []
    for height in page.evaluate("[...document.querySelectorAll('.answer')].map((e) => e.offsetHeight)"):
        assert height >= 44


def test_the_owner_gets_through_by_keyboard(browser_page: Opened) -> None:
    """Skip link first; past the look; the words; focus always to be seen, and on the head of each new page."""
    page = browser_page("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    while page.evaluate("document.activeElement.textContent") != "None of these":
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("#words")
    assert page.evaluate("document.activeElement.tagName") == "H1"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "words"
    page.keyboard.type("the low salt light is on")
    page.locator(".heard-rows").wait_for()
    while page.evaluate("document.activeElement.id") != "go-on":
        page.keyboard.press("Tab")
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    page.wait_for_selector("[name=asked]", state="attached")
    assert page.evaluate("document.activeElement.tagName") == "H1"


def test_the_first_page_is_light(browser_page: Opened) -> None:
    """At most 6 requests and 35 kB as they would be packed for the way (gzip, RFC 1952)."""
    page = browser_page("about:blank")
    sizes: dict[str, int] = {}
    page.on("response", lambda answer: sizes.__setitem__(answer.url, len(gzip.compress(answer.body(), 6))))
    page.goto("/")
    page.wait_for_load_state("networkidle")

    assert 4 <= len(sizes) <= 6
    assert sum(sizes.values()) < 35_000


def test_nothing_moves_while_a_page_comes(browser_page: Opened) -> None:
    """Cumulative layout shift (Layout Instability, W3C) of the first page, and of a step by answer."""
    page = browser_page("about:blank")
    page.add_init_script(
        "window.moved = 0; new PerformanceObserver((list) => { for (const each of list.getEntries())"
        " if (!each.hadRecentInput) window.moved += each.value; }).observe({type: 'layout-shift', buffered: true});"
    )
    page.goto("/")
    page.wait_for_load_state("networkidle")
    assert page.evaluate("window.moved") == 0
    begin(page)
    page.wait_for_timeout(700)
    assert page.evaluate("window.moved") == 0


def test_meaning_is_not_by_colour_alone(browser_page: Opened) -> None:
    """In shades of grey the result still says it: words for verdicts, outlines for evidence against, an edged ring."""
    page = browser_page("/")
    on_result(page)
    open_folds(page)

    assert page.locator(".caution-line .sign").count() > 0
    for off in page.locator(".fact-off").all_inner_texts():
        assert any(word in off for word in ("▼", "▲", "at the limit"))
    for row in page.locator(".water li").all():
        if row.locator("svg").count():
            assert any(word in row.inner_text() for word in ("in the range", "below", "above", "edge"))
    assert page.locator(".ring-edge").first.evaluate("(each) => getComputedStyle(each).strokeWidth") == "8px"
    for bar in page.locator(".bar-against").all():
        assert bar.evaluate("(each) => getComputedStyle(each).strokeWidth") == "2px"


def test_print_hides_the_forms_and_the_fold(browser_page: Opened) -> None:
    """On paper stands what to do; sums and the rest only where all of it was asked for."""
    page = browser_page("/")
    on_result(page)
    page.emulate_media(media="print")

    assert not page.locator("form").first.is_visible()
    assert page.locator(".steps li").first.is_visible()
    assert not page.locator(".sum li").first.is_visible()
    assert not page.locator(".thumb").first.is_visible()


def test_all_of_it_to_print_shows_the_sums(browser_page: Opened) -> None:
    page = browser_page("/")
    on_result(page)
    with page.expect_popup() as opened:
        page.get_by_role("button", name="All of it to print").click()
    report = opened.value
    report.locator(".more.whole").wait_for()
    report.emulate_media(media="print")

    assert report.locator(".sum li").first.is_visible()
