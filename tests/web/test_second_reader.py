"""A language model beside the built-in reader: what goes to it, what becomes of its answers, and what if it fails."""

import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import httpx
import pytest
from desk_hands import at_desk
from web_walks import begin, press

from model_server import ModelServer, model_server, says
from saltriage.errors import UsageRefused
from saltriage.knowledge import Knowledge
from saltriage.web.app import create_app
from saltriage.web.settings import Settings
from web_server import running

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]
TEXT = "Hi, this is Ann Baker on +44 20 7946 0123. The dingus is gurgling like a drain. pH 7,8"
SAID = "The dingus is gurgling like a drain"
HEARD = "pump-sounds-wrong"
HEARD_TITLE = "The pump sounds different from before"
TINGLE = "every time I grab the ladder I get a tingle up my arm"
SECONDS = 1.0


@pytest.fixture(scope="module")
def _model() -> Iterator[ModelServer]:
    with model_server() as made:
        yield made


@pytest.fixture
def model(_model: ModelServer) -> ModelServer:
    """It hears a pump that sounds wrong, at once."""
    _model.answer, _model.status, _model.wait, _model.drip = says((HEARD, "present", SAID)), 200, 0.0, 0.0
    _model.got.clear()
    return _model


@pytest.fixture(scope="module")
def address(knowledge: Knowledge, _model: ModelServer) -> Iterator[str]:
    """A server with a second reader; takes the place of the one without."""
    with running(knowledge, Settings(reader=_model.url, reader_seconds=SECONDS)) as base:
        yield base


def api(client: httpx.Client, name: str, text: str = TEXT, **more: Any) -> dict[str, Any]:
    answer = client.post(f"/api/v1/{name}", json={"text": text, **more})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def without_second(answer: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in answer.items() if key != "second-reader"}


@pytest.mark.parametrize("name", ["words", "hear"])
def test_only_finished_words_leave(client: httpx.Client, model: ModelServer, name: str) -> None:
    """Who still types, and who says nothing of it, is heard here alone; names and numbers of people never leave."""
    for more in ({}, {"finished": False}):
        assert api(client, name, **more)["second-reader"] is None
    assert model.got == []

    assert api(client, name, finished=True)["second-reader"] == {"name": model.host, "answered": True}
    (sent,) = model.words
    assert SAID in sent
    assert "Ann" not in sent
    assert "7946" not in sent


def test_what_it_hears_is_asked_back(client: httpx.Client, model: ModelServer) -> None:
    """Never sure; numbers and what is sure are as without it."""
    alone, both = api(client, "words"), api(client, "words", finished=True)

    assert HEARD not in {each["id"] for each in alone["likely"]}
    assert SAID in {each["words"] for each in both["likely"] if each["id"] == HEARD}
    for kind in ("symptoms", "readings", "dangers"):
        assert both[kind] == alone[kind]
    spans = api(client, "hear", finished=True)["spans"]
    assert [each["meaning"] for each in spans if each["id"] == HEARD] == ["likely"]


def test_a_slow_one_is_passed_over(client: httpx.Client, model: ModelServer) -> None:
    """In its time, and others are served meanwhile."""
    model.wait = 3 * SECONDS
    begun = time.monotonic()
    found = api(client, "words", finished=True)

    assert time.monotonic() - begun < 2.5 * SECONDS
    assert found["second-reader"] == {"name": model.host, "answered": False}
    assert without_second(found) == without_second(api(client, "words"))


@pytest.mark.parametrize(
    ("status", "answer"),
    [
        (500, ""),
        (200, "no JSON"),
        (200, says(("no-such-symptom", "present", SAID))),
        (200, says((HEARD, "present", "words that nobody said"))),
        (200, says((HEARD, "present", "Ann Baker"))),
    ],
)
def test_nonsense_is_passed_over(client: httpx.Client, model: ModelServer, status: int, answer: str) -> None:
    """And the answer says that it was, though all else is as if nobody had been asked."""
    model.status, model.answer = status, answer
    found = api(client, "hear", finished=True)

    assert found["second-reader"] == {"name": model.host, "answered": False}
    assert without_second(found) == without_second(api(client, "hear"))


def test_nothing_heard_is_an_answer(client: httpx.Client, model: ModelServer) -> None:
    model.answer = says()

    assert api(client, "words", finished=True)["second-reader"] == {"name": model.host, "answered": True}


def test_a_liar_takes_no_danger_away_and_makes_nothing_sure(
    client: httpx.Client, model: ModelServer, knowledge: Knowledge
) -> None:
    """It denies half of all that there is and claims the rest, all in the caller's own words."""
    lies = [(id, ("absent", "present")[place % 2], TINGLE) for place, id in enumerate(sorted(knowledge.symptoms))]
    for some in (lies[:60], [(id, "absent", words) for id, _, words in lies if "tingle" in id or "shock" in id]):
        model.answer = says(*some)
        alone, both = api(client, "words", TINGLE), api(client, "words", TINGLE, finished=True)

        assert both["second-reader"]["answered"]
        assert both["dangers"] == alone["dangers"] != []
        assert both["symptoms"] == alone["symptoms"]


def test_one_that_is_down(knowledge: Knowledge) -> None:
    with model_server() as gone:
        url, host = gone.url, gone.host
    with (
        running(knowledge, Settings(reader=url)) as base,
        httpx.Client(base_url=base, timeout=60, trust_env=False) as client,
    ):
        found = api(client, "words", finished=True)
        assert found["second-reader"] == {"name": host, "answered": False}
        assert without_second(found) == without_second(api(client, "words"))
        rows = client.post("/owner/hear", data={"words": TEXT, "finished": "yes"}).json()["rows"]
        assert f"{host} gave no answer; your words were read here alone." in rows


def test_without_a_reader_nothing_is_said_of_one(knowledge: Knowledge) -> None:
    """It is off unless an address is given, and an address that is none is refused before anybody is served."""
    with (
        running(knowledge, Settings()) as base,
        httpx.Client(base_url=base, timeout=60, trust_env=False) as client,
    ):
        assert api(client, "words", finished=True)["second-reader"] is None
        for page in ("/owner/words", "/support"):
            assert "language model" not in client.get(page).text
    with pytest.raises(UsageRefused, match="http"):
        create_app(knowledge, Settings(reader="model.example"))


@pytest.mark.parametrize("page", ["/owner/words", "/support"])
def test_pages_say_where_words_go_before_anything_is_typed(client: httpx.Client, model: ModelServer, page: str) -> None:
    """By the name of the host; the policy of the page lets the browser itself speak to this server alone."""
    shown = client.get(page)

    assert f"a language model at <b>{model.host}</b>" in shown.text
    assert "without names, telephone numbers and addresses" in shown.text
    assert "connect-src 'self'" in shown.headers["content-security-policy"]
    assert model.host not in shown.headers["content-security-policy"]


def words_sent(client: httpx.Client, words: str, **more: str) -> str:
    form = {"step": "words", "go": "heard", "words": words, "units": "metric", **more}
    return client.post("/owner", data=form).text


def test_going_on_without_script(client: httpx.Client, model: ModelServer, knowledge: Knowledge) -> None:
    """The page that asks back shows what the second reader heard, as a question that is answered by nobody yet."""
    shown = words_sent(client, TEXT)

    assert model.words
    assert f'name="s.{HEARD}" value="yes"> Yes' in shown
    model.answer = "nonsense"
    assert f"{model.host} gave no answer" in words_sent(client, TEXT)


def test_danger_does_not_wait(client: httpx.Client, model: ModelServer) -> None:
    """Orders come at once, and nobody else is asked."""
    shown = words_sent(client, TINGLE)

    assert 'class="order harm"' in shown
    assert "language model" not in shown
    assert model.got == []


def test_words_seen_already_are_not_sent_twice(client: httpx.Client, model: ModelServer) -> None:
    """What was heard on leaving the field was confirmed there."""
    words_sent(client, TEXT, seen=TEXT)

    assert model.got == []


def test_an_owner_types_and_leaves_the_field(browser_page: Opened, model: ModelServer) -> None:
    """No keystroke leaves; on leaving the field the words do, once, and what came back is asked in one tap."""
    page = browser_page("/")
    begin(page)
    page.locator("#words").press_sequentially(SAID, delay=20)
    page.wait_for_timeout(700)
    assert model.got == []

    page.locator("h1").click()
    page.locator(f"#heard [name='s.{HEARD}'][value=yes]").check()
    assert model.words == [SAID]
    press(page, page.locator("#go-on"))
    assert f'"{HEARD}":"yes"' in page.locator("[name=state]").input_value()
    assert model.words == [SAID]


def test_an_owner_goes_on_at_once(browser_page: Opened, model: ModelServer) -> None:
    """Pressing the button asks on the next page."""
    page = browser_page("/")
    begin(page)
    page.locator("#words").press_sequentially(SAID)
    press(page, page.locator("#go-on"))

    page.locator(f"[name='s.{HEARD}'][value=yes]").check()
    assert set(model.words) == {SAID}


def test_the_desk_hears_twice(browser_page: Opened, model: ModelServer) -> None:
    """Live by itself, and by the other reader when the hands leave the words; a failure is said beside them."""
    hands = at_desk(browser_page)
    hands.type(SAID, delay=20)
    hands.settled()
    hands.page.wait_for_timeout(1200)
    assert model.got == []

    hands.press("Alt+2")
    hands.page.locator("#likely li", has_text=HEARD_TITLE).first.wait_for()
    hands.settled()
    assert model.words == [SAID]
    model.answer = "nonsense"
    hands.press("Alt+1")
    hands.type(". pH 7.9")
    hands.settled()
    assert model.words == [SAID]
    hands.press("Alt+2")
    hands.page.get_by_text("No answer: heard here alone.").wait_for()
    assert len(model.got) == 2
