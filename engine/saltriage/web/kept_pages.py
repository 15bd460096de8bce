"""The pages of the kept desk: the support page that keeps its calls on it."""

from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.desk.desk import Desk
from saltriage.knowledge.model import Knowledge
from saltriage.report.shared.page_engine import environment
from saltriage.web import support
from saltriage.web.kept_desk import Acting, KeptDesk

__all__ = ["kept_page_routes"]

_TEMPLATES = Path(__file__).parent / "templates"


class _Pages:
    """The endpoints for one desk."""

    def __init__(self, kept: KeptDesk, knowledge: Knowledge) -> None:
        self.kept, self.knowledge = kept, knowledge

    async def support(self, request: Request) -> Response:
        who = await self.kept.run(request, "look", _acting)
        values = {**support.shell(self.knowledge), "agent": who.name}
        return Response(_text("support.html.j2", values), media_type="text/html")


def _acting(desk: Desk, who: Acting) -> Acting:
    return who


def _text(template: str, values: dict[str, object]) -> str:
    return environment(_TEMPLATES).get_template(template).render(**values)


def kept_page_routes(kept: KeptDesk, knowledge: Knowledge) -> list[Route]:
    """Pages that take the place of those of a server that keeps nothing."""
    pages = _Pages(kept, knowledge)
    return [Route("/support", pages.support, methods=["GET"])]
