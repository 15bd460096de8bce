"""Browsers for tests of accounts: a client that keeps cookies, sends what browsers send, and fills in forms."""

import re
from html import unescape

import httpx

__all__ = ["MO", "WORDS", "Visit"]

WORDS = "correct staple of wet horses"
MO = "seven violet ladders humming"
_PAGE = "text/html,application/xhtml+xml,*/*;q=0.8"


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
