"""The addresses of the desk's own panels and pages."""

from pathlib import Path
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.errors import CaseRefused, Refusal, UsageRefused
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.strict_json import read_json
from saltriage.report.shared.page_engine import environment, style_hash
from saltriage.web import desk_more, support
from saltriage.web.answers import json_body
from saltriage.web.problems import Problem, problem_of
from saltriage.web.work import Work

__all__ = ["desk_routes"]

_TEMPLATES = Path(__file__).parent / "templates"
_MOST_FIELDS = 20
_REPORT_POLICY = "default-src 'none'; style-src {}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


class _Desk:
    """The endpoints for one knowledge base."""

    def __init__(self, knowledge: Knowledge, work: Work) -> None:
        self.knowledge, self.work = knowledge, work
        self.policy = _REPORT_POLICY.format(style_hash())
        self.tag = f'"{knowledge.fingerprint[:32]}"'

    async def symptoms(self, request: Request) -> Response:
        """What the search looks through; the same for everybody, so a browser keeps it."""
        headers = {"ETag": self.tag, "Cache-Control": "no-cache"}
        if request.headers.get("if-none-match") == self.tag:
            return Response(status_code=304, headers=headers)
        return Response(support.symptoms_bytes(self.knowledge), media_type="application/json", headers=headers)

    async def more(self, request: Request) -> Response:
        kind = request.path_params["kind"]
        if kind not in desk_more.KINDS:
            raise Problem("not-found")
        sent = await json_body(request)
        asked = desk_more.read(sent)
        try:
            values = await self.work.run(desk_more.more, kind, asked, self.knowledge)
        except CaseRefused as refused:
            raise problem_of(refused, sent, ("case",)) from None
        except UsageRefused as refused:
            raise _unusable(refused) from None
        text = environment(_TEMPLATES).get_template("desk_more.html.j2").render(**values)
        return Response(text, media_type="text/html")

    async def page(self, request: Request) -> Response:
        """The same to print: the field `sent` of a form holds what the panel's request holds."""
        kind = request.path_params["kind"]
        if kind not in desk_more.PAGES:
            raise Problem("not-found")
        try:
            form = dict(parse_qsl((await request.body()).decode(), errors="strict", max_num_fields=_MOST_FIELDS))
            sent = read_json(form.get("sent", ""), "form").data
            asked = desk_more.read(sent)
        except (ValueError, NotReadable):
            raise Problem("request-refused", "The form cannot be read.") from None
        try:
            text = await self.work.run(desk_more.page, kind, asked, self.knowledge)
        except CaseRefused as refused:
            raise problem_of(refused, sent, ("case",)) from None
        except UsageRefused as refused:
            raise _unusable(refused) from None
        return Response(text, media_type="text/html", headers={"Content-Security-Policy": self.policy})


def _unusable(refused: UsageRefused) -> Problem:
    return Problem("request-refused", str(refused), [Refusal("record", "what was sent", "what fits it", str(refused))])


def desk_routes(knowledge: Knowledge, work: Work) -> list[Route]:
    """Routes below /support, beside the page itself."""
    desk = _Desk(knowledge, work)
    return [
        Route("/support/symptoms", desk.symptoms, methods=["GET"]),
        Route("/support/more/{kind}", desk.more, methods=["POST"]),
        Route("/support/page/{kind}", desk.page, methods=["POST"]),
    ]
