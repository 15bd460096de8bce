"""Addresses, Back, reload, two tabs, resuming and a bad line: what an owner has told is never lost."""

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from web_scenes import demo_path
from web_walks import begin, go, press, take_case

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]


def asked(page: "Page") -> str:
    return page.locator("[name=asked]").input_value()


def case_of(page: "Page") -> dict[str, Any]:
    case: dict[str, Any] = json.loads(page.locator("[name=state]").first.input_value())["case"]
    return case


def to_second_question(page: "Page") -> tuple[str, str]:
    """The first and the second question."""
    begin(page)
    press(page, page.locator("#go-on"))
    first = asked(page)
    press(page, page.locator("button[name=answer]").last)
    return first, asked(page)


def test_every_step_has_its_address(browser_page: Opened) -> None:
    page = browser_page("/")
    begin(page)
    assert page.url.endswith("/owner/words")
    press(page, page.locator("#go-on"))
    assert page.url.endswith("/owner/question/1")
    go(page, "result")
    assert page.url.endswith("/owner/result")


def test_back_and_forward_of_the_browser_show_the_pages_of_before(browser_page: Opened) -> None:
    """Also without a line: what was loaded goes on being there."""
    page = browser_page("/")
    first, second = to_second_question(page)
    page.context.set_offline(True)

    page.go_back()
    assert asked(page) == first
    page.go_back()
    assert page.locator("#words").count() == 1
    page.go_forward()
    page.go_forward()
    assert asked(page) == second


def test_a_reload_keeps_everything(browser_page: Opened) -> None:
    page = browser_page("/")
    take_case(page, demo_path("low-salt-after-rain").read_text(encoding="utf-8"))
    before = case_of(page)
    page.reload()
    page.locator("#code").wait_for()

    assert case_of(page) == before
    assert page.url.endswith("/owner/result")


def test_a_reload_without_a_line_opens_what_the_browser_has_kept(browser_page: Opened) -> None:
    page = browser_page("/")
    _, second = to_second_question(page)
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.context.set_offline(True)
    page.reload()
    page.locator("[name=asked]").wait_for(state="attached")

    assert asked(page) == second
    page.go_back()
    assert page.locator("[name=asked]").count() == 1


def test_an_answer_without_a_line_is_kept_and_sent_when_it_is_back(browser_page: Opened) -> None:
    """A rust line says so; nothing has to be tapped again."""
    page = browser_page("/")
    _, second = to_second_question(page)
    page.context.set_offline(True)
    page.locator("button[name=answer]").last.click()
    page.locator(".line-note").wait_for()
    assert asked(page) == second
    assert "kept" in page.locator(".line-note").inner_text()

    page.context.set_offline(False)
    page.locator(".line-note").wait_for(state="detached")
    page.wait_for_function("(asked) => document.querySelector('[name=asked]')?.value !== asked", arg=second)
    carried = json.loads(page.locator("[name=state]").first.input_value())
    assert carried["trail"].count(second) == 1


def test_a_case_is_resumed_in_another_tab(browser_page: Opened) -> None:
    """The first page offers it; a tab of its own goes its own way."""
    page = browser_page("/")
    _, second = to_second_question(page)
    other = page.context.new_page()
    other.goto("/")
    press(other, other.locator(".resume-draft"))
    assert asked(other) == second
    press(other, other.locator("button[name=answer]").last)

    assert asked(page) == second
    page.reload()
    page.locator("[name=asked]").wait_for(state="attached")
    assert asked(page) == second, "the first tab stays where it was"


def test_typed_words_outlast_a_reload(browser_page: Opened) -> None:
    page = browser_page("/")
    begin(page)
    page.fill("#words", "the low salt light is on")
    page.reload()
    page.locator(".heard-rows").wait_for()

    assert page.locator("#words").input_value() == "the low salt light is on"


def test_ticked_steps_stay_ticked(browser_page: Opened) -> None:
    page = browser_page("/")
    take_case(page, demo_path("low-salt-after-rain").read_text(encoding="utf-8"))
    page.locator(".steps input[type=checkbox]").nth(1).check()
    page.reload()
    page.locator("#code").wait_for()

    ticked = [box.is_checked() for box in page.locator(".steps input[type=checkbox]").all()]
    assert ticked[:3] == [False, True, False]


def test_work_that_takes_long_is_said(browser_page: Opened) -> None:
    """After 150 ms; a second tap meanwhile is not taken for another answer."""
    page = browser_page("/")
    begin(page)
    sent: list[str] = []

    def slow(route: Any) -> None:
        sent.append(route.request.post_data)
        page.wait_for_timeout(900)
        route.continue_()

    page.route("**/owner", slow)
    page.locator("#go-on").dblclick()
    page.locator(".word-busy").wait_for()
    page.locator("[name=asked]").wait_for(state="attached")

    assert len(sent) == 1
    assert page.locator(".word-busy").count() == 0


def test_an_address_without_a_case_says_where_to_begin(browser_page: Opened) -> None:
    """Without script nothing can be taken up, and the page says so; with it, and nothing kept, too."""
    for script in (True, False):
        page = browser_page("/owner/result", script=script)
        assert "start again" in page.locator("main").inner_text()
