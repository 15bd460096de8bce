"""The addresses of the kept desk: below /api/v1/desk, and also below /api/desk as all of the API."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.desk.desk import Desk
from saltriage.web.engine import json_bytes
from saltriage.web.kept_desk import Acting, KeptDesk
from saltriage.web.settings import DeskSettings
from saltriage.web.work import Work

__all__ = ["kept_routes"]


class _Kept:
    """The endpoints for one desk."""

    def __init__(self, kept: KeptDesk) -> None:
        self.kept = kept

    async def about(self, request: Request) -> Response:
        return _json(await self.kept.run(request, "look", _about))


def _about(desk: Desk, who: Acting) -> dict[str, object]:
    with desk.connected.reading():
        return {"agent": who.name}


def _json(data: object) -> Response:
    return Response(json_bytes(data), media_type="application/json")


def kept_routes(settings: DeskSettings, work: Work) -> list[Route]:
    """Routes to kept calls; opens the desk. Raises: UsageRefused."""
    kept = _Kept(KeptDesk(settings, work))
    return [Route(f"{base}/desk", kept.about, methods=["GET"]) for base in ("/api/v1", "/api")]
