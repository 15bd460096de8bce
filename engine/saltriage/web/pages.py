"""The pages: forms in, HTML out. Owner: works without script. Support: one screen, filled by the script."""

import json
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.case import Case
from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge
from saltriage.practice import PracticeLibrary
from saltriage.report.diagnosis.html import diagnosis_html
from saltriage.report.shared.page_engine import environment, style, style_hash
from saltriage.web import engine, owner, support
from saltriage.web.answers import REPORT_POLICY, json_body, tagged
from saltriage.web.desk_routes import desk_routes
from saltriage.web.owner_routes import owner_routes
from saltriage.web.practice_routes import practice_routes
from saltriage.web.problems import Problem, problem_of
from saltriage.web.second_reader import second_of
from saltriage.web.walk import Walk, WalkRefused
from saltriage.web.work import Work

__all__ = ["page_routes"]

_HERE = Path(__file__).parent
_MOST_FIELDS = 2000


class _Pages:
    """The endpoints for one knowledge base."""

    def __init__(self, knowledge: Knowledge, work: Work) -> None:
        self.knowledge, self.work = knowledge, work
        self.policy = REPORT_POLICY.format(style_hash())

    async def start(self, request: Request) -> Response:
        page = owner.first_page(self.knowledge)
        return _html(page.template, {**page.values, "second": second_of(request).name})

    async def step(self, request: Request) -> Response:
        form = await _form(request)
        try:
            page = await self.work.run(owner.next_page, form, self.knowledge)
            # Only where words are to be confirmed, so never while a danger to life stands first.
            if page.template == "heard.html.j2" and (told := await second_of(request).hearing(form["words"])):
                page = await self.work.run(owner.next_page, form, self.knowledge, told)
        except WalkRefused:
            return _lost()
        return _html(page.template, {**page.values, "second": second_of(request).name})

    async def save_case(self, request: Request) -> Response:
        walk = self._walk(await _form(request))
        if walk is None:
            return _lost()
        return _download(json.dumps(walk.case, ensure_ascii=False, indent=2) + "\n", "case.json")

    async def save_result(self, request: Request) -> Response:
        walk = self._walk(await _form(request))
        if walk is None:
            return _lost()
        body = await self.work.run(engine.diagnosis_bytes, walk.case, self.knowledge)
        return _download(body.decode(), "diagnosis.json")

    async def report(self, request: Request) -> Response:
        form = await _form(request)
        walk = self._walk(form)
        if walk is None:
            return _lost()
        reader, full = "support" if form.get("reader") == "support" else "owner", form.get("full") == "yes"

        def made() -> str:
            diagnosis = engine.diagnosed(engine.examined_case(walk.case, self.knowledge))
            return diagnosis_html(diagnosis, self.knowledge, reader=reader, units=walk.units, full=full)

        text = await self.work.run(made)
        return Response(text, media_type="text/html", headers={"Content-Security-Policy": self.policy})

    def _walk(self, form: Mapping[str, str]) -> Walk | None:
        """What a form carries; None where it cannot be read or its case is refused."""
        try:
            walk = Walk.from_text(form.get("state", ""))
            Case.from_data(walk.case, self.knowledge)
        except (WalkRefused, CaseRefused):
            return None
        return walk

    async def desk(self, request: Request) -> Response:
        return _html("support.html.j2", support.shell(self.knowledge, second_of(request).name))

    async def panels(self, request: Request) -> Response:
        sent = support.checked(await json_body(request))
        try:
            values = await self.work.run(support.panels, sent, self.knowledge)
        except CaseRefused as refused:
            raise problem_of(refused, sent, ("case",)) from None
        return _html("panels.html.j2", values)

    async def open_case(self, request: Request) -> Response:
        sent = await json_body(request)
        text = sent.get("text") if isinstance(sent, dict) else None
        if not isinstance(text, str):
            raise Problem("request-refused", 'Send {"text": the case file}.')
        try:
            data = await self.work.run(support.case_from_text, text, self.knowledge)
        except CaseRefused as refused:
            raise problem_of(refused, sent, ("text",)) from None
        return Response(json.dumps(data, ensure_ascii=False), media_type="application/json")


async def _static_file(request: Request) -> Response:
    found = _static().get(request.path_params["name"])
    if found is None:
        raise Problem("not-found")
    return found(request)


def page_routes(knowledge: Knowledge, work: Work, library: PracticeLibrary) -> list[Route]:
    """Routes of all pages and of what they load. Args: library: calls to practise on."""
    pages = _Pages(knowledge, work)
    found: list[tuple[str, str, Callable[..., Any]]] = [
        ("GET", "/", pages.start),
        ("POST", "/owner", pages.step),
        ("POST", "/owner/case.json", pages.save_case),
        ("POST", "/owner/diagnosis.json", pages.save_result),
        ("POST", "/owner/report", pages.report),
        ("GET", "/support", pages.desk),
        ("POST", "/support/panels", pages.panels),
        ("POST", "/support/case", pages.open_case),
        ("GET", "/static/{name}", _static_file),
    ]
    routes = [Route(path, endpoint, methods=[method]) for method, path, endpoint in found]
    more = (owner_routes(knowledge, work, _html, _text), practice_routes(library, work, _html, _form))
    return [*routes, *(route for each in more for route in each), *desk_routes(knowledge, work)]


async def _form(request: Request) -> dict[str, str]:
    """The fields of a form; of two with one name the last counts. Raises: Problem."""
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != "application/x-www-form-urlencoded":
        raise Problem("wrong-media-type", "This address takes the forms of the pages.")
    try:
        text = (await request.body()).decode("utf-8")
        pairs = parse_qsl(text, keep_blank_values=True, errors="strict", max_num_fields=_MOST_FIELDS)
    except ValueError:
        raise Problem("request-refused", "The form cannot be read.") from None
    return {name: value.replace("\r\n", "\n") for name, value in pairs}


def _html(template: str, values: Mapping[str, Any], status: int = 200) -> Response:
    return Response(_text(template, values), status, media_type="text/html")


def _text(template: str, values: Mapping[str, Any]) -> str:
    return environment(_HERE / "templates").get_template(template).render(**values)


def _lost() -> Response:
    """The page for a form whose hidden field was changed or cut off."""
    return _html("lost.html.j2", {"walk": Walk(), "step": "lost", "refusals": ()}, 400)


def _download(text: str, name: str) -> Response:
    return Response(
        text, media_type="application/json", headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


_MEDIA_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


@cache
def _static() -> dict[str, Callable[[Request], Response]]:
    """Everything that pages load, by name."""
    files = {path.name: path.read_bytes() for path in sorted((_HERE / "static").iterdir()) if path.is_file()}
    files["ink.css"] = style().encode()
    return {
        name: tagged(body, media_type=_MEDIA_TYPES.get(Path(name).suffix, "text/plain")) for name, body in files.items()
    }
