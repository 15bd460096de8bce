"""The ASGI application: API, pages, static files, and what stands before them all."""

import json
import logging
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route
from starlette.types import ASGIApp

from saltriage import __version__
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.model import Knowledge
from saltriage.practice import PracticeLibrary
from saltriage.web.api import api_routes
from saltriage.web.guard import Guard
from saltriage.web.pages import page_routes
from saltriage.web.problems import Problem
from saltriage.web.refusing import refusal, wants_page
from saltriage.web.second_reader import SecondReader
from saltriage.web.settings import Settings
from saltriage.web.work import Work

__all__ = ["create_app"]

_LOG = logging.getLogger("saltriage.web")
_LEAST_PACKED = 700  # bytes; what fits one packet gains nothing
_PACKING = 4  # of 9: a diagnosis loses 75 % of its bytes in half a millisecond; 9 takes five times as long for 77 %
_STATUS_KINDS = {404: "not-found", 405: "method-not-allowed"}


def create_app(knowledge: Knowledge, settings: Settings | None = None) -> ASGIApp:
    """The application for one knowledge base; without a desk it keeps nothing of what is sent to it."""
    limits = settings or Settings()
    work, second = Work(limits), SecondReader.of(limits, knowledge)
    library = PracticeLibrary(knowledge, limits.cases or data_folder("cases"))

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        yield
        second.close()
        work.close()

    health = json.dumps(
        {
            "status": "ok",
            "version": __version__,
            "knowledge": knowledge.version,
            "fingerprint": knowledge.fingerprint,
        }
    )

    async def healthz(request: Request) -> Response:
        return Response(health + "\n", media_type="application/json")

    kept: list[Route] = []
    if limits.desk is not None:
        from saltriage.web.kept_routes import kept_routes  # with a database, which nobody else pays for

        kept = kept_routes(limits, knowledge, work)
    routes: list[BaseRoute] = [
        Route("/healthz", healthz, methods=["GET"]),
        *kept,  # its support page comes before the one that keeps nothing
        *api_routes(knowledge, work, library, desk=bool(kept)),
        *page_routes(knowledge, work, library),
    ]
    app = Starlette(
        routes=routes,
        lifespan=lifespan,
        exception_handlers={Problem: _problem, HTTPException: _http_problem, Exception: _our_fault},
    )
    app.state.second = second
    return Guard(GZipMiddleware(app, minimum_size=_LEAST_PACKED, compresslevel=_PACKING), limits)


def _refused(request: Request, problem: Problem, headers: Mapping[str, str] | None = None) -> Response:
    return refusal(request.url.path, _accept(request), problem, headers)


def _accept(request: Request) -> str:
    return request.headers.get("accept", "*/*")


async def _problem(request: Request, reason: Exception) -> Response:
    assert isinstance(reason, Problem)
    if reason.kind == "sign-in-needed" and request.method == "GET" and wants_page(request.url.path, _accept(request)):
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/login?next={quote(here, safe='/')}", 303)
    return _refused(request, reason)


async def _http_problem(request: Request, reason: Exception) -> Response:
    assert isinstance(reason, HTTPException)
    kind = _STATUS_KINDS.get(reason.status_code, "request-refused")
    return _refused(request, Problem(kind), reason.headers)


async def _our_fault(request: Request, reason: Exception) -> Response:
    _LOG.error("%s %s broke", request.method, request.url.path, exc_info=reason)
    return _refused(request, Problem("our-fault", type(reason).__name__))
