"""Dangers at the desk: heard, ticked and taken back; orders to read aloud in place of advice."""

from desk_hands import Opened, at_desk
from web_scenes import demo_path

from saltriage.interview.question import NOBODY_LOOKS

TINGLE = "My daughter felt a tingle at the ladder."


def test_the_line_says_that_the_look_was_not_asked_and_then_that_it_was(browser_page: Opened) -> None:
    """Rust words at first, brine and the time when all lines were denied; 'ask again' brings the look back."""
    hands = at_desk(browser_page)
    page = hands.page
    line = page.locator("#danger")
    look = hands.question()
    assert line.get_attribute("data-danger") == "open"
    assert "not asked yet" in line.inner_text()

    hands.answer("n")
    assert line.get_attribute("data-danger") == "none"
    clock = page.evaluate("new Date().toTimeString().slice(0, 4)")
    assert f"Asked {clock}" in line.inner_text()
    assert "Danger look, none of 7" in page.locator("#told").inner_text()
    hands.press("Alt+2", "d")
    hands.settled()
    assert hands.question() == look


def test_a_danger_in_the_words_shows_at_once_and_holds_advice_back(browser_page: Opened) -> None:
    """Red line with the words, orders in the order of the rules, no cause and no dose, readings still there."""
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator(".d-tag").wait_for()
    hands.press("Alt+1")
    hands.type(TINGLE)
    page.locator("#danger[data-danger=life]").wait_for()
    hands.settled()

    assert "felt a tingle" in page.locator("#danger").inner_text()
    orders = page.locator("#ask .d-orders li").all_inner_texts()
    assert orders[0].startswith("“Everybody out of the water")
    assert any("emergency number" in each for each in orders)
    assert page.locator(".d-tag, .d-causes, .d-steps").count() == 0
    assert page.locator("[id='r.salt']").input_value() == "2100"
    assert "danger, open" in page.locator("#calls").inner_text()
    assert "d-main" not in (page.locator("#end").get_attribute("class") or "")
    assert hands.at()["id"] == "caller"
    assert page.locator("#marks .d-mark-danger").inner_text() == "felt a tingle"


def test_whether_all_are_out_is_asked_and_kept_and_lifts_nothing(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    page = hands.page
    hands.type(TINGLE)
    page.locator("#danger[data-danger=life]").wait_for()
    hands.settled()
    hands.press("Alt+2")
    hands.alive()
    hands.press("n")

    assert page.locator("#ask [data-answer=no]").get_attribute("aria-pressed") == "true"
    assert "everybody out and well: no" in page.locator("#last").inner_text()
    assert "Call the emergency services." in page.locator(".d-rescue").inner_text()
    assert page.locator("#danger").get_attribute("data-danger") == "life"
    assert hands.call()["safe"] == "no"


def test_once_everybody_is_out_the_desk_asks_on_and_still_gives_no_dose(browser_page: Opened) -> None:
    """Only what the caller knows; causes come back, what to do does not; another danger stops it again."""
    hands = at_desk(browser_page)
    page = hands.page
    page.set_input_files("#load", demo_path("low-salt-after-rain"))
    page.locator(".d-tag").wait_for()
    hands.press("Alt+1")
    hands.type(TINGLE)
    page.locator("#danger[data-danger=life]").wait_for()
    hands.settled()
    hands.press("Alt+2")
    hands.alive()
    assert page.locator(".d-causes").count() == 0
    hands.press("y")
    hands.settled()
    assert "danger-gas" in hands.question()
    assert "danger-electricity" not in hands.question()
    hands.alive()
    hands.press("u")
    hands.settled()

    assert NOBODY_LOOKS in page.locator("#ask").inner_text()
    assert page.locator(".d-causes li").count() > 0
    assert page.locator(".d-tag, .d-steps").count() == 0
    assert page.locator("#danger").get_attribute("data-danger") == "life"
    hands.press("Alt+1")
    hands.type(" My boy cannot breathe after the gas from the acid. ")
    page.locator("#ask .d-orders").wait_for()

    assert NOBODY_LOOKS not in page.locator("#ask").inner_text()
    assert hands.call()["safe"] == "yes:stop-tingle"


def test_misheard_is_taken_back_and_stays_taken_back(browser_page: Opened) -> None:
    """One press; the words stay as they were said, more words do not bring the danger back, and Z does."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type(TINGLE)
    page.locator("#danger[data-danger=life]").wait_for()
    hands.settled()
    hands.press("Alt+2")
    hands.alive()
    hands.press("x")
    hands.settled()
    assert page.locator("#danger").get_attribute("data-danger") in ("open", "unsure", "none")
    hands.press("Alt+1")
    hands.type(" The water is cloudy. ")
    page.locator("#told", has_text="cloudy").wait_for()
    hands.settled()

    assert page.locator("#danger").get_attribute("data-danger") != "life"
    assert page.locator("#caller").input_value().startswith(TINGLE)
    hands.press("Alt+2")
    hands.alive()
    hands.press("z")
    page.locator("#danger[data-danger=life]").wait_for()


def test_a_ticked_line_of_the_look_raises_its_danger(browser_page: Opened) -> None:
    """A digit ticks, Enter takes: the ticked one is so, the others are denied."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+2")
    hands.alive()
    rows = hands.question().split("+")
    gas = rows.index("danger-gas") + 1
    hands.press(str(gas))
    assert page.locator("#ask [aria-pressed=true]").count() == 1
    assert page.locator(".d-rest").inner_text() == "Only what is ticked"
    hands.press("Enter")
    page.locator("#danger[data-danger=life], #danger[data-danger=harm]").wait_for()

    said = {id: each["said"] for id, each in hands.call()["answers"].items()}
    assert said == {row: "yes" if row == "danger-gas" else "no" for row in rows}
    assert page.locator("#ask .d-orders li").count() >= 2


def test_a_keep_out_level_stands_above_the_normal_result(browser_page: Opened) -> None:
    """Unfit water: said in red words, and causes and doses stay, since they are what makes it fit again."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+3")
    hands.tab_to(id="r.ph")
    hands.type("6.0")
    hands.press("Tab")
    page.locator("#danger[data-danger=unfit]").wait_for()
    hands.settled()

    assert "Keep out of the water" in page.locator("#danger").inner_text()
    assert page.locator(".d-act").count() == 1
    assert hands.question() != ""
