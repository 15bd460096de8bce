"""What one worker does: lines of JSON cases -> lines of JSON results, ranked together.

The only function a process pool or a cluster has to run is `diagnosed_lines`; it takes and gives plain bytes.
"""

import json
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from saltriage.case import load_case_text
from saltriage.diagnosis import Examined, diagnosis_of, matched, with_rankings
from saltriage.errors import CaseRefused, SaltriageError
from saltriage.knowledge import load_knowledge
from saltriage.report.json_form import diagnosis_data

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
    waiting: list[tuple[int, Examined]] = []
    for number, text in lines:
        try:
            case = load_case_text(text, knowledge, f"line-{number}.json")
            waiting.append((number, matched(case, knowledge)))
        except Exception as trouble:
            results[number] = _error(number, trouble)
    for number, examined in _ranked(waiting):
        try:
            results[number] = _compact({"line": number, **diagnosis_data(diagnosis_of(examined, next_check=False))})
        except Exception as trouble:
            results[number] = _error(number, trouble)
    return [results[number] for number, _ in lines]


def _ranked(waiting: list[tuple[int, Examined]]) -> Iterator[tuple[int, Examined]]:
    """Ranked together; one by one where one of them cannot be ranked, so that it does not spoil the others."""
    try:
        ranked = with_rankings([each for _, each in waiting])
    except Exception:
        ranked = [_ranked_alone(each) for _, each in waiting]
    return zip([number for number, _ in waiting], ranked, strict=True)


def _ranked_alone(examined: Examined) -> Examined:
    """Not ranked where it cannot be; asking for its ranking then says so."""
    try:
        return with_rankings([examined])[0]
    except Exception:
        return examined


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
    return _compact({"line": number, "error": {"title": title, "reasons": reasons}})


def _compact(data: dict[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "backslashreplace")
