"""The kept desk of one server process: the store, and who acts on it. Every route to kept calls goes through here.

`acting` alone says who acts, or refuses (`visitors` reads it from the request), and `run` is the only way from a route
to the store.
"""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Concatenate, ParamSpec, TypeVar

from starlette.requests import Request
from starlette.responses import Response

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.passwords import Passwords
from saltriage.desk.desk import Desk
from saltriage.desk.opening import open_desk
from saltriage.errors import CallChanged, CallClosed, CallMissing, DeskTrouble, Refusal, UsageRefused
from saltriage.web.openapi_desk import AGENT
from saltriage.web.problems import Problem
from saltriage.web.settings import Settings
from saltriage.web.visitors import Acting, Right, Visitors
from saltriage.web.work import Work

__all__ = ["Acting", "Endpoint", "KeptDesk", "Right"]

P = ParamSpec("P")
T = TypeVar("T")
Endpoint = Callable[[Request], Awaitable[Response]]

_MOST_SIGNING_IN = 20  # at a time; more are told to come back


class KeptDesk:
    """The desk of one process. Raises: UsageRefused: there is no desk in the settings, or as `open_desk`."""

    def __init__(self, settings: Settings, work: Work) -> None:
        if settings.desk is None:
            raise UsageRefused("no desk is named")
        self.settings, self.work = settings.desk, work
        self.desk = open_desk(self.settings.at)
        passwords = Passwords(is_cheap=self.settings.cheap_passwords)
        self.accounts = Accounts(self.desk.connected, passwords, self.settings.clock)
        self.visitors = Visitors(
            self.settings, self.accounts, tls=settings.tls is not None, behind_proxy=settings.behind_proxy
        )
        # A password takes a core and 64 MiB for a tenth of a second; guessers must not keep all threads from callers.
        self._one_hash = asyncio.Semaphore(1)
        self._signing_in = 0

    def guarded(self, endpoint: Endpoint) -> Endpoint:
        """An endpoint that is reached by those alone who may at least look."""

        async def answer(request: Request) -> Response:
            request.state.acting = await self.acting(request, "look")
            return await endpoint(request)

        return answer

    async def acting(self, request: Request, right: Right) -> Acting:
        """Who acts with this request.

        Raises: Problem: nobody signed in, or who may not; or it was not sent from a page of ours.
        """
        return await self.run(request, right, lambda desk, who: who)

    async def run(
        self,
        request: Request,
        right: Right,
        call: Callable[Concatenate[Desk, Acting, P], T],
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> T:
        """What a call on the desk gives. Raises: Problem."""
        known: Acting | None = getattr(request.state, "acting", None)
        if known is None:
            await self.visitors.check(request)
        token, named = self.visitors.token(request), request.headers.get(AGENT["name"], "")

        def called() -> T:
            who = self.visitors.who(token, named) if known is None else known
            who.refuse_unless(right)
            return call(self.desk, who, *args, **kwargs)

        return await self._told(called)

    async def hashing(self, call: Callable[[], T]) -> T:
        """What takes a password to work it out, one at a time. Raises: Problem: too many wait."""
        if self._signing_in >= _MOST_SIGNING_IN:
            raise Problem("busy", f"{self._signing_in} people are signing in.")
        self._signing_in += 1
        try:
            async with self._one_hash:
                return await self._told(call)
        finally:
            self._signing_in -= 1

    async def _told(self, call: Callable[[], T]) -> T:
        try:
            return await self.work.run(call)
        except UsageRefused as refused:
            raise problem_of_desk(refused) from None

    def form_token(self, request: Request) -> tuple[str, Callable[[Response], None]]:
        """See `Visitors.form_token`."""
        return self.visitors.form_token(request)


_KINDS: tuple[tuple[type[UsageRefused], str], ...] = (
    (CallMissing, "no-such-call"),
    (CallChanged, "call-changed"),
    (CallClosed, "call-closed"),
    (DeskTrouble, "desk-trouble"),
)


def problem_of_desk(refused: UsageRefused) -> Problem:
    """The problem that a refusal of the desk is."""
    kind = next((kind for error, kind in _KINDS if isinstance(refused, error)), "request-refused")
    refusal = Refusal(refused.field, "what was sent", "what fits it", str(refused))
    return Problem(kind, str(refused), [refusal] if refused.field else [])
