"""The pages of the kept desk: the support page that keeps its calls on it, and the figures."""

from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response

from saltriage.desk.desk import Desk
from saltriage.desk.figure_tables import figure_tables, figures_csv
from saltriage.desk.figures import DeskFigures
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.report.shared.page_engine import environment
from saltriage.web import support
from saltriage.web.answers import options_of
from saltriage.web.engine import json_bytes
from saltriage.web.figures_view import figures_values
from saltriage.web.kept_desk import Acting, Endpoint, KeptDesk, Right
from saltriage.web.second_reader import second_of

__all__ = ["kept_page_routes"]

_TEMPLATES = Path(__file__).parent / "templates"


class _Pages:
    """The endpoints for one desk."""

    def __init__(self, kept: KeptDesk, knowledge: Knowledge) -> None:
        self.kept, self.knowledge = kept, knowledge

    async def support(self, request: Request) -> Response:
        who = await self.kept.run(request, "look", _acting)
        values = {**support.shell(self.knowledge, second_of(request).name), "agent": who.name, "who": who}
        return Response(_text("support.html.j2", values), media_type="text/html")

    async def _figures(self, request: Request, right: Right = "figures") -> DeskFigures:
        return await self.kept.run(request, right, _figures_of, int(options_of(request, "weeks")["weeks"]))

    async def figures(self, request: Request) -> Response:
        values = {**figures_values(await self._figures(request)), "who": await self.kept.acting(request, "figures")}
        return Response(_text("figures.html.j2", values), media_type="text/html")

    async def figures_csv(self, request: Request) -> Response:
        text = figures_csv(figure_tables(await self._figures(request, "export")))
        named = {"Content-Disposition": 'attachment; filename="figures.csv"'}
        return Response(text, media_type="text/csv", headers=named)

    async def figures_data(self, request: Request) -> Response:
        tables = plain_data(figure_tables(await self._figures(request)))
        return Response(json_bytes({"format": 1, "tables": tables}), media_type="application/json")


def _figures_of(desk: Desk, who: Acting, weeks: int) -> DeskFigures:
    return desk.figures(weeks)


def _acting(desk: Desk, who: Acting) -> Acting:
    return who


def _text(template: str, values: dict[str, object]) -> str:
    return environment(_TEMPLATES).get_template(template).render(**values)


def kept_page_routes(kept: KeptDesk, knowledge: Knowledge) -> list[tuple[str, str, Endpoint]]:
    """Method, address and endpoint of pages that take the place of those of a server that keeps nothing."""
    pages = _Pages(kept, knowledge)
    return [
        ("GET", "/support", pages.support),
        ("GET", "/support/figures", pages.figures),
        ("GET", "/support/figures.csv", pages.figures_csv),
        ("GET", "/api/v1/desk/figures", pages.figures_data),
        ("GET", "/api/desk/figures", pages.figures_data),
    ]
