"""The kept desk of one server process: the store, and who acts on it. Every route to kept calls goes through here.

Without accounts whoever reaches the server acts under the one name that it was started with. Accounts take the place of
`acting`: it alone says who acts, or refuses, and `run` is the only way from a route to the store.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Concatenate, Literal, ParamSpec, TypeVar

from starlette.requests import Request

from saltriage.desk.desk import Desk
from saltriage.desk.opening import open_desk
from saltriage.errors import CallChanged, CallClosed, CallMissing, DeskTrouble, Refusal, UsageRefused
from saltriage.web.problems import Problem
from saltriage.web.settings import DeskSettings
from saltriage.web.work import Work

__all__ = ["Acting", "KeptDesk", "Right"]

P = ParamSpec("P")
T = TypeVar("T")

Right = Literal["look", "change", "figures"]
"""What a route lets one do: see calls, change them, see figures over all of them."""


@dataclass(frozen=True, slots=True)
class Acting:
    """Who acts. Args: name: under which calls, notes and the trail keep what was done."""

    name: str


class KeptDesk:
    """The desk of one process. Raises: UsageRefused: as `open_desk`."""

    def __init__(self, settings: DeskSettings, work: Work) -> None:
        self.settings, self.work = settings, work
        self.desk = open_desk(settings.at)

    def acting(self, request: Request, right: Right) -> Acting:
        """Who acts with this request. Raises: Problem: the request comes from a page of another site."""
        # A browser says where a request comes from (Fetch Metadata, W3C); programs say nothing and are no danger.
        if request.headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            raise Problem("foreign-page")
        return Acting(self.settings.agent)

    async def run(
        self,
        request: Request,
        right: Right,
        call: Callable[Concatenate[Desk, Acting, P], T],
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> T:
        """What a call on the desk gives. Raises: Problem."""
        who = self.acting(request, right)
        try:
            return await self.work.run(call, self.desk, who, *args, **kwargs)
        except UsageRefused as refused:
            raise problem_of_desk(refused) from None


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
