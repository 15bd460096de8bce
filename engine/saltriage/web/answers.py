"""What requests and answers of the API have in common: bodies read and checked, forms of an answer chosen."""

import gzip
import hashlib
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from starlette.requests import Request
from starlette.responses import Response

from saltriage.case import Case
from saltriage.errors import CaseRefused, Refusal
from saltriage.guard import Dangers, guard, guard_refused
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.strict_json import read_json
from saltriage.pool.units import shortened
from saltriage.report.shared.page_engine import style_hash
from saltriage.web.openapi_desk import DESK_BODIES, WEEKS, WHICH
from saltriage.web.openapi_requests import BODIES, QUERY
from saltriage.web.pointers import Path
from saltriage.web.problems import FieldError, Problem

__all__ = [
    "CALENDAR", "HTML", "JSON", "REPORT_POLICY", "TEXT", "body_of", "form_wanted", "in_form", "json_body", "liking",
    "options_of", "tagged", "told_dangers",
]  # fmt: skip

REPORT_POLICY = "default-src 'none'; style-src {}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
JSON, HTML, TEXT, CALENDAR = "application/json", "text/html", "text/plain", "text/calendar"
_MOST_ERRORS = 20  # of shape; nobody mends more at once


async def json_body(request: Request) -> Any:
    """The JSON value in a request. Raises: Problem."""
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != JSON:
        raise Problem("wrong-media-type", f"Found Content-Type {shortened(media_type or 'none')}.")
    try:
        return read_json(await request.body(), "request body").data
    except NotReadable as reason:
        found = reason.finding
        raise Problem("not-json", f"Line {found.line}, column {found.column}: {found.message} {found.mend}") from None


async def body_of(request: Request, operation: str, knowledge: Knowledge) -> dict[str, Any]:
    """The body of a request, if it has the shape of the operation's. Raises: Problem, with the dangers in it."""
    data = await json_body(request)
    errors = [each for error in _validator(operation).iter_errors(data) for each in _field_errors(error)]
    if errors:
        told = f"{len(errors)} field(s) are refused."
        raise Problem("request-refused", told, errors[:_MOST_ERRORS], told_dangers(data, knowledge))
    found: dict[str, Any] = data
    return found


@cache
def _validator(operation: str) -> Draft202012Validator:
    return Draft202012Validator({**BODIES, **DESK_BODIES}[operation])


def _field_errors(error: ValidationError) -> list[FieldError]:
    """An error of the schema at the field that is meant; each key too many by itself."""
    steps: Path = tuple(error.absolute_path)
    data: Any = error.instance
    if error.validator == "additionalProperties" and isinstance(error.schema, Mapping):
        known = error.schema.get("properties", {})
        extra = [key for key in data if key not in known]
        expected = f"one of {', '.join(known)}"
        return [_field_error((*steps, key), f"the unknown key {shortened(key)}", expected) for key in extra]
    return [_field_error(steps, shortened(data), error.message[-200:])]


def _field_error(steps: Path, found: str, expected: str) -> FieldError:
    return FieldError(Refusal(".".join(map(str, steps)) or "body", found, expected), steps)


def told_dangers(data: object, knowledge: Knowledge) -> Dangers | None:
    """The dangers that a refused body tells of, in its case and in its words."""
    if not isinstance(data, Mapping):
        return None
    held = data.get("record", data.get("interview"))
    inner = held.get("case", held.get("beginning")) if isinstance(held, Mapping) else None
    case = data.get("case", inner)
    told = dict(case) if isinstance(case, Mapping) else {}
    words = data.get("words", data.get("text"))
    if isinstance(words, str):
        told["said"] = f"{told.get('said', '')}\n{words}"[-4000:]
    for answers in (data.get("said"), data.get("symptoms")):
        _add(told, answers, knowledge)
    for step in _steps(held):
        _add(told, step.get("said"), knowledge)
    try:
        return guard(Case.from_data(told, knowledge), knowledge)
    except CaseRefused as refused:
        return guard_refused(refused)


def _steps(held: object) -> list[Mapping[str, Any]]:
    steps = held.get("steps") if isinstance(held, Mapping) else None
    return [each for each in steps if isinstance(each, Mapping)] if isinstance(steps, list) else []


def _add(told: dict[str, Any], answers: object, knowledge: Knowledge) -> None:
    """Answers into a case that is only looked at for dangers."""
    symptoms = told.get("symptoms", {})
    if isinstance(answers, Mapping) and isinstance(symptoms, Mapping):
        known = {each: answer for each, answer in answers.items() if each in knowledge.symptoms}
        told["symptoms"] = {**known, **symptoms}


def options_of(request: Request, *names: str) -> dict[str, str]:
    """The options in the address, with their usual values. Raises: Problem."""
    found = {}
    for name in names:
        allowed = {**QUERY, "which": WHICH, "weeks": WEEKS}[name]["enum"]
        value = request.query_params.get(name, allowed[0])
        if value not in allowed:
            refusal = Refusal(name, shortened(value), f"one of {', '.join(allowed)}")
            raise Problem("request-refused", f"The option {name} is refused.", [FieldError(refusal, parameter=name)])
        found[name] = value
    return found


def form_wanted(request: Request, offered: tuple[str, ...]) -> str:
    """The media type of the answer: of those offered what Accept likes best (RFC 9110, section 12.5.1).

    Raises: Problem where it likes none.
    """
    wanted = request.headers.get("accept", "*/*")
    best, liked = "", 0.0
    for each in offered:
        weight = liking(each, wanted)
        if weight > liked:
            best, liked = each, weight
    if not best:
        raise Problem("not-acceptable", f"There is {', '.join(offered)}.")
    return best


def liking(media_type: str, wanted: str) -> float:
    """How much Accept likes a media type, 0 to 1; the most exact range that names it counts."""
    exactness = {media_type: 3, f"{media_type.partition('/')[0]}/*": 2, "*/*": 1}
    found, at = 0.0, 0
    for part in wanted.split(","):
        name, *parameters = (piece.strip().lower() for piece in part.split(";"))
        exact = exactness.get(name, 0)
        if exact > at:
            weights = [each[2:] for each in parameters if each.startswith("q=")]
            at, found = exact, _number(weights[0]) if weights else 1.0
    return found


def _number(text: str) -> float:
    try:
        return min(1.0, max(0.0, float(text)))
    except ValueError:
        return 0.0


def in_form(body: str | bytes, media_type: str) -> Response:
    """An answer in one of its forms; a page may use its own style and nothing else."""
    policy = {"Content-Security-Policy": REPORT_POLICY.format(style_hash())} if media_type == HTML else {}
    return Response(body, media_type=media_type, headers=policy)


def tagged(body: bytes, tag: str = "", media_type: str = JSON) -> Callable[[Request], Response]:
    """What never changes while the server runs: clients keep it and ask by its tag (RFC 9110, section 8.8.3)."""
    named = f'"{tag or hashlib.sha256(body).hexdigest()[:24]}"'
    # Weak: packed and unpacked have the same tag (section 8.8.1).
    headers = {"ETag": f"W/{named}", "Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
    packed = cache(lambda: gzip.compress(body, 9, mtime=0))

    def answer(request: Request) -> Response:
        if named in request.headers.get("if-none-match", ""):
            return Response(status_code=304, headers=headers)
        if "gzip" in request.headers.get("accept-encoding", ""):
            return Response(packed(), headers={**headers, "Content-Encoding": "gzip"}, media_type=media_type)
        return Response(body, headers=headers, media_type=media_type)

    return answer
