"""What is fuzzed, as functions of bytes: each returns quietly or raises, and whatever it raises is a bug.

`loader`: a case, or a rule file, out of any bytes. `words`: a caller's words. `api`: a request to the server.
"""

import asyncio
import json
from collections.abc import Callable
from functools import cache
from typing import Any

from saltriage.case import Case, load_case_text
from saltriage.case.saving import case_to_data
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.strict_yaml import read_yaml
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.words import hear

PATHS = (
    "/api/v1/diagnose", "/api/v1/next-question", "/api/v1/words", "/api/v1/water", "/api/diagnose", "/owner",
    "/owner/report", "/owner/case.json", "/support/panels", "/support/case", "/api/v1/problems/x",
)  # fmt: skip


@cache
def knowledge() -> Knowledge:
    return load_knowledge()


def loader(data: bytes) -> None:
    """The first byte chooses: YAML case, JSON case, rule file. A case that is taken can be saved and diagnosed."""
    kind, text = data[:1], data[1:]
    if kind == b"r":
        try:
            read_yaml(text, "rule.yaml")
        except NotReadable as refused:
            _must_be_told(str(refused.finding))
        return
    try:
        case = load_case_text(text, knowledge(), "case.json" if kind == b"j" else "case.yaml")
    except CaseRefused as refused:
        _must_be_told(str(refused))
        return
    assert Case.from_data(case_to_data(case), knowledge()) == case
    result = diagnose(case, knowledge(), next_check=False)
    assert diagnosis_text(result, reader="owner", units="us", colour=False)


def _must_be_told(reason: str) -> None:
    """A refusal says why, and can be printed."""
    assert reason.encode("utf-8")


def words(data: bytes) -> None:
    """Candidates name symptoms and readings that exist, and words that were said."""
    text = data.decode("utf-8", "surrogatepass" if data[:1] == b"\xed" else "replace")
    heard = hear(text, knowledge(), "us" if len(data) % 2 else None)
    assert all(each.id in knowledge().symptoms for each in heard.symptoms)
    assert all(each.id in knowledge().readings for each in heard.readings)
    json.dumps([each.words for each in heard.symptoms])


def api(data: bytes) -> None:
    """Path and media type by the first byte; never an answer of 500 and up, always a body that can be read."""
    place = data[0] if data else 0
    path = PATHS[place % len(PATHS)]
    media_type = b"application/json" if place < 128 else b"application/x-www-form-urlencoded"
    status, body = asyncio.run(_asked(path, media_type, data[1:]))
    assert 200 <= status < 500, body[:300]
    if path.startswith("/api/") and body:
        json.loads(body)


async def _asked(path: str, media_type: bytes, body: bytes) -> tuple[int, bytes]:
    """Status and body of the answer of the application to one POST."""
    from saltriage.web.app import create_app

    sent: list[dict[str, Any]] = []
    told = False

    async def receive() -> dict[str, Any]:
        nonlocal told
        if told:
            return {"type": "http.disconnect"}
        told = True
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    headers = [(b"host", b"localhost"), (b"content-type", media_type), (b"content-length", b"%d" % len(body))]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": path, "raw_path": path.encode(), "root_path": "", "query_string": b"", "headers": headers,
        "client": ("127.0.0.1", 1), "server": ("localhost", 80), "state": {},
    }  # fmt: skip
    await create_app(knowledge())(scope, receive, send)
    status = next(message["status"] for message in sent if message["type"] == "http.response.start")
    return status, b"".join(message.get("body", b"") for message in sent)


TARGETS: dict[str, Callable[[bytes], None]] = {"loader": loader, "words": words, "api": api}
