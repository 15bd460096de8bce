"""What one worker does: lines of JSON cases -> lines of JSON results, ranked together.

The only function a process pool or a cluster has to run is `diagnosed_lines`; it takes and gives plain bytes.
"""

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from saltriage.case import load_case_text
from saltriage.diagnosis import Examined, diagnosis_of, matched, with_rankings
from saltriage.errors import CaseRefused, SaltriageError
from saltriage.knowledge import load_knowledge
from saltriage.report.json_form import diagnosis_data

__all__ = ["Line", "diagnosed_lines"]

Line = tuple[int, bytes]
"""Number of the line in the input, from 1, and what it holds."""


def diagnosed_lines(lines: Sequence[Line], rules: Path | None = None) -> list[bytes]:
    """One line of JSON, without line feed, for every line given, in the same order.

    A case that is refused gives ``{"line": n, "error": ...}``; an empty line counts as a refused case. Next checks are
    left out: they take most of the time and nobody is there to ask.
    """
    knowledge = load_knowledge(rules)
    results: dict[int, bytes] = {}
    waiting: list[tuple[int, Examined]] = []
    for number, text in lines:
        try:
            case = load_case_text(text, knowledge, f"line-{number}.json")
            waiting.append((number, matched(case, knowledge)))
        except CaseRefused as refusal:
            results[number] = _error(number, "case refused", [str(reason) for reason in refusal.refusals])
        except SaltriageError as trouble:
            results[number] = _error(number, "not diagnosed", [str(trouble)])
    for number, examined in _ranked(waiting):
        try:
            results[number] = _compact({"line": number, **diagnosis_data(diagnosis_of(examined, next_check=False))})
        except SaltriageError as trouble:
            results[number] = _error(number, "not diagnosed", [str(trouble)])
    return [results[number] for number, _ in lines]


def _ranked(waiting: list[tuple[int, Examined]]) -> Iterator[tuple[int, Examined]]:
    """Ranked together; one by one where one of them cannot be ranked, so that it does not spoil the others."""
    try:
        yield from zip([number for number, _ in waiting], with_rankings([each for _, each in waiting]), strict=True)
    except SaltriageError:
        for number, each in waiting:
            try:
                yield number, with_rankings([each])[0]
            except SaltriageError:
                yield number, each


def _error(number: int, title: str, reasons: list[str]) -> bytes:
    return _compact({"line": number, "error": {"title": title, "reasons": reasons}})


def _compact(data: dict[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()
