"""Addresses of the owner's pages beside the form: what a reload asks for, hearing while typing, the sheet of parts."""

from collections.abc import Awaitable, Callable
from pathlib import Path
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from saltriage.knowledge.model import Knowledge
from saltriage.report.shared.pictures import drawing
from saltriage.web.owner_pages import shown_page
from saltriage.web.owner_words import heard_rows
from saltriage.web.parts_sheet import parts_values
from saltriage.web.problems import Problem
from saltriage.web.second_reader import second_of
from saltriage.web.walk import Walk
from saltriage.web.work import Work
from saltriage.words.hearing import LONGEST

__all__ = ["owner_routes"]

_WORKER = Path(__file__).parent / "static" / "sw.js"
_WITHOUT_CASE = ("words", "list", "numbers", "pool", "spot")
Shown = Callable[[str, dict[str, object]], Response]


def owner_routes(knowledge: Knowledge, work: Work, shown: Shown, text_of: Callable[..., str]) -> list[Route]:
    """The routes. Args: shown: makes the answer of a template and its values; text_of: only its text."""

    async def resumed(request: Request) -> Response:
        """A page by its address: empty where it needs no case, else a page whose script takes up what was kept."""
        step, part = request.path_params["step"], request.path_params.get("part", "")
        if step in _WITHOUT_CASE:
            page = shown_page(f"{step}:{part}" if part else step, Walk(), knowledge)
            return shown(page.template, {**page.values, "second": second_of(request).name})
        if step not in ("question", "result", "heard"):
            raise Problem("not-found")
        return shown("resume.html.j2", {"walk": Walk(), "step": "resume", "address": ""})

    async def hear(request: Request) -> Response:
        """What the words in the form's field mean: marks for the text, rows as HTML."""
        try:
            fields = dict(parse_qsl((await request.body()).decode("utf-8"), keep_blank_values=True, max_num_fields=9))
        except ValueError:
            raise Problem("request-refused", "The form cannot be read.") from None
        walk = Walk(units="us" if fields.get("units") == "us" else "metric")
        words = fields.get("words", "")[:LONGEST]
        second = await second_of(request).hearing(words, finished=fields.get("finished") == "yes")
        heard = await work.run(heard_rows, words, walk, knowledge, second)
        rows = text_of("rows.html.j2", {"heard": heard})
        told = {"pieces": heard.pieces, "count": heard.count, "danger": heard.danger, "rows": rows}
        return JSONResponse(told)

    async def without_line(request: Request) -> Response:
        """The service worker; it stands at the top so that it may answer for every page."""
        return Response(_WORKER.read_bytes(), media_type="text/javascript", headers={"Cache-Control": "no-cache"})

    async def parts(request: Request) -> Response:
        return shown("parts_sheet.html.j2", parts_values(drawing))

    found: list[tuple[str, str, Callable[[Request], Awaitable[Response]]]] = [
        ("POST", "/owner/hear", hear),
        ("GET", "/owner/{step}", resumed),
        ("GET", "/owner/{step}/{part}", resumed),
        ("GET", "/sw.js", without_line),
        ("GET", "/parts", parts),
    ]
    return [Route(path, endpoint, methods=[method]) for method, path, endpoint in found]
