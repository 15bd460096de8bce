"""Every address beside the API, asked with nonsense: it answers or refuses, and repeats no markup.

The addresses are those of the application: a new one is asked as well. The API has schemathesis and its mutants.
"""

import json
import random
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import httpx
import pytest
from web_scenes import demo_data

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.passwords import Passwords
from saltriage.desk.accounts.roles import Role
from saltriage.desk.opening import init_desk
from saltriage.knowledge import Knowledge
from saltriage.web.app import create_app
from saltriage.web.settings import DeskSettings, Settings
from saltriage.web.visitors import TOKEN_FIELD
from web_server import running

WORDS = "seven violet ladders humming"
MARKUP = "<script>alert(1)</script>"
ODD = (
    "", " ", "\x00", "\r\n", "é\u202e\U0001f9c2", "9" * 400, "-1", "0", "1e308", "nan", "²", "yes", "no", "+", "a+b",
    "../../etc", "[]", "{}", '{"case": null}', "state=1", "x" * 5000, MARKUP, f'"\'>{MARKUP}',
)  # fmt: skip
KINDS = ("words", "question", "spot", "jets", "water", "plan", "follow-up", "history", "hand-over", "summary")
# What gets past the first check of a form, so that the rest of it is reached.
LIKELY: Mapping[str, tuple[str, ...]] = {
    "step": ("look", "words", "spot:jets", "list", "numbers", "pool", "question", "result", "heard"),
    "go": ("", "question", "result", "back", "more", "heard", "list", "spot:x", "ask", "decide", "score"),
    "state": (json.dumps({"case": demo_data("low-salt-after-rain")}), '{"case": {"symptoms": {"ph": "yes"}}}'),
    "asked": ("low-salt-warning", "salt+pool-volume", "plates-scaled"), "answer": ("yes", "unknown", "number"),
    "words": ("low salt, 2100 mg/L",), "text": ("is there crust on the plates",), "saved-case": ("symptoms: {}",),
    "call": ("5", "999999"), "begun": ("1",), "danger": ("yes", "no"), "cause": ("gas in the cell",),
    "cause-id": ("gas-pocket",), "first": ("clean the cell",), "first-id": ("clean-cell",), "pick": ("salt",),
    "sent": (json.dumps({"case": demo_data("low-salt-after-rain")}),), "units": ("us",), "reader": ("support",),
    "do": ("add", "role", "password", "unlock", "remove"), "name": ("kim",), "password": (WORDS,), "role": ("lead",),
    "old": (WORDS,), "new": (WORDS,), "again": (WORDS,), "next": ("//elsewhere", "/support"), "who": ("kim",),
    "before": ("3",), "weeks": ("4", "13"), "where": ("here",), "r.ph.value": ("7.2",), "s.bubbles": ("yes",),
}  # fmt: skip
KIND, JSON = "application/x-www-form-urlencoded", "application/json"
ROUNDS = 12  # of each address


def addresses(knowledge: Knowledge, where: Settings) -> set[tuple[str, str]]:
    """Method and address of every route that is neither the API's nor a file's."""
    app: Any = create_app(knowledge, where)
    while not hasattr(app, "routes"):
        app = app.app
    pairs = {(method, each.path) for each in app.routes for method in each.methods - {"HEAD"}}
    return {pair for pair in pairs if not pair[1].startswith(("/api", "/static/"))}


def form_of(chance: random.Random) -> dict[str, str]:
    """Some fields, each likely or odd."""
    names = chance.sample(sorted(LIKELY), chance.randint(0, 9))
    return {name: chance.choice(LIKELY[name] if chance.random() < 0.5 else ODD) for name in names}


def told(chance: random.Random) -> str:
    """What the script of the desk sends, with one or two values changed."""
    sent: dict[str, Any] = {"case": demo_data("low-salt-after-rain"), "units": "us"}
    for _ in range(chance.randint(0, 2)):
        inner = chance.choice((sent, sent["case"], *(each for each in sent["case"].values() if isinstance(each, dict))))
        inner[chance.choice((*inner, "skipped", "asked", "record"))] = chance.choice(
            (*ODD, None, 7, -1e308, [], {}, [[]])
        )
        if not isinstance(sent["case"], dict):
            break
    return json.dumps(sent)


def raw(chance: random.Random) -> bytes:
    return chance.choice((chance.randbytes(30), *(text.encode() for text in ODD)))


def ask(line: httpx.Client, method: str, path: str, chance: random.Random, more: Mapping[str, str]) -> None:
    """One request with nonsense in its path, and in its query or its body."""
    path = re.sub(r"\{\w+\}", lambda _: quote(chance.choice((*KINDS, *ODD))[:90], safe=""), path)
    form = urlencode(form_of(chance) | more)
    if method == "GET":
        answer = line.get(f"{path}?{form}", headers={"Accept": "text/html"})
    else:
        body, kind = chance.choice(
            ((form, KIND), (form, KIND), (told(chance), JSON), (raw(chance), KIND), (form, JSON))
        )
        answer = line.post(path, content=body, headers={"Content-Type": kind, "Accept": "text/html"})
    assert answer.status_code < 500, (method, path, form, answer.text[:300])
    if "html" in answer.headers.get("content-type", ""):
        assert MARKUP not in answer.text, (method, path, form)


def test_no_page_breaks_down_over_nonsense(client: httpx.Client, knowledge: Knowledge) -> None:
    asked = sorted(addresses(knowledge, Settings()))
    assert {("GET", "/practice"), ("POST", "/practice"), ("POST", "/owner/hear")} <= {*asked}
    for method, path in asked:
        for turn in range(ROUNDS):
            ask(client, method, path, random.Random(f"{method} {path} {turn}"), {})


@pytest.fixture
def desk_settings(tmp_path: Path) -> Settings:
    """A desk with a maintainer."""
    at = str(tmp_path / "desk.db")
    users = Accounts(init_desk(at)[0].connected, Passwords(is_cheap=True)).users
    users.add("mo", Role.maintainer, WORDS, "tests")
    return Settings(desk=DeskSettings(at, "here", needs_accounts=True, cheap_passwords=True))


@pytest.fixture
def signed_in(knowledge: Knowledge, desk_settings: Settings) -> Iterator[httpx.Client]:
    with (
        running(knowledge, desk_settings) as base,
        httpx.Client(base_url=base, timeout=60, trust_env=False, headers={"Origin": base}) as line,
    ):
        yield line


def token_in(line: httpx.Client, path: str) -> dict[str, str]:
    """The hidden field that every form carries."""
    return dict(re.findall(rf'name="({TOKEN_FIELD})" value="([^"]+)"', line.get(path).text))


def test_no_page_of_a_desk_breaks_down_over_nonsense(
    signed_in: httpx.Client, knowledge: Knowledge, desk_settings: Settings
) -> None:
    """Signed in, with the field of a form in most requests; and as somebody who is not."""
    asked = sorted(addresses(knowledge, desk_settings) - addresses(knowledge, Settings()))
    assert {("POST", "/login"), ("POST", "/desk/users"), ("GET", "/support/figures"), ("GET", "/desk/trail")} <= {
        *asked
    }
    for method, path in asked:
        for turn in range(ROUNDS):
            chance = random.Random(f"{method} {path} {turn}")
            if turn and not signed_in.get("/account").is_success:
                signed_in.post("/login", data={"name": "mo", "password": WORDS, **token_in(signed_in, "/login")})
            page = "/account" if signed_in.get("/account").is_success else "/login"
            ask(signed_in, method, path, chance, token_in(signed_in, page) if chance.random() < 0.8 else {})
