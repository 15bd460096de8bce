"""What one worker does: lines of JSON cases -> lines of JSON results, ranked together.

The only function a process pool or a cluster has to run is `diagnosed_lines`; it takes and gives plain bytes.
"""

import json
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from saltriage.believe import believe
from saltriage.case import load_case_text
from saltriage.diagnosis import diagnosis_of
from saltriage.errors import CaseRefused, SaltriageError
from saltriage.explain import Explained, explain, explain_together
from saltriage.find import Found, find
from saltriage.guard import guard_refused
from saltriage.knowledge import load_knowledge
from saltriage.report.diagnosis.json_form import diagnosis_data, plain_data

if TYPE_CHECKING:
    from saltriage.knowledge.model import Knowledge

__all__ = ["Line", "diagnosed_lines", "knowledge_of"]

Line = tuple[int, bytes]
"""Number of the line in the input, from 1, and what it holds."""


@lru_cache(maxsize=2)
def knowledge_of(rules: Path | None) -> "Knowledge":
    """The knowledge that this process works with: the same to the end of a run, whatever happens to the files."""
    return load_knowledge(rules)


def diagnosed_lines(lines: Sequence[Line], rules: Path | None = None) -> list[bytes]:
    """One line of JSON, without line feed, for every line given, in the same order.

    A case that is refused gives ``{"line": n, "error": ...}``; an empty line counts as a refused case. A fault of ours
    spoils its own line only. Next checks are left out: they take most of the time and nobody is there to ask.
    """
    knowledge = knowledge_of(rules)
    results: dict[int, bytes] = {}
    waiting: list[tuple[int, Found]] = []
    for number, text in lines:
        try:
            case = load_case_text(text, knowledge, f"line-{number}.json")
            waiting.append((number, find(believe(case, knowledge))))
        except Exception as trouble:
            results[number] = _error(number, trouble)
    for number, explained in _explained(waiting):
        try:
            if isinstance(explained, Exception):
                raise explained
            results[number] = _compact({"line": number, **diagnosis_data(diagnosis_of(explained, next_check=False))})
        except Exception as trouble:
            results[number] = _error(number, trouble)
    return [results[number] for number, _ in lines]


def _explained(waiting: list[tuple[int, Found]]) -> list[tuple[int, Explained | Exception]]:
    """Ranked together; one by one where one of them cannot be ranked, so that it does not spoil the others."""
    numbers = [number for number, _ in waiting]
    try:
        return list(zip(numbers, explain_together([found for _, found in waiting]), strict=True))
    except Exception:
        return [(number, _explained_alone(found)) for number, found in waiting]


def _explained_alone(found: Found) -> Explained | Exception:
    try:
        return explain(found)
    except Exception as trouble:
        return trouble


def _error(number: int, trouble: Exception) -> bytes:
    """The error line. Raises: MemoryError again, which is no fault of the line."""
    if isinstance(trouble, MemoryError):
        raise trouble
    if isinstance(trouble, CaseRefused):
        title, reasons = "case refused", [str(reason) for reason in trouble.refusals]
    elif isinstance(trouble, SaltriageError):
        title, reasons = "not diagnosed", [str(trouble)]
    else:
        title, reasons = "fault inside saltriage", [f"{type(trouble).__name__}: {trouble}"]
    error: dict[str, Any] = {"line": number, "error": {"title": title, "reasons": reasons}}
    if isinstance(trouble, CaseRefused) and (dangers := guard_refused(trouble)).standing:
        error |= {"stops": plain_data(dangers.notices), "orders": plain_data(dangers.order_lines)}
    return _compact(error)


def _compact(data: dict[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "backslashreplace")
