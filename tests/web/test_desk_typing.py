"""Typing at the desk is never interrupted, and keys act on what is seen, however late the answers come."""

import pytest
from desk_hands import Opened, at_desk, slow_line

LETTER = 200  # ms: five letters a second
# Full of the keys that answer, undo, open and end, were they not typed into a field.
SAID = "no yes unknown, the cell buzzes /?z and pH 7.9"


@pytest.mark.long
def test_typing_stays_where_it_is_while_late_answers_arrive(browser_page: Opened) -> None:
    """Five letters a second, every answer 700 ms late: each letter lands in the words and none answers a question."""
    hands = at_desk(browser_page)
    page = hands.page
    slow_line(page, 700)
    cards = page.evaluate_handle(
        "(() => { const seen = []; new MutationObserver(() => seen.push(document.activeElement.id))"
        ".observe(document.body, {childList: true, subtree: true}); return seen; })()"
    )

    for place, letter in enumerate(SAID):
        hands.type(letter, delay=LETTER)
        assert hands.at()["id"] == "caller", SAID[: place + 1]
        page.wait_for_timeout(LETTER)

    assert page.locator("#caller").input_value() == SAID
    page.locator("[id='r.ph']").wait_for()
    hands.settled()
    changed = set(cards.json_value())
    assert changed == {"caller"}  # the page changed meanwhile, and the focus never left
    assert page.locator("[id='r.ph']").input_value() == "7.9"
    call = hands.call()
    assert call["asked"] == []
    assert call["answers"] == {}
    assert call["words"] == SAID


@pytest.mark.long
def test_a_number_that_is_asked_is_typed_in_peace(browser_page: Opened) -> None:
    """A newer card waits until the field is left; the answer is for the question that was seen."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("pH keeps rising")
    hands.settled()
    hands.answer("n")
    for _ in range(16):
        if page.locator("#ask .d-asked").count() == 1:
            break
        hands.answer("y" if hands.question() == "more" else "u")
    seen = hands.question()
    assert page.locator("#ask .d-asked").count() == 1, "no number was asked by itself"
    hands.alive()
    slow_line(page, 600)

    # The last words are still being listened to when the hands are at the card.
    hands.press("Alt+1")
    hands.type(". Plates look clean and the water is cloudy. ")
    hands.press("Control+Enter")
    hands.type("12", delay=LETTER)
    page.wait_for_timeout(1800)
    assert hands.at()["id"] == f"ask.{seen}"
    hands.type("3", delay=LETTER)
    assert page.locator(f"[id='ask.{seen}']").input_value() == "123"
    hands.press("Enter")
    hands.settled()

    assert hands.call()["asked"][-1] == seen
    assert "123" in page.locator("#last").inner_text()


def test_one_press_is_one_answer(browser_page: Opened) -> None:
    """Keys that follow at once, or are held, answer nothing: neither while the server thinks nor just after."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("the low salt light is on")
    hands.settled()
    slow_line(page, 400)
    hands.press("Alt+2")
    hands.alive()
    first = hands.question()
    hands.press("n")
    hands.press("n", "y", "u")
    hands.settled()
    second = hands.question()
    assert second != first
    assert hands.call()["asked"] == [first]
    hands.alive()
    page.keyboard.down("u")
    page.keyboard.down("u")  # held: the browser repeats it
    page.keyboard.up("u")
    hands.settled()
    page.wait_for_timeout(500)
    assert hands.call()["asked"] == [first, second]


def test_a_key_within_two_fifths_of_a_second_is_for_the_question_before(browser_page: Opened) -> None:
    """50 ms after a card came up a key does nothing; half a second later the same key answers."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.type("the low salt light is on")
    hands.settled()
    hands.press("Alt+2")
    hands.alive()
    first = hands.question()
    # Pressed by the page itself: hands of a test cannot be so exact.
    page.evaluate(
        """() => {
             window.pressed = () => document.querySelector('#ask')
               .dispatchEvent(new KeyboardEvent('keydown', {key: 'u', bubbles: true, cancelable: true}));
             new MutationObserver((_, watch) => { watch.disconnect(); setTimeout(window.pressed, 50); })
               .observe(document.querySelector('#ask'), {childList: true});
           }"""
    )
    hands.press("n")
    hands.settled()
    second = hands.question()
    assert second != first
    page.wait_for_timeout(600)
    assert hands.call()["asked"] == [first]
    assert hands.question() == second

    page.evaluate("window.pressed()")
    hands.settled()
    assert hands.call()["asked"] == [first, second]


def test_a_late_answer_overwrites_nothing_newer(browser_page: Opened) -> None:
    """The panels for pH 6.2 come 1.5 s late, those for pH 7.4 at once: what is shown stays with 7.4."""
    hands = at_desk(browser_page)
    page = hands.page
    slow_line(page, 1500, 0)
    hands.tab_to(id="r.ph")
    hands.type("6.2")
    hands.press("Tab")
    hands.tab_to(backwards=True, id="r.ph")
    page.keyboard.press("Control+A")
    hands.type("7.4")
    hands.press("Tab")
    row = page.locator("[data-row=ph]").first
    page.locator(".d-row[data-row=ph][data-verdict=within]").wait_for()

    page.wait_for_timeout(2000)
    assert row.get_attribute("data-verdict") == "within"
    assert page.locator("[id='r.ph']").input_value() == "7.4"


def test_keys_can_be_switched_off_and_then_answer_nothing(browser_page: Opened) -> None:
    """WCAG 2.1.4: who speaks to the machine, or shakes, switches single keys off; the choice is kept."""
    hands = at_desk(browser_page)
    page = hands.page
    hands.press("Alt+2", "?")
    hands.tab_to(id="keys-off")
    hands.press("Space", "Escape", "Alt+2")
    hands.alive()
    before = hands.question()
    hands.press("n")
    page.wait_for_timeout(300)
    assert hands.question() == before
    page.reload()
    page.wait_for_selector(".asking")
    assert "off" in page.locator("#keys-state").inner_text()

    hands.press("Alt+2")
    hands.alive()
    hands.tab_to(text="None of these N")
    hands.press("Enter")
    hands.settled()
    assert hands.question() != before


def test_focus_on_the_card_is_said_and_escape_leaves_it(browser_page: Opened) -> None:
    hands = at_desk(browser_page)
    state = hands.page.locator("#keys-state")
    hands.press("Escape")
    assert hands.at()["id"] == "ask"
    assert state.inner_text() == "keys on, Esc off"
    hands.press("Escape")
    assert hands.at()["id"] == "caller"
    hands.page.wait_for_timeout(50)
    assert state.inner_text() == "Esc: keys on"


def test_every_key_of_the_list_is_a_key(browser_page: Opened) -> None:
    """'?' shows the keys; those it names as going somewhere go there."""
    hands = at_desk(browser_page)
    hands.press("Alt+2", "?")
    shown = hands.page.locator("#keys dt").all_inner_texts()
    assert {"Z", "/", "?", "C", "Esc", "H", "M", "P"} <= set(shown)
    hands.press("Escape")
    for key, place in {"Alt+1": "caller", "Alt+3": "r.free-chlorine", "Alt+4": "add", "Alt+5": "notes"}.items():
        hands.press(key)
        assert hands.at()["id"] == place
    hands.press("Alt+2", "/")
    assert hands.at()["id"] == "caller"
    hands.press("Alt+2", "s")
    assert hands.at()["id"] == "add"
