"""The addresses of kept calls below /api/v1/desk, each also below /api/desk as all of the API."""

from collections.abc import Callable
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge
from saltriage.web import kept_calls
from saltriage.web.account_routes import account_routes, sign_in_routes
from saltriage.web.answers import body_of, json_body, options_of
from saltriage.web.engine import json_bytes
from saltriage.web.kept_desk import Endpoint, KeptDesk
from saltriage.web.kept_pages import kept_page_routes
from saltriage.web.problems import problem_of
from saltriage.web.settings import Settings
from saltriage.web.work import Work

__all__ = ["kept_routes"]


class _Kept:
    """The endpoints for one desk."""

    def __init__(self, kept: KeptDesk, knowledge: Knowledge) -> None:
        self.kept, self.knowledge = kept, knowledge

    async def about(self, request: Request) -> Response:
        return _json(await self.kept.run(request, "look", kept_calls.about, self.knowledge))

    async def listed(self, request: Request) -> Response:
        which = options_of(request, "which")["which"]
        return _json(await self.kept.run(request, "look", kept_calls.listed, which, self.knowledge))

    async def searched(self, request: Request) -> Response:
        sent = await body_of(request, "desk/search", self.knowledge)
        return _json(await self.kept.run(request, "look", kept_calls.searched, sent, self.knowledge))

    async def called(self, request: Request) -> Response:
        name = request.path_params["call"]
        return _json(await self.kept.run(request, "look", kept_calls.called, name, self.knowledge))

    async def saved(self, request: Request) -> Response:
        sent = await body_of(request, "desk/save", self.knowledge)
        name = request.path_params["call"]
        try:
            return _json(await self.kept.run(request, "change", kept_calls.saved, name, sent, self.knowledge))
        except CaseRefused as refused:
            raise problem_of(refused, sent, ("case",)) from None

    async def told(self, operation: str, call: Callable[..., dict[str, Any]], request: Request) -> Response:
        """One of the operations that change a call with a body."""
        sent = await body_of(request, operation, self.knowledge)
        name = request.path_params["call"]
        return _json(await self.kept.run(request, "change", call, name, sent, self.knowledge))

    async def done(self, call: Callable[..., dict[str, Any]], request: Request) -> Response:
        """One of those without; an empty object is wanted as JSON all the same, which no form of another site sends."""
        await json_body(request)
        name = request.path_params["call"]
        return _json(await self.kept.run(request, "change", call, name, self.knowledge))


def _json(data: object) -> Response:
    return Response(json_bytes(data), media_type="application/json")


def kept_routes(settings: Settings, knowledge: Knowledge, work: Work) -> list[Route]:
    """Routes to kept calls, their pages, and accounts; opens the desk. Raises: UsageRefused."""
    desk = KeptDesk(settings, work)
    kept = _Kept(desk, knowledge)
    found: list[tuple[str, str, Endpoint]] = [
        ("GET", "", kept.about),
        ("GET", "/calls", kept.listed),
        ("POST", "/search", kept.searched),
        ("GET", "/calls/{call}", kept.called),
        ("PUT", "/calls/{call}", kept.saved),
        ("POST", "/calls/{call}/note", partial(kept.told, "desk/note", kept_calls.noted)),
        ("POST", "/calls/{call}/close", partial(kept.told, "desk/close", kept_calls.closed)),
        ("POST", "/calls/{call}/reopen", partial(kept.done, kept_calls.reopened)),
        ("POST", "/calls/{call}/looked", partial(kept.done, kept_calls.looked)),
    ]
    calls = [(method, f"{base}/desk{path}", end) for base in ("/api/v1", "/api") for method, path, end in found]
    # Nothing of a request is read, and nothing told, before it is known who sent it.
    inside = (*calls, *kept_page_routes(desk, knowledge), *account_routes(desk))
    return [
        *sign_in_routes(desk),
        *(Route(path, desk.guarded(end), methods=[method]) for method, path, end in inside),
    ]
