"""Who works at desks of tests, and the browsers: clients that keep cookies, send what browsers send, fill in forms."""

import re
from datetime import UTC, datetime, timedelta
from html import unescape

import httpx

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.passwords import Passwords
from saltriage.desk.accounts.roles import Role
from saltriage.desk.desk import Desk
from saltriage.desk.times import moment

__all__ = ["LEE", "MO", "WORDS", "SetClock", "Visit", "staffed"]

WORDS = "correct staple of wet horses"
MO = "seven violet ladders humming"
LEE = "nine paper lanterns drifting"
_STAFF = {"mo": (Role.maintainer, MO), "lee": (Role.lead, LEE), "kim": (Role.agent, WORDS)}
_PAGE = "text/html,application/xhtml+xml,*/*;q=0.8"


class SetClock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.at = datetime(2026, 11, 30, 9, tzinfo=UTC)

    def __call__(self) -> str:
        return moment(self.at)

    def on(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


def staffed(desk: Desk, *names: str, clock: SetClock | None = None) -> Accounts:
    """Accounts with hashes that take no time; mo, the maintainer, has to be made first."""
    made = Accounts(desk.connected, Passwords(is_cheap=True), clock)
    for name in names:
        made.users.add(name, *_STAFF[name], "tests")
    return made


class Visit:
    """One browser at one server. Args: base: address of the server.    more: headers of every request."""

    def __init__(self, base: str, more: dict[str, str] | None = None) -> None:
        self.base = base
        self.client = httpx.Client(
            base_url=base,
            timeout=30,
            trust_env=False,
            headers={"Accept": _PAGE, **(more or {})},
            limits=httpx.Limits(max_keepalive_connections=0),  # so that no visit has to be closed
        )

    def get(self, path: str, **headers: str) -> httpx.Response:
        return self.client.get(path, headers=headers)

    def token(self, path: str = "/login") -> str:
        """The token in the first form of a page."""
        found = re.search(r'name="form-token" value="([^"]+)"', self.get(path).text)
        return unescape(found[1]) if found else ""

    def post(self, path: str, fields: dict[str, str], headers: dict[str, str] | None = None) -> httpx.Response:
        """A form as a browser sends it. Args: headers: in place of its own; empty ones are left out."""
        sent = {"Origin": self.base, "Sec-Fetch-Site": "same-origin", **(headers or {})}
        return self.client.post(path, data=fields, headers={name: value for name, value in sent.items() if value})

    def filled(self, page: str, path: str, headers: dict[str, str] | None = None, **fields: str) -> httpx.Response:
        """The form of a page, with its token, sent to a path."""
        return self.post(path, {"form-token": self.token(page), **fields}, headers)

    def sign_in(self, name: str = "kim", password: str = WORDS, **fields: str) -> httpx.Response:
        return self.filled("/login", "/login", name=name, password=password, **fields)

    @property
    def session(self) -> str:
        """What the session's cookie holds; empty where there is none."""
        found = [value for name, value in self.client.cookies.items() if name.endswith("saltriage-session")]
        return found[0] if found else ""
