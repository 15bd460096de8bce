"""Who sent a request to the desk, and whether it was sent from a page of ours.

Sources, all from memory: RFC 6265bis (SameSite, the prefix __Host-), OWASP's cheat sheets on sessions and on forged
requests, Fetch Metadata (W3C), and that browsers say `Origin: null` for forms under the policy no-referrer (Fetch).

- The cookie of a session holds its token: HttpOnly, SameSite=Strict, for the whole host and no other, until the browser
  closes; over TLS also Secure and with the prefix, by which no other host and no page without TLS can plant it.
- A second cookie is the key of the forms of one browser. The token in a form is made from it and from the session, so
  that a form of before signing in is worth nothing after. The form for signing in has one, too.
- JSON needs no such token: no page elsewhere can send it here without our leave, which nobody is given.
"""

import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal
from urllib.parse import parse_qs, unquote

from starlette.requests import Request
from starlette.responses import Response

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.roles import Role
from saltriage.web.problems import Problem
from saltriage.web.settings import DeskSettings

__all__ = ["TOKEN_FIELD", "Acting", "Right", "Visitors", "local_path"]

TOKEN_FIELD = "form-token"
_MOST_FIELDS = 2000
_SAFE = ("GET", "HEAD")
_LONGEST_COOKIE = 200

Right = Literal["look", "change", "figures", "export", "trail", "accounts", "forget", "learning"]
"""What a route lets one do: see calls, change them; see figures over all of them, take them out, see who saw what;
look after accounts, forget calls for good, change what the rules learn."""

_NEEDS: dict[Right, Role] = {
    "look": Role.agent, "change": Role.agent,
    "figures": Role.lead, "export": Role.lead, "trail": Role.lead,
    "accounts": Role.maintainer, "forget": Role.maintainer, "learning": Role.maintainer,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Acting:
    """Who acts.

    Args: name: under which calls, notes and the trail keep what was done.    signed_in: by an account; else whoever
    reaches the desk on its own computer may do all.
    """

    name: str
    role: Role = Role.maintainer
    signed_in: bool = False

    def may(self, right: Right) -> bool:
        """Whether it is allowed."""
        return self.role.reaches(_NEEDS[right])

    def refuse_unless(self, right: Right) -> None:
        """Raises: Problem: it is not allowed."""
        if not self.may(right):
            raise Problem("not-allowed", f"This needs the role {_NEEDS[right]}; yours is {self.role}.")


class Visitors:
    """Reads who sent a request. Args: tls, behind_proxy: as the server has it."""

    def __init__(self, settings: DeskSettings, accounts: Accounts, *, tls: bool, behind_proxy: bool) -> None:
        self.settings, self.accounts = settings, accounts
        self.tls, self.behind_proxy = tls, behind_proxy

    # How it came

    def scheme(self, request: Request) -> str:
        """http or https, as the browser sees it."""
        if self.behind_proxy:
            told = request.headers.get("x-forwarded-proto", "").rpartition(",")[2].strip().lower()
            return "https" if told == "https" else "http"
        return "https" if self.tls else "http"

    def address(self, request: Request) -> str:
        """Where it came from; of several that proxies name only the last is our own proxy's word."""
        if self.behind_proxy:
            told = request.headers.get("x-forwarded-for", "").rpartition(",")[2].strip()
            if told:
                return told[:100]
        return request.client.host if request.client else ""

    async def check(self, request: Request) -> None:
        """Raises: Problem: it came in the clear through a proxy, from a page of another site, or from a stale form."""
        if self.behind_proxy and self.scheme(request) != "https":
            raise Problem("needs-tls")
        self._check_page(request)
        media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        if request.method in _SAFE or media_type == "application/json":
            return
        # Everything that a form can be sent as, also of kinds that no route here reads.
        if not await self._is_own_form(request):
            raise Problem("stale-form")

    def _check_page(self, request: Request) -> None:
        site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
        if site not in (None, "none", "same-origin"):
            raise Problem("foreign-page")
        if request.method in _SAFE:
            return
        own = f"{self.scheme(request)}://{request.headers.get('host', '')}".lower()
        if origin not in (None, "null"):
            is_ours = origin.lower() == own
        else:
            # Every browser of today names one of the two with what changes something; who names none is a program, and
            # none of those brings the cookie of a session unasked.
            is_ours = site == "same-origin" or (site is None and origin is None and not self.token(request))
        if not is_ours:
            raise Problem("foreign-page")

    async def _is_own_form(self, request: Request) -> bool:
        try:
            body = (await request.body()).decode()
            fields = parse_qs(body, keep_blank_values=True, errors="strict", max_num_fields=_MOST_FIELDS)
        except ValueError:
            return False
        key, sent = self._cookie(request, "form"), fields.get(TOKEN_FIELD, [""])
        if not key or len(sent) != 1:
            return False
        expected = _form_token(key, self.token(request), sent[0].partition(".")[0])
        return hmac.compare_digest(expected.encode(), sent[0].encode("utf-8", "replace"))

    # Who it is

    def token(self, request: Request) -> str:
        """Of the session that its cookie names; empty where there is none."""
        return self._cookie(request, "session")

    def who(self, token: str, named: str = "") -> Acting:
        """Who acts, read from the desk.

        Args: named: for whom the page was made that sends this, percent-encoded; empty where none says so.
        Raises: Problem: nobody is signed in, or another.
        """
        who = self._who(token)
        if named and unquote(named) != who.name:
            raise Problem("another-agent", f"{who.name} is signed in, and this page was made for another.")
        return who

    def _who(self, token: str) -> Acting:
        found = self.accounts.who(token)
        if found is not None:
            return Acting(found.name, found.role, signed_in=True)
        if self.settings.needs_accounts or self.accounts.any():
            raise Problem("sign-in-needed")
        return Acting(self.settings.agent)

    # Cookies

    def form_token(self, request: Request) -> tuple[str, Callable[[Response], None]]:
        """What to put into a form, and what sets the browser's key on the page that shows the form."""
        key = self._cookie(request, "form")
        fresh = key or secrets.token_urlsafe(32)

        def keep(response: Response) -> None:
            if not key:
                self._set_cookie(request, response, "form", fresh)

        return _form_token(fresh, self.token(request), secrets.token_hex(8)), keep

    def sign_in(self, request: Request, response: Response, token: str) -> None:
        """Let the browser bring a new session, and take a new key for its forms."""
        self._set_cookie(request, response, "session", token)
        self._set_cookie(request, response, "form", secrets.token_urlsafe(32))

    def sign_out(self, request: Request, response: Response) -> None:
        """Let the browser forget the session, and what it may have kept of the pages."""
        for name in ("session", "form"):
            # As it was set: with the prefix, a cookie is taken back only with Secure and the same path.
            response.delete_cookie(
                self._name(request, name), path="/", secure=self._is_secure(request), httponly=True, samesite="strict"
            )
        response.headers["Clear-Site-Data"] = '"cache"'

    def _is_secure(self, request: Request) -> bool:
        return self.scheme(request) == "https"

    def _name(self, request: Request, name: str) -> str:
        return f"{'__Host-' if self._is_secure(request) else ''}saltriage-{name}"

    def _cookie(self, request: Request, name: str) -> str:
        found = request.cookies.get(self._name(request, name), "")
        return found if len(found) <= _LONGEST_COOKIE else ""

    def _set_cookie(self, request: Request, response: Response, name: str, value: str) -> None:
        secure = self._is_secure(request)
        response.set_cookie(self._name(request, name), value, path="/", secure=secure, httponly=True, samesite="strict")


def _form_token(key: str, session: str, salt: str) -> str:
    """Another one on each page: a packed page that repeats a secret gives it away bit by bit (BREACH, from memory)."""
    made = hmac.new(key.encode(), f"{salt}\x00{session}".encode("utf-8", "replace"), "sha256")
    return f"{salt}.{made.hexdigest()}"


def local_path(told: str, otherwise: str) -> str:
    """A path of this server to go on to, from what an address told; anything that may lead elsewhere is not taken.

    Browsers read two slashes, and a backslash in place of one, as the beginning of another host, and skip tabs and line
    ends (WHATWG URL, from memory).
    """
    plain = told.isascii() and told.isprintable() and "\\" not in told
    return told if plain and told.startswith("/") and not told.startswith("//") and len(told) <= 500 else otherwise
