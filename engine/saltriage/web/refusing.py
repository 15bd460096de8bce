"""A refusal for whoever asked: a small page for a browser that wants one, problem details for everything else."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from jinja2 import Template
from starlette.responses import Response

from saltriage.report.shared.page_engine import environment
from saltriage.web.answers import HTML, JSON, liking
from saltriage.web.problems import KINDS, MEDIA_TYPE, Problem, problem_response

__all__ = ["refusal", "wants_page"]


def refusal(path: str, accept: str, problem: Problem, headers: Mapping[str, str] | None = None) -> Response:
    """The answer to a request that is refused.

    Args: path, accept: of the request; what lies under /api is for programs, whatever they accept.
    """
    if not wants_page(path, accept):
        return problem_response(problem, headers)
    kind = KINDS[problem.kind]
    text = _template().render(kind=problem.kind, title=kind.title, status=kind.status)
    return Response(text, kind.status, headers=dict(headers or {}), media_type=HTML)


def wants_page(path: str, accept: str) -> bool:
    """Whether a page is the answer. Args: as of `refusal`."""
    for_programs = path == "/api" or path.startswith(("/api/", "/healthz", "/static/"))
    return not for_programs and liking(HTML, accept) > max(liking(JSON, accept), liking(MEDIA_TYPE, accept))


@cache
def _template() -> Template:
    return environment(Path(__file__).parent / "templates").get_template("refused.html.j2")
