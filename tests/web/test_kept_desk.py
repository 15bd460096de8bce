"""The support page on a kept desk: a whole morning by keyboard; two people on one call; a line that is lost.

All callers are invented and live in Lindenwyk, which is invented, too.
"""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import httpx
import pytest
from desk_hands import Hands, Opened
from test_browser_access import violations
from test_desk_layout import below_the_fold

from figure_calls import year_of_calls
from saltriage.case import Case
from saltriage.desk.call import Call, Person
from saltriage.desk.checking import check_desk
from saltriage.desk.desk import Desk
from saltriage.desk.opening import init_desk
from saltriage.desk.taking import call_of
from saltriage.desk.times import after, now, start_of_today
from saltriage.knowledge import Knowledge
from saltriage.web.settings import DeskSettings, Settings
from web_server import running

if TYPE_CHECKING:
    from playwright.sync_api import Page

RAIN = {
    "case": "rain", "said": "low salt after the rain", "symptoms": {"low-salt-warning": "yes", "heavy-rain": "yes"},
    "readings": {"salt": "2100 mg/L"}, "pool": {"volume": "42 m3"},
}  # fmt: skip


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "desk.db"


@pytest.fixture
def desk(file: Path) -> Desk:
    return init_desk(str(file))[0]


@pytest.fixture
def address(knowledge: Knowledge, desk: Desk, file: Path) -> Iterator[str]:
    """In place of the server that keeps nothing: Kim's."""
    with running(knowledge, Settings(desk=DeskSettings(str(file), "kim"))) as base:
        yield base


@pytest.fixture
def at_kept(browser_page: Opened) -> Callable[..., Hands]:
    """The support page of the kept desk, once it is ready."""

    def opened(path: str = "/support", width: int = 1366, height: int = 768, dark: bool = False) -> Hands:
        page = browser_page("about:blank", width=width, dark=dark)
        page.set_viewport_size({"width": width, "height": height})
        page.goto(path)
        page.locator("body[data-ready] .asking").first.wait_for()
        hands = Hands(page)
        hands.settled()
        return hands

    return opened


def is_kept(page: "Page") -> None:
    """Wait until all that was told is on the desk."""
    page.locator("#kept", has_text="kept as call").wait_for()
    page.wait_for_function(
        """() => {
             const call = JSON.parse(localStorage.getItem('saltriage.desk.of.kim.call.' + location.hash.slice(1)));
             return call && call.kept && call.kept.number && !call.kept.sending.length;
           }"""
    )


def take(hands: Hands, name: str, phone: str, words: str, known: bool = False) -> None:
    """C, number, name, words. Whoever rang before is taken by Enter, and the words follow at once."""
    hands.press("Alt+2")
    hands.press("c")
    hands.press("Alt+7")
    hands.type(phone)
    if known:
        hands.page.locator("#before", has_text="it is").wait_for()
        hands.press("Enter")
        assert hands.page.locator("#case-title").input_value() == name
    else:
        hands.press("Alt+6")
        hands.type(name)
        hands.press("Alt+1")
    hands.type(words)
    hands.settled()
    assert hands.at()["id"] == "caller"


def end(hands: Hands, *taps: str) -> None:
    """E, and one or two taps."""
    hands.press("Alt+2")
    hands.alive()
    hands.press("e")
    hands.page.locator("#close[open] [data-way]").first.wait_for()
    for tap in taps:
        hands.press(tap)
    hands.page.locator("#close:not([open])").wait_for(state="attached")
    hands.settled()


def way(hands: Hands, words: str) -> str:
    """The key of a line of the outcome, once the dialog is open."""
    key = hands.page.locator("#close [data-way]", has_text=words).first.get_attribute("data-way")
    assert key
    return key


def seeded(desk: Desk, knowledge: Knowledge) -> None:
    """Three calls of yesterday with what was promised then."""
    for name, phone in (("Odo Brandt", "0171 555 0201"), ("Iva Korpan", "0171 555 0202"), ("Rut Osk", "0171 555 0203")):
        call = call_of(Case.from_data(RAIN, knowledge), knowledge, "lee", Person(name, phone, "Lindenwyk"))
        yesterday = after(now(), -24.0)
        due = tuple(replace(each, due=after(each.due, -24.0)) for each in call.due)
        desk.take(replace(call, taken=yesterday, due=due))


NEW = (
    ("Tomas Rell", "0171 555 0301", "my daughter felt a tingle at the ladder"),
    ("Marta Ilves", "0171 555 0302", "the low salt light came on after a week of heavy rain, salt 2100 mg/L by drops"),
    ("Sunniva Dahl", "0171 555 0303", "white crust on the plates"),
    ("Joren Pauk", "0171 555 0304", "the water is green"),
    ("Hedda Quist", "0171 555 0305", "chlorine is gone every afternoon, sunny all week"),
    ("P. Aldane", "0171 555 0306", "water is only 12 degrees and the cell has stopped"),
    ("Ada Venn", "0171 555 0307", "the flow light blinks, air bubbles at the jets"),
    ("Kost Lind", "0171 555 0308", "the display says check cell"),
    ("Emil Pray", "0171 555 0309", "pump hums and does not start"),
    ("Lia Sorn", "0171 555 0310", "the timer runs at night only"),
)
AGAIN = (("Marta Ilves", "+49 171 5550302", "the light is on again"), ("Odo Brandt", "0171-5550201", "it is still low"))


def talk(hands: Hands, name: str, words: str) -> None:
    """What is done on the line once the caller has told his story."""
    page = hands.page
    if "tingle" in words:
        page.locator("#danger[data-danger=life]").wait_for()
        assert page.locator("#ask .d-orders li").count() >= 1
        hands.answer("y")  # everybody is out and well: the look for other dangers comes next
        assert page.locator("#danger").get_attribute("data-danger") == "life"
        assert page.locator("[data-panel=do] .d-tag").count() == 0
        is_kept(page)
        return  # the call stays open: an electrician has to come
    hands.answer("n")  # the look for dangers
    hands.answer("u")
    is_kept(page)
    if name == "Marta Ilves":
        end(hands, "2", "2")  # the first cause, by a test
    elif name == "Sunniva Dahl":
        hands.press("Alt+2")
        hands.alive()
        hands.press("h")
        page.locator("#more-shown [data-copy=bundle]").wait_for()
        hands.press("Escape")
        end(hands, "1")  # the talk is over, the outcome comes later
    elif name == "Lia Sorn":
        hands.press("Alt+2")
        hands.alive()
        hands.press("e")
        page.locator("#close[open] [data-way]").first.wait_for()
        hands.press(way(hands, "Not solved"), "1")
        page.locator("#close:not([open])").wait_for(state="attached")


@pytest.mark.long
def test_a_morning_at_the_desk_by_keyboard(at_kept: Callable[..., Hands], desk: Desk, knowledge: Knowledge) -> None:
    """Twelve calls, one danger, two who ring again, one hand-over, three follow-ups; no hand on the mouse."""
    seeded(desk, knowledge)
    hands = at_kept()
    page = hands.page
    page.locator('[data-list="due"] b', has_text="3").wait_for()

    for name, phone, words in NEW:
        take(hands, name, phone, words)
        talk(hands, name, words)
    for name, phone, words in AGAIN:
        take(hands, name, phone, words, known=True)
        assert "Rang before" in page.locator("#before-status").inner_text()
        hands.answer("n")
        is_kept(page)
    for _ in range(3):  # what was promised yesterday
        hands.press("Alt+2")
        hands.alive()
        hands.press("w")
        page.locator("#promised button").wait_for()
        hands.settled()
        hands.press("Alt+2")
        hands.alive()
        hands.press("v")
        page.locator("#promised button").wait_for(state="detached")
        end(hands, "2", "3")  # the first cause; the cure worked

    assert desk.due(now()) == []
    lines = {each.number: each for each in desk.since("")}
    today = sorted((each for each in desk.since(start_of_today()) if each.number > 3), key=lambda each: each.number)
    assert [each.name for each in today] == [name for name, *_ in (*NEW, *AGAIN)]
    assert [each.name for each in today if each.danger == "life"] == ["Tomas Rell"]
    assert sorted(each.number for each in lines.values() if not each.is_open) == [1, 2, 3, 5, 13]
    marta = desk.call(5).outcome
    assert marta is not None
    assert (marta.how, [each.id for each in marta.confirmed]) == ("test", ["salt-diluted-by-rain"])
    assert [len(desk.calls_from(phone)) for _, phone, _ in AGAIN] == [2, 2]
    said = {name: words for name, _, words in NEW}
    for call in map(desk.call, range(4, 14)):
        assert call.person is not None
        assert call.case["said"] == said[call.person.name]
        assert len(call.findings) == 1, "a diagnosis for every letter"
    assert check_desk(desk.connected) == (15, [])


def theirs(address: str, uid: str, change: Callable[[dict[str, Any]], None]) -> None:
    """Somebody else at another page tells something on the call as it is now."""
    base = f"{address}/api/v1/desk/calls/{uid}"
    call = httpx.get(base, trust_env=False).json()
    sent = {
        "seen": call["version"], "case": call["case"], "person": call["person"], "asked": call["asked"],
        "questions": call["questions"], "minutes": call["minutes"], "ring-back": call["ring-back"],
        "sheet": {**call["sheet"], "mark": "theirs"},
    }  # fmt: skip
    change(sent)
    assert httpx.put(base, json=sent, trust_env=False).status_code == 200


def test_two_on_one_call_lose_nothing(
    at_kept: Callable[..., Hands], desk: Desk, file: Path, knowledge: Knowledge
) -> None:
    """What only one told is kept of both, while one goes on typing; what both told differently is asked about."""
    hands = at_kept()
    page = hands.page
    hands.type("the low salt light is on")
    hands.settled()
    is_kept(page)
    uid = page.url.partition("#")[2]

    def change(sent: dict[str, Any]) -> None:
        sent["sheet"]["notes"] = "Lee was here"
        for told in (sent["case"], sent["sheet"]["facts"]):
            told.setdefault("readings", {})["ph"] = 7.8
        sent["sheet"]["answers"]["foam"] = {"said": "yes", "from": "added"}
        sent["sheet"]["order"].append("foam")
        sent["case"].setdefault("symptoms", {})["foam"] = "yes"

    with running(knowledge, Settings(desk=DeskSettings(str(file), "lee"))) as other:
        theirs(other, uid, change)
    hands.press("Alt+3")
    hands.tab_to(id="r.ph")
    hands.type("7.2")
    hands.press("Alt+1", "End")
    hands.type(" and there is a crust", delay=60)
    page.locator("#clash li").wait_for()
    hands.type(" on the plates")
    hands.settled()

    assert page.locator("#caller").input_value() == "the low salt light is on and there is a crust on the plates"
    assert hands.at()["id"] == "caller"
    assert page.locator("#notes").input_value() == "Lee was here"
    assert "Foam" in page.locator("#told").inner_text()
    assert "lee works on this call, too" in page.locator("#met").inner_text()
    assert "lee told 7.8, you 7.2" in page.locator("#clash").inner_text()
    assert desk.call(1).case["readings"]["ph"] == {"value": 7.8}  # until somebody chooses
    assert violations(page) == []
    hands.press("Alt+2")
    hands.alive()
    hands.press("g")
    hands.tab_to(text="keep 7.2 for pH of the water")
    hands.press("Enter")
    page.wait_for_function("() => document.querySelector('#clash').hidden")
    page.wait_for_timeout(1500)
    is_kept(page)

    kept = desk.call(1)
    assert kept.case["readings"]["ph"] == {"value": 7.2}
    assert kept.case["symptoms"] == {"foam": "yes", "low-salt-warning": "yes"}
    assert str(kept.case["said"]).endswith("crust on the plates")
    assert kept.typed_notes == "Lee was here"
    assert check_desk(desk.connected) == (1, [])


def test_what_a_lost_line_held_back_arrives_once(at_kept: Callable[..., Hands], desk: Desk) -> None:
    """Two calls told without a line, and the answer to a save lost on the way: each is on the desk once."""
    hands = at_kept()
    page = hands.page
    hands.type("the low salt light is on")
    hands.settled()
    is_kept(page)
    page.context.set_offline(True)
    hands.type(" after rain")
    page.locator("#kept", has_text="kept in this browser").wait_for()
    hands.press("Alt+2")
    hands.alive()
    hands.press("c")
    hands.type("a second caller")
    hands.press("Alt+7")
    hands.type("0171 555 0999")
    page.locator("#calls", has_text="not sent yet").wait_for()
    assert desk.call(1).case["said"] == "the low salt light is on"

    page.context.set_offline(False)
    is_kept(page)
    page.locator("#calls li", has_text="0171 555 0999").wait_for()
    for _ in range(50):
        if desk.call(1).case["said"] == "the low salt light is on after rain":
            break
        page.wait_for_timeout(100)
    # Now the desk gets a save, and the page never hears of it.
    page.route("**/api/v1/desk/calls/*", lambda route: (route.fetch(), route.abort())[1])
    hands.press("Alt+5")
    hands.type("has the kit")
    page.locator("#kept", has_text="kept in this browser").wait_for()
    hands.type(", back at five")
    page.unroute("**/api/v1/desk/calls/*")
    for _ in range(150):  # tries are up to four seconds apart by now
        if desk.call(2).typed_notes.endswith("at five"):
            break
        page.wait_for_timeout(100)
    is_kept(page)

    assert [each.number for each in desk.since("")] == [2, 1]
    assert desk.call(1).case["said"] == "the low salt light is on after rain"
    assert desk.call(2).typed_notes == "has the kit, back at five"
    assert page.locator("#clash").is_hidden()
    assert check_desk(desk.connected) == (2, [])


def test_a_reload_and_another_browser_show_the_same_call(at_kept: Callable[..., Hands], desk: Desk) -> None:
    """What was told, by whom, and what is on the way to be told; a browser keeps no call that is not open in it."""
    hands = at_kept()
    page = hands.page
    take(hands, "Mara Tolben", "0171 555 0134", "the low salt light is on")
    hands.answer("n")
    hands.press("Alt+5")
    hands.type("Son has the kit")
    page.wait_for_timeout(1500)
    is_kept(page)
    told = page.locator("#told").inner_text()
    other = at_kept(f"/support{page.url.partition('/support')[2]}", dark=True)
    other.page.locator("#case-title").wait_for()
    other.settled()

    assert other.page.locator("#case-title").input_value() == "Mara Tolben"
    assert other.page.locator("#told").inner_text() == told
    assert other.page.locator("#notes").input_value() == "Son has the kit"
    other.press("Alt+2")
    other.alive()
    other.press("c")
    other.page.wait_for_timeout(300)
    left = other.page.evaluate("Object.keys(localStorage).filter((each) => each.includes('.call.'))")
    assert left == []
    held = json.loads(page.evaluate("localStorage['saltriage.desk.of.kim.call.' + location.hash.slice(1)]"))
    assert desk.call(1).version == held["kept"]["version"]


SCREENS = [(1366, 768), (1440, 900)]


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_with_a_kept_desk_nothing_that_matters_is_below_the_fold(
    at_kept: Callable[..., Hands], width: int, height: int
) -> None:
    """As without one, and also who calls, the lists of the rail, and the ways to find a call."""
    hands = at_kept(width=width, height=height)
    take(hands, "Mara Tolben", "0171 555 0134", "low salt light after heavy rain, salt 2100 mg/L by drops, 42 m3")
    hands.answer("n")
    is_kept(hands.page)
    wanted = {
        "#caller": 1, "#danger": 1, "#ask": 1, "#ask [data-answer]": 2, "#add": 1, "#told li": 2, "#notes": 1,
        ".d-grid .d-row": 10, "#end": 1, "#case-title": 1, "#phone": 1, "#address": 1, "#ring": 1, "[data-list]": 3,
        "[data-do=calls]": 1, "#kept": 1, ".d-lead": 1,
    }  # fmt: skip

    assert below_the_fold(hands, wanted) == []


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("view", ["rail", "again", "outcome", "how", "find", "help", "narrow"])
def test_axe_finds_nothing_on_the_views_of_a_kept_desk(
    at_kept: Callable[..., Hands], desk: Desk, knowledge: Knowledge, view: str, dark: bool
) -> None:
    seeded(desk, knowledge)
    hands = at_kept(width=360 if view == "narrow" else 1366, dark=dark)
    page = hands.page
    take(hands, "Mara Tolben", "0171 555 0134", "low salt light after heavy rain")
    hands.answer("n")
    is_kept(page)
    hands.press("Alt+2")
    hands.alive()
    if view in ("rail", "narrow"):
        hands.press("o", "o")
        page.locator("#calls .d-rusty").first.wait_for()
    if view == "again":
        hands.press("c", "Alt+7")
        hands.type("0171 555 0201")
        page.locator("#before .d-quiet").wait_for()
    if view in ("outcome", "how"):
        hands.press("e")
        page.locator("#close[open]").wait_for()
        hands.press(*("2" if view == "how" else ""))
    if view in ("find", "help"):
        hands.press({"find": "a", "help": "?"}[view])
        page.wait_for_timeout(400)
    page.wait_for_timeout(300)

    assert page.evaluate("document.documentElement.scrollWidth") <= (360 if view == "narrow" else 1366)
    assert violations(page) == []


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1366, 360])
def test_the_figures_are_read_by_everybody(browser_page: Opened, desk: Desk, width: int, dark: bool) -> None:
    """axe finds nothing, with every table unfolded; no scrolling sideways; nothing needs a script."""
    for call in invented_calls():
        desk.save(call, "kim", 0)
    page = browser_page("/support/figures", width=width, dark=dark)

    assert page.locator(".d-strips li").count() >= 5
    assert page.locator("circle").count() >= 3
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert page.locator(".d-as-table table").count() == 5
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert violations(page) == []


def test_figures_of_a_desk_without_calls(browser_page: Opened) -> None:
    page = browser_page("/support/figures")

    assert "No call was kept" in page.locator(".d-empty").inner_text()
    assert violations(page) == []


def test_figures_fit_on_two_sheets(browser_page: Opened, desk: Desk) -> None:
    for call in invented_calls():
        desk.save(call, "kim", 0)
    page = browser_page("/support/figures")
    sheets = len(re.findall(rb"/Type\s*/Page[^s]", page.pdf(prefer_css_page_size=True)))

    assert 1 <= sheets <= 2


def invented_calls() -> list[Call]:
    """Ninety days of an invented village."""
    return list(year_of_calls(150, seed=4))
