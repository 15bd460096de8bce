"""The HTTP API, version 1. Every answer is described in the OpenAPI document that `saltriage.web.openapi` makes."""

from collections.abc import Awaitable, Callable, Mapping, Sequence
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.errors import CaseRefused, Refusal, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import shortened
from saltriage.practice import PracticeLibrary
from saltriage.web import calls_hear, calls_practice, calls_record, calls_talk, engine
from saltriage.web.answers import (
    CALENDAR,
    HTML,
    JSON,
    TEXT,
    body_of,
    form_wanted,
    in_form,
    json_body,
    options_of,
    tagged,
    told_dangers,
)
from saltriage.web.openapi import openapi_document
from saltriage.web.pointers import Path
from saltriage.web.problems import KINDS, FieldError, Problem, problem_of
from saltriage.web.second_reader import SecondHearing, second_of
from saltriage.web.work import Work

__all__ = ["api_routes", "json_body"]

Endpoint = Callable[[Request], Awaitable[Response]]
Call = Callable[[Any, str, Mapping[str, str], Knowledge], bytes]
"""Body, media type wanted, options of the address, rules -> the answer."""

_CASE: tuple[Path, ...] = (("case",), ())
_RECORD: tuple[Path, ...] = ((), ("record", "case"), ("record",))
_TALK: tuple[Path, ...] = ((), ("case",), ("interview", "beginning"), ("interview",))
_REPORT = ("reader", "units", "full")


def _plain(call: Callable[[Any, Knowledge], bytes]) -> Call:
    """A call that has one form and no options."""
    return lambda sent, form, options, knowledge: call(sent, knowledge)


def _next_question(sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    skipped, insists = sent.get("skipped", []), sent.get("insists", False)
    asked, safe = int(sent.get("asked", 0)), sent.get("safe", [])
    return engine.question_data(sent["case"], skipped, asked, insists, knowledge, safe=safe)


def _words(sent: Mapping[str, Any], knowledge: Knowledge, others: Sequence[SecondHearing]) -> bytes:
    return engine.words_data(sent["text"], sent.get("units", ""), knowledge, others)


class _Api:
    """The endpoints for one knowledge base."""

    def __init__(self, knowledge: Knowledge, work: Work, desk: bool) -> None:
        self.knowledge, self.work = knowledge, work
        self.document = tagged(engine.json_bytes(openapi_document(desk=desk)))
        self.known = tagged(engine.knowledge_data(knowledge), knowledge.fingerprint[:32])

    def operation(
        self, name: str, call: Call, places: tuple[Path, ...], forms: tuple[str, ...] = (JSON,), options: Any = ()
    ) -> tuple[str, str, Endpoint]:
        """Method, path and endpoint of one operation; its body is held against the schema of that name."""
        return "POST", name, partial(self._answer, name, call, places, forms, options)

    async def _answer(
        self,
        name: str,
        call: Call,
        places: tuple[Path, ...],
        forms: tuple[str, ...],
        options: tuple[str, ...],
        request: Request,
    ) -> Response:
        form, chosen = form_wanted(request, forms), options_of(request, *options)
        sent = await body_of(request, name, self.knowledge)
        try:
            return in_form(await self.work.run(call, sent, form, chosen, self.knowledge), form)
        except CaseRefused as refused:
            problem = problem_of(refused, sent, *places)
            if problem.dangers is None or not problem.dangers.standing:
                problem.dangers = told_dangers(sent, self.knowledge)
            raise problem from None
        except UsageRefused as refused:
            raise _misused(refused, sent, told_dangers(sent, self.knowledge)) from None

    def hearing(
        self, name: str, call: Callable[[Any, Knowledge, Sequence[SecondHearing]], bytes]
    ) -> tuple[str, str, Endpoint]:
        """The same for an operation on words, which a second reader hears as well once they are finished."""
        return "POST", name, partial(self._hear, name, call)

    async def _hear(
        self, name: str, call: Callable[[Any, Knowledge, Sequence[SecondHearing]], bytes], request: Request
    ) -> Response:
        form_wanted(request, (JSON,)), options_of(request)
        sent = await body_of(request, name, self.knowledge)
        others = await second_of(request).hearing(sent["text"], finished=sent.get("finished", False))
        return in_form(await self.work.run(call, sent, self.knowledge, others), JSON)

    async def what_is_known(self, request: Request) -> Response:
        return self.known(request)

    async def openapi(self, request: Request) -> Response:
        return self.document(request)

    async def problem_kind(self, request: Request) -> Response:
        kind = KINDS.get(request.path_params["kind"])
        if kind is None:
            raise Problem("not-found")
        about = {"title": kind.title, "status": kind.status, "advice": kind.advice}
        return tagged(engine.json_bytes(about))(request)


def _misused(refused: UsageRefused, sent: Mapping[str, Any], dangers: Any) -> Problem:
    field = refused.field
    found = shortened(sent[field]) if field in sent else "nothing"
    refusal = Refusal(field or "body", found, str(refused))
    return Problem("request-refused", str(refused), [FieldError(refusal, (field,) if field in sent else ())], dangers)


def api_routes(knowledge: Knowledge, work: Work, library: PracticeLibrary, *, desk: bool = False) -> list[Route]:
    """Routes below /api/v1, each also below /api, which answers for the newest version.

    Args: library: for practice.    desk: whether calls are kept, which the document then describes as well.
    """
    api = _Api(knowledge, work, desk)
    talks = [
        api.operation(f"interview/{step}", _plain(partial(calls_talk.standing_bytes, step)), _TALK)
        for step in calls_talk.TALKS
    ]
    practice = {
        "start": calls_practice.begun,
        "ask": calls_practice.asked,
        "find": calls_practice.found,
        "decide": calls_practice.decided,
    }
    practised = [
        api.operation(f"practice/{name}", _plain(partial(call, library)), ((),)) for name, call in practice.items()
    ]
    found: list[tuple[str, str, Endpoint]] = [
        api.operation("diagnose", engine.diagnosed_in, ((),), (JSON, HTML, TEXT), _REPORT),
        api.operation("water", engine.water_in, ((),), (JSON, TEXT), ("units",)),
        api.operation("next-question", _plain(_next_question), _CASE),
        api.hearing("words", _words),
        api.hearing("hear", calls_hear.heard_bytes),
        api.operation("read-case", _plain(calls_hear.case_read), (("text",),)),
        *talks,
        api.operation("interview/why", _plain(calls_talk.reasons), _TALK),
        api.operation("plan", calls_record.planned, _CASE, (JSON, HTML, TEXT, CALENDAR), ("reader", "units")),
        api.operation("records", _plain(calls_record.opened_record), _CASE),
        api.operation("follow-up", calls_record.followed_up, _RECORD, (JSON, HTML, TEXT), _REPORT),
        api.operation("hand-over", calls_record.handed_over, (*_CASE, *_RECORD), (JSON, HTML, TEXT), ("units",)),
        api.operation("history", calls_record.history, _RECORD, (JSON, HTML, TEXT)),
        *practised,
        ("GET", "knowledge", api.what_is_known),
        ("GET", "openapi.json", api.openapi),
        ("GET", "problems/{kind}", api.problem_kind),
    ]
    return [
        Route(f"{base}/{path}", endpoint, methods=[method])
        for base in ("/api/v1", "/api")
        for method, path, endpoint in found
    ]
