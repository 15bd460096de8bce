"""Refusals of the API as problem details (RFC 9457): what was wrong, in which field, and how to mend it."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.responses import Response

from saltriage.errors import CaseRefused, Refusal
from saltriage.guard import Dangers, guard_refused
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.web.pointers import Path, pointer, steps_to

__all__ = ["KINDS", "FieldError", "Kind", "Problem", "problem_of", "problem_response"]

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: HTTP status, title, and what a client can do."""

    status: int
    title: str
    advice: str


KINDS: Mapping[str, Kind] = {
    "not-json": Kind(400, "The body is not JSON", "Send one JSON value in UTF-8, each key once, not nested deeply."),
    "not-found": Kind(404, "There is nothing here", "See /api/v1/openapi.json for what there is."),
    "method-not-allowed": Kind(405, "This address takes another method", "The Allow header names it."),
    "not-acceptable": Kind(406, "There is no such form of this answer", "Ask for another in Accept, or leave it out."),
    "too-slow": Kind(408, "The request took too long to arrive", "Send it again over a better line."),
    "too-large": Kind(413, "The request is too large", "A case is a few kilobytes; leave out what is not the case."),
    "wrong-host": Kind(421, "This server does not answer under that name", "Start it with --host-name NAME."),
    "wrong-media-type": Kind(415, "The body is not marked as JSON", "Send Content-Type: application/json."),
    "request-refused": Kind(422, "The request does not have the expected shape", "Mend the fields under errors."),
    "case-refused": Kind(422, "The case cannot be believed or understood", "Mend the fields under errors."),
    "sign-in-needed": Kind(401, "You are not signed in", "Sign in at /login; a session ends after an hour of rest."),
    "not-allowed": Kind(403, "Your role does not allow this", "Ask a lead or a maintainer of the desk."),
    "another-agent": Kind(403, "Somebody else is signed in by now", "Load the page anew; it was made for another."),
    "stale-form": Kind(403, "The form is from another session", "Load the page anew and send it again."),
    "needs-tls": Kind(403, "This must come encrypted", "Open the address with https:// in front."),
    "too-many-tries": Kind(429, "Too many tries", "Come back after the time in Retry-After."),
    "foreign-page": Kind(403, "The request comes from a page of another site", "Open the desk at its own address."),
    "no-such-call": Kind(404, "The desk has no such call", "Look it up; it may have been forgotten."),
    "call-changed": Kind(
        409, "Somebody else changed the call", "Put yours beside theirs and send the version of today."
    ),
    "call-closed": Kind(409, "The call is closed", "Reopen it first."),
    "desk-trouble": Kind(503, "The desk's database does not answer", "Keep what you have and send it again."),
    "our-fault": Kind(500, "Something broke inside", "Report it with the case that showed it."),
    "busy": Kind(503, "Too much to do at the moment", "Come back after the time in Retry-After."),
}


@dataclass(frozen=True, slots=True)
class FieldError:
    """What is wrong with one field.

    Args: steps: keys and places in lists that lead to it in the body. parameter: the option in the address, where it
    is one.
    """

    refusal: Refusal
    steps: Path = ()
    parameter: str = ""


class Problem(Exception):
    """A refusal of one request.

    Args: kind: key of KINDS. errors: of fields; a refusal alone lies where its dotted path says. dangers: that stand
    all the same. more: further members (RFC 9457, section 3.2).
    """

    def __init__(
        self, kind: str, detail: str = "", errors: Sequence[FieldError | Refusal] = (), dangers: Dangers | None = None,
        *, more: Mapping[str, Any] | None = None,
    ) -> None:  # fmt: skip
        self.kind, self.detail, self.dangers, self.more = kind, detail, dangers, more or {}
        self.errors = tuple(
            FieldError(each, tuple(each.field.split("."))) if isinstance(each, Refusal) else each for each in errors
        )
        super().__init__(detail or KINDS[kind].title)


_NO_BODY = object()


def problem_of(refused: CaseRefused, body: object = _NO_BODY, *places: Path) -> Problem:
    """The problem that a refused case is.

    Args: body: of the request; left out, a field lies where its dotted path says. places: where in the body the fields
    of the case may lie, the first that has them counts; the body itself where none is given.
    """
    errors = [
        FieldError(
            each, tuple(each.field.split(".")) if body is _NO_BODY else steps_to(each.field, body, places or ((),))
        )
        for each in refused.refusals
    ]
    return Problem("case-refused", f"{len(errors)} field(s) of the case are refused.", errors, guard_refused(refused))


def problem_data(problem: Problem) -> dict[str, Any]:
    """The problem details object."""
    kind = KINDS[problem.kind]
    data: dict[str, Any] = {
        "type": f"/api/v1/problems/{problem.kind}",
        "title": kind.title,
        "status": kind.status,
        "detail": problem.detail or kind.advice,
    }
    if problem.dangers is not None and problem.dangers.standing:
        data["stops"] = plain_data(problem.dangers.notices)
        data["orders"] = plain_data(problem.dangers.order_lines)
    if problem.errors:
        data["errors"] = [
            {
                "field": each.refusal.field,
                **({"parameter": each.parameter} if each.parameter else {"pointer": pointer(each.steps)}),
                "found": each.refusal.found,
                "expected": each.refusal.expected,
                "mend": each.refusal.mend,
            }
            for each in problem.errors
        ]
    return data | dict(problem.more)


_MORE_HEADERS: Mapping[int, Mapping[str, str]] = {
    401: {"WWW-Authenticate": 'Form realm="desk", page="/login"'},  # some challenge must stand there (RFC 9110, 15.5.2)
    503: {"Retry-After": "5"},
}


def problem_response(problem: Problem, headers: Mapping[str, str] | None = None) -> Response:
    """The problem as an answer."""
    more = _MORE_HEADERS.get(KINDS[problem.kind].status, {})
    text = json.dumps(problem_data(problem), ensure_ascii=False, indent=2) + "\n"
    return Response(
        text.encode("utf-8", "backslashreplace"),  # half of a pair, as it may stand in the name of a field
        KINDS[problem.kind].status,
        headers={**more, **(headers or {})},
        media_type=MEDIA_TYPE,
    )
