"""Addresses of the practice pages."""

from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from saltriage.errors import UsageRefused
from saltriage.practice import PracticeLibrary
from saltriage.web.practice_pages import practice_page
from saltriage.web.problems import Problem
from saltriage.web.work import Work

__all__ = ["practice_routes"]


def practice_routes(
    library: PracticeLibrary,
    work: Work,
    shown: Callable[[str, Mapping[str, Any]], Response],
    form_of: Callable[[Request], Awaitable[dict[str, str]]],
) -> list[Route]:
    """The routes. Args: shown: makes the answer of a template and its values.    form_of: the fields of a request."""

    async def page(form: Mapping[str, str]) -> Response:
        try:
            template, values = await work.run(practice_page, form, library)
        except UsageRefused as refused:
            raise Problem("request-refused", str(refused)) from None
        return shown(template, values)

    async def begin(request: Request) -> Response:
        """A call taken by chance, or the one in the address."""
        number = request.query_params.get("call", "")
        return await page({"call": number} if number else {})

    async def go_on(request: Request) -> Response:
        return await page(await form_of(request))

    return [Route("/practice", begin, methods=["GET"]), Route("/practice", go_on, methods=["POST"])]
