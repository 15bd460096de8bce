"""Calls are kept in the browser: reload, Back, several calls, two windows, a lost line; undo and the search."""

import json

import pytest
from desk_hands import Opened, at_desk, slow_line
from web_scenes import demo_path


def test_a_reload_loses_nothing(browser_page: Opened) -> None:
    """Words, answers, numbers, half a number, notes, name, the look for dangers and the question."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("the low salt light is on")
    hands.settled()
    hands.answer("n")
    hands.press("Alt+6")
    hands.type("Mara Tolben")
    hands.press("Alt+5")
    hands.type("Calls back at five")
    hands.press("Alt+3")
    hands.type("0.8")
    hands.press("Enter")
    hands.settled()
    hands.tab_to(id="r.total-alkalinity")
    hands.type("7")  # on the way to 70
    before = (page.locator("#told").inner_text(), page.locator("#danger").inner_text(), hands.question())
    address = page.url
    page.wait_for_timeout(200)

    page.reload()
    page.wait_for_selector(".asking")
    hands.settled()

    assert page.url == address
    assert page.locator("#caller").input_value() == "the low salt light is on"
    assert page.locator("#notes").input_value() == "Calls back at five"
    assert page.locator("#case-title").input_value() == "Mara Tolben"
    assert page.locator("[id='r.free-chlorine']").input_value() == "0.8"
    assert page.locator("[id='r.total-alkalinity']").input_value() == "7"
    assert page.locator("#told").inner_text() == before[0]
    assert page.locator("#danger").inner_text() == before[1]
    assert hands.question() == before[2] or page.locator("[data-row=total-alkalinity]").count()
    hands.press("Alt+2")
    hands.alive()
    hands.press("z", "z")
    hands.settled()
    assert page.locator("[id='r.free-chlorine']").input_value() == ""


def test_several_calls_stand_in_the_rail_and_back_returns(browser_page: Opened) -> None:
    """Time, name, outcome; C begins a new one, a press opens an old one, Back goes to the one before."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+6")
    hands.type("First caller")
    hands.press("Alt+1")
    hands.type("the low salt light is on")
    hands.settled()
    first = page.url
    hands.press("Alt+2", "c")
    assert hands.at()["id"] == "caller"
    assert page.locator("#caller").input_value() == ""
    hands.press("Alt+6")
    hands.type("Second caller")
    page.wait_for_timeout(300)

    lines = page.locator("#calls .d-call-line")
    assert [each.split("\n")[1] for each in lines.all_inner_texts()] == ["Second caller", "First caller"]
    assert len(lines.last.inner_text().split("\n")[2].split()) <= 3
    page.go_back()
    page.locator("#calls [aria-current]", has_text="First caller").wait_for()
    assert page.url == first
    assert page.locator("#caller").input_value() == "the low salt light is on"
    hands.press("Alt+2", "a")
    hands.tab_to(id="calls-search")
    hands.type("salt light")
    assert page.locator("#all-calls .d-call-line").count() == 1


def test_two_windows_keep_both_their_calls(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+6")
    hands.type("Left window")
    page.wait_for_timeout(300)
    other = page.context.new_page()
    other.goto("/support")
    other.wait_for_selector(".asking")
    other.keyboard.press("Alt+6")
    other.keyboard.type("Right window")
    other.wait_for_timeout(300)
    page.bring_to_front()
    hands.press("Alt+5")
    hands.type("more")
    page.wait_for_timeout(300)

    names = page.evaluate("JSON.parse(localStorage.getItem('saltriage.desk.calls')).map((each) => each.name)")
    assert sorted(names) == ["Left window", "Right window"]
    assert page.locator("#calls .d-call-line").count() == 2


@pytest.mark.parametrize("rubbish", ["{", "[1, null]", '{"id": 3}', '"x"'])
def test_what_others_left_in_the_storage_stops_nothing(browser_page: Opened, rubbish: str) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    page.evaluate(
        "([rubbish, names]) => names.forEach((name) => localStorage.setItem(`saltriage.desk.${name}`, rubbish))",
        [rubbish, ["calls", "choices", "call.old"]],
    )
    page.goto("/support#old")
    page.reload()
    page.wait_for_selector(".asking")
    hands.press("Alt+6")
    hands.type("Still works")
    page.wait_for_timeout(300)

    assert page.locator("#calls .d-call-line").all_inner_texts()[0].split("\n")[1] == "Still works"


def test_a_lost_line_is_said_and_what_was_told_counts_when_it_is_back(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    page.evaluate("window.line.down = true; null")
    hands.press("Alt+3")
    hands.type("0.8")
    hands.press("Enter")
    page.locator("#line", has_text="kept in this browser").wait_for()
    hands.press("Alt+5")
    hands.type("line gone")
    assert hands.call()["facts"]["readings"]["free-chlorine"] == "0.8 mg/L"

    page.evaluate("window.line.down = false; null")
    page.locator(".d-row[data-row=free-chlorine][data-verdict=below]").wait_for()
    page.locator("#line").wait_for(state="hidden")


def test_undo_takes_answers_back_one_by_one(browser_page: Opened) -> None:
    """Z, as often as there was something; an arrow takes back any single one, and its question may be asked again."""
    hands = at_desk(browser_page)
    page = hands.page
    start = hands.question()
    hands.answer("n")
    second = hands.question()
    hands.answer("u")
    hands.press("Alt+2")
    hands.alive()
    hands.press("z")
    hands.settled()
    assert hands.question() == second
    hands.press("z")
    hands.settled()
    assert hands.question() == start
    assert "not asked yet" in page.locator("#danger").inner_text()
    hands.press("z")
    assert "Nothing to undo" in page.locator("#last").inner_text()

    hands.search()
    hands.type("foam")
    hands.press("Enter")
    hands.settled()
    line = page.locator("#told li", has_text="Foam")
    assert line.count() == 1
    flip = line.locator("button").first
    flip.focus()
    hands.press("Enter")
    assert (
        hands.page.locator("#told li", has_text="Foam")
        .locator("button")
        .first.get_attribute("aria-label")
        .startswith("No")
    )
    hands.press("Tab", "Enter")
    hands.settled()
    assert page.locator("#told li", has_text="Foam").count() == 0


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("cloudy", "Cloudy"),
        ("buzz", "Box hums or chatters loudly"),
        ("milky", "Water cloudy or milky"),
        ("pine needles", "Bits seen through the cell body"),
    ],
)
def test_the_search_finds_by_title_question_and_saying(browser_page: Opened, typed: str, found: str) -> None:
    """'buzz' and 'pine needles' are how callers say it and stand in no title."""
    hands = at_desk(browser_page)
    hands.search()
    hands.type(typed)
    options = hands.page.locator("#found [role=option] b")

    assert options.count() >= 1
    assert found.lower() in " ".join(options.all_inner_texts()).lower()
    hands.press("Enter")
    hands.settled()
    assert hands.page.locator("#told li").count() == 1
    assert hands.page.locator("#told .d-soft").first.inner_text() == "added"


def test_what_was_only_likely_is_asked_back_and_one_key_takes_it(browser_page: Opened) -> None:
    """Nothing likely is taken by itself; Alt+Y takes the first row, Alt+N denies it, and each is said."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("It came after a week of heavy rain. Pool was full to the rim.")
    rows = page.locator("#likely li:has(button)")
    rows.first.wait_for()
    hands.settled()
    call = hands.call()
    assert call["answers"] == {}
    assert all(0 < chance < 1 for chance in call["heard"]["hints"].values())
    assert len(call["heard"]["hints"]) >= 1
    titles = [each.inner_text().split("\n")[1] for each in rows.all()]
    page.wait_for_timeout(450)
    hands.press("Alt+y")
    hands.settled()
    page.wait_for_timeout(450)

    said = hands.call()["answers"]
    assert [each["said"] for each in said.values()] == ["yes"]
    assert titles[0] in page.locator("#told").inner_text()
    assert hands.at()["id"] == "caller"
    assert page.locator("#caller").input_value().endswith("the rim.")


def test_what_was_not_understood_is_shown_and_kept(browser_page: Opened) -> None:
    """Dotted in the text and quoted below it; the words stay in the case as they were said."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("the low salt light is on. My uncle Bert plays the tuba.")
    page.locator("#unheard", has_text="tuba").wait_for()
    hands.settled()
    assert "tuba" in " ".join(page.locator("#marks .d-mark-unheard").all_inner_texts())
    hands.press("Alt+2", "m", "7")
    hands.tab_to(id="save")
    with page.expect_download() as saving:
        hands.press("Enter")

    saved = json.loads(saving.value.path().read_text(encoding="utf-8"))
    assert saved["said"] == "the low salt light is on. My uncle Bert plays the tuba."
    assert saved["symptoms"] == {"low-salt-warning": "yes"}


def test_marks_lie_exactly_behind_the_words(browser_page: Opened) -> None:
    """Also after signs that a script counts twice, and when the field scrolls."""
    hands = at_desk(browser_page)
    page = hands.page
    page.keyboard.insert_text("\U0001f600 " + "hello there. " * 40 + "the low salt light is on")
    page.locator("#marks .d-mark-heard", has_text="low salt light").wait_for()
    places = page.evaluate(
        "[document.querySelector('#caller'), document.querySelector('#marks')]"
        ".map((each) => [each.scrollHeight, each.clientWidth, each.scrollTop])"
    )
    assert places[0] == places[1]
    assert places[0][2] > 0


def test_units_and_comma_are_kept(browser_page: Opened) -> None:
    """US units are remembered for the next call; 3,200 ppm of salt are three thousand, pH 7,4 is seven point four."""
    hands = at_desk(browser_page)
    page = hands.page
    page.locator("[data-units=us]").click()
    hands.settled()
    hands.press("Alt+3")
    hands.tab_to(id="r.ph")
    hands.type("7,4")
    hands.tab_to(id="r.salt")
    hands.type("3,200")
    hands.press("Enter")
    hands.settled()
    facts = hands.call()["facts"]
    assert facts["readings"] == {"ph": 7.4, "salt": "3200 ppm"}
    assert facts["units"] == "us"
    hands.press("Alt+2", "c")
    assert page.locator("[data-row=water-temperature] .d-unit").first.input_value() == "degF"


@pytest.mark.parametrize(("locale", "unit"), [("en-US", "degF"), ("en-GB", "degC"), ("de-DE", "degC")])
def test_units_are_those_of_the_country_until_one_chooses(browser_page: Opened, locale: str, unit: str) -> None:
    first = browser_page("/support")
    browser = first.context.browser
    assert browser is not None
    context = browser.new_context(locale=locale)
    page = context.new_page()
    page.goto(first.url.partition("#")[0])
    page.wait_for_selector(".asking")

    assert page.locator("[data-row=water-temperature] .d-unit").first.input_value() == unit
    context.close()


def test_causes_say_the_change_since_the_last_answer(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator("#status", has_text="Most likely").wait_for()
    before = page.locator(".d-lead").get_attribute("data-chance") or ""
    hands.search()
    hands.type("Salt added within the last two weeks")
    slow_line(page, 0)
    hands.press("Enter")
    hands.settled()
    lead = page.locator(".d-lead")
    after = lead.get_attribute("data-chance") or ""
    change = round(100 * (float(after) - float(before)))

    said = lead.locator(".d-change").inner_text().replace("−", "-")
    assert abs((int(said) if said else 0) - change) <= 1
    width = page.locator(".d-lead .d-fill").get_attribute("width")
    assert float(width or 0) == pytest.approx(100 * float(after), abs=0.06)
