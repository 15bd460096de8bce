"""The pages of accounts in a browser: by keyboard and without script, axe-core, narrow and wide, light and dark."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from test_browser_access import violations

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.passwords import Passwords
from saltriage.desk.accounts.roles import Role
from saltriage.desk.opening import init_desk, open_desk
from saltriage.knowledge import Knowledge
from saltriage.web.settings import DeskSettings, Settings
from web_server import running

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

WORDS = "seven violet ladders humming"
Shown = Callable[..., "Page"]


@pytest.fixture
def browser_page(_browser: "Browser", knowledge: Knowledge, tmp_path: Path) -> Iterator[Shown]:
    """Opens pages of a desk with accounts; the name is that of the browser's fixture, by which it is left out."""
    at = str(tmp_path / "desk.db")
    users = Accounts(init_desk(at)[0].connected, Passwords(is_cheap=True)).users
    users.add("mo", Role.maintainer, WORDS, "tests")
    users.add("kim.tolben", Role.agent, WORDS, "mo")
    contexts: list[BrowserContext] = []
    desk = DeskSettings(at, "here", needs_accounts=True, cheap_passwords=True)
    with running(knowledge, Settings(desk=desk)) as base:

        def opened(path: str, width: int = 1366, height: int = 768, dark: bool = False, script: bool = True) -> "Page":
            context = _browser.new_context(
                base_url=base,
                viewport={"width": width, "height": height},
                color_scheme="dark" if dark else "light",
                java_script_enabled=script,
            )
            contexts.append(context)
            page = context.new_page()
            page.goto(path)
            return page

        yield opened
        for context in contexts:
            context.close()


def sign_in(page: "Page", name: str = "mo") -> None:
    """By keyboard alone; the field for the name has the focus, on a busy machine after a while."""
    expect(page.locator("#name")).to_be_focused(timeout=20_000)
    page.keyboard.type(name)
    page.keyboard.press("Tab")
    page.keyboard.type(WORDS)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/login" not in url)


def test_in_by_keyboard_and_without_script_and_out(browser_page: Shown) -> None:
    """On to the page that one wanted; the cookies are out of reach for script; after signing out Back shows nothing."""
    page = browser_page("/desk/users", script=False)
    sign_in(page)
    assert page.url.endswith("/desk/users")
    assert {each["name"]: (each["httpOnly"], each["sameSite"]) for each in page.context.cookies()} == {
        "saltriage-session": (True, "Strict"),
        "saltriage-form": (True, "Strict"),
    }
    page.goto("/account")
    page.get_by_role("button", name="Sign out everywhere").click()
    page.wait_for_url(lambda url: url.endswith("/login"))
    page.go_back()
    page.wait_for_url(lambda url: "/login" in url)
    assert "maintainer, you" not in page.content()


def test_a_session_that_ends_during_a_call_loses_nothing(browser_page: Shown, tmp_path: Path) -> None:
    """A call is kept under the name that signed in; once that one is out, the page asks him in and has it still."""
    page = browser_page("/support")
    sign_in(page)
    page.locator("[data-do=new]").click()
    with page.expect_response(lambda sent: sent.request.method == "PUT") as kept:
        page.fill("#case-title", "Mara Tolben")
        page.fill("#caller", "the low salt light is on since the rain ")
    assert kept.value.status == 200
    assert kept.value.json()["by"] == "mo"
    Accounts(open_desk(str(tmp_path / "desk.db")).connected).log_out_everywhere("mo")
    page.fill("#caller", "the low salt light is on since the rain and the ladder is loose ")
    page.wait_for_url(lambda url: "/login?next=" in url)
    page.locator("#name").focus(timeout=20_000)
    sign_in(page)
    with page.expect_response(lambda sent: sent.request.method == "PUT") as kept:
        page.wait_for_url(lambda url: "/support#" in url)
    expect(page.locator("#caller")).to_have_value(re.compile("ladder is loose"), timeout=20_000)
    assert kept.value.status == 200
    assert "ladder is loose" in kept.value.json()["case"]["said"]
    assert page.get_by_role("link", name="Account of mo").is_visible()


def change_over(page: "Page", name: str) -> None:
    """Who works here signs out, and another signs in and goes to the support page."""
    page.goto("/account")
    page.get_by_role("button", name="Sign out", exact=True).click()
    page.wait_for_url(lambda url: url.endswith("/login"))
    page.goto("/support")
    sign_in(page, name)
    page.locator("body[data-ready]").wait_for()


def test_what_one_agent_left_unsent_is_never_sent_as_anothers(browser_page: Shown, tmp_path: Path) -> None:
    """It is neither shown to the other, who is told that it is there, and goes when its agent signs in again."""
    desk = open_desk(str(tmp_path / "desk.db"))
    page = browser_page("/support")
    sign_in(page)
    page.locator("body[data-ready]").wait_for()
    page.evaluate("() => { window.fetch = () => Promise.reject(new TypeError('no line')); }")  # also as it ends
    page.fill("#case-title", "Mara Tolben")
    page.fill("#caller", "the low salt light is on since the rain ")
    expect(page.locator("#kept")).to_contain_text("kept in this browser", timeout=20_000)
    address = page.url

    change_over(page, "kim.tolben")
    expect(page.locator("#calls")).to_contain_text("Not sent by mo: 1 call")
    page.wait_for_timeout(1500)  # what is left is sent at once, and what is typed after 0.7 s
    assert desk.since("") == []
    assert "Mara" not in page.locator("#calls").inner_text()
    page.goto(address)
    page.reload()
    page.locator("body[data-ready]").wait_for()
    assert page.locator("#case-title").input_value() == ""

    change_over(page, "mo")
    expect(page.locator("#calls")).to_contain_text("Mara Tolben")
    for _ in range(100):
        if desk.since(""):
            break
        page.wait_for_timeout(100)
    assert [(each.by, each.name) for each in desk.since("")] == [("mo", "Mara Tolben")]


def test_a_page_that_another_signed_in_beside_sends_nothing_as_his(browser_page: Shown, tmp_path: Path) -> None:
    """A session is the whole browser's: the tab of before becomes the other's, and what was typed in it waits."""
    desk = open_desk(str(tmp_path / "desk.db"))
    page = browser_page("/support")
    sign_in(page)
    page.locator("body[data-ready]").wait_for()
    with page.expect_response(lambda sent: sent.request.method == "PUT"):
        page.fill("#case-title", "Mara Tolben")
    other = page.context.new_page()
    change_over(other, "kim.tolben")
    with page.expect_response(lambda sent: sent.request.method == "PUT") as refused:
        page.fill("#caller", "the low salt light is on since the rain ")
    assert refused.value.status == 403
    page.locator('body[data-agent="kim.tolben"][data-ready]').wait_for()
    page.wait_for_timeout(1500)

    assert "rain" not in str(desk.call(1).case)
    assert {each.who for each in desk.changes(1, 0)} == {"mo"}
    assert page.locator("#case-title").input_value() == ""
    other.close()
    change_over(page, "mo")
    for _ in range(100):
        if "rain" in str(desk.call(1).case):
            break
        page.wait_for_timeout(100)
    assert "rain" in str(desk.call(1).case)
    assert {each.who for each in desk.changes(1, 0) if each.version} == {"mo"}


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [360, 1366])
def test_the_pages_are_for_everybody(browser_page: Shown, width: int, dark: bool) -> None:
    """WCAG 2.2 A and AA by axe-core, nothing wider than the screen, what is pressed at least 24 px (2.5.8)."""
    page = browser_page("/login", width, 640 if width == 360 else 768, dark)

    def fits() -> None:
        assert violations(page) == [], page.url
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), page.url
        sizes = page.locator("button:visible, summary:visible, main input:not([type=hidden]):visible").evaluate_all(
            "all => all.map(each => each.getBoundingClientRect().height)"
        )
        assert min(sizes, default=24) >= 24, page.url

    fits()
    page.fill("#name", "mo")
    page.fill("#password", "wrong")
    page.keyboard.press("Enter")
    page.get_by_role("alert").wait_for()
    fits()
    page.locator("#name").focus()
    sign_in(page)
    for path in ("/account", "/desk/trail", "/desk/users"):
        page.goto(path)
        for place in page.locator("summary").all():
            if place.is_visible():
                place.click()
        fits()
