"""The HTTP API, version 1. Every answer is described in the OpenAPI document that `saltriage.web.openapi` makes."""

from collections.abc import Awaitable, Callable
from typing import Any

from jsonschema import Draft202012Validator
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.errors import CaseRefused, Refusal
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.strict_json import read_json
from saltriage.pool.units import shortened
from saltriage.web import engine
from saltriage.web.openapi import NEXT_QUESTION_REQUEST, WORDS_REQUEST, openapi_document
from saltriage.web.problems import KINDS, Problem, problem_of
from saltriage.web.work import Work

__all__ = ["api_routes", "json_body"]

Endpoint = Callable[[Request], Awaitable[Response]]


async def json_body(request: Request) -> Any:
    """The JSON value in a request. Raises: Problem."""
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != "application/json":
        raise Problem("wrong-media-type", f"Found Content-Type {shortened(media_type or 'none')}.")
    try:
        return read_json(await request.body(), "request body").data
    except NotReadable as reason:
        found = reason.finding
        raise Problem("not-json", f"Line {found.line}, column {found.column}: {found.message} {found.mend}") from None


def _checked(data: Any, schema: dict[str, Any]) -> Any:
    """The data, if it has the shape of the schema. Raises: Problem with the path of each field."""
    errors = [
        Refusal(".".join(map(str, error.absolute_path)) or "body", shortened(error.instance), error.message[:200])
        for error in Draft202012Validator(schema).iter_errors(data)
    ]
    if errors:
        raise Problem("request-refused", f"{len(errors)} field(s) are refused.", errors[:20])
    return data


class _Api:
    """The endpoints for one knowledge base."""

    def __init__(self, knowledge: Knowledge, work: Work) -> None:
        self.knowledge, self.work = knowledge, work
        self.document = engine.json_bytes(openapi_document())
        self.known = engine.knowledge_data(knowledge)
        self.tag = f'"{knowledge.fingerprint[:32]}"'

    async def diagnose(self, request: Request) -> Response:
        return await self._of_case(request, engine.diagnosis_bytes)

    async def water(self, request: Request) -> Response:
        return await self._of_case(request, engine.water_bytes)

    async def _of_case(self, request: Request, function: Callable[[object, Knowledge], bytes]) -> Response:
        data = await json_body(request)
        try:
            return _json_response(await self.work.run(function, data, self.knowledge))
        except CaseRefused as refused:
            raise problem_of(refused) from None

    async def next_question(self, request: Request) -> Response:
        data = _checked(await json_body(request), NEXT_QUESTION_REQUEST)
        try:
            found = await self.work.run(
                engine.question_data,
                data["case"],
                data.get("skipped", []),
                int(data.get("asked", 0)),
                data.get("insists", False),
                self.knowledge,
            )
        except CaseRefused as refused:
            raise problem_of(refused, "case") from None
        return _json_response(found)

    async def words(self, request: Request) -> Response:
        data = _checked(await json_body(request), WORDS_REQUEST)
        heard = await self.work.run(engine.words_data, data["text"], data.get("units", ""), self.knowledge)
        return _json_response(heard)

    async def what_is_known(self, request: Request) -> Response:
        headers = {"ETag": self.tag, "Cache-Control": "no-cache"}
        if request.headers.get("if-none-match") == self.tag:
            return Response(status_code=304, headers=headers)
        return _json_response(self.known, headers)

    async def openapi(self, request: Request) -> Response:
        return _json_response(self.document)

    async def problem_kind(self, request: Request) -> Response:
        kind = KINDS.get(request.path_params["kind"])
        if kind is None:
            raise Problem("not-found")
        about = {"title": kind.title, "status": kind.status, "advice": kind.advice}
        return _json_response(engine.json_bytes(about))


def api_routes(knowledge: Knowledge, work: Work) -> list[Route]:
    """Routes below /api/v1, each also below /api, which answers for the newest version."""
    api = _Api(knowledge, work)
    found: list[tuple[str, str, Endpoint]] = [
        ("POST", "diagnose", api.diagnose),
        ("POST", "next-question", api.next_question),
        ("POST", "words", api.words),
        ("POST", "water", api.water),
        ("GET", "knowledge", api.what_is_known),
        ("GET", "openapi.json", api.openapi),
        ("GET", "problems/{kind}", api.problem_kind),
    ]
    return [
        Route(f"{base}/{path}", endpoint, methods=[method])
        for base in ("/api/v1", "/api")
        for method, path, endpoint in found
    ]


def _json_response(body: bytes, headers: dict[str, str] | None = None) -> Response:
    return Response(body, headers=headers, media_type="application/json")
