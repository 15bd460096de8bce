"""An interview as the text of a case file: any command reads the case, and the interview itself stands in a comment."""

import json
from collections.abc import Mapping
from typing import Any

import yaml

from saltriage.case import case_to_data, load_case_text
from saltriage.errors import CaseRefused
from saltriage.interview.state import Interview
from saltriage.knowledge.model import Knowledge

__all__ = ["interview_of_text", "saved_data_text", "saved_text"]

_FIRST = "# A case: 'saltriage diagnose' reads it, 'saltriage ask --resume' goes on with it."
_MARK = "# interview: "


def saved_text(interview: Interview) -> str:
    """The case as YAML; the last line, a comment, holds what was asked, so that the interview can be taken up again."""
    return saved_data_text(case_to_data(interview.case), interview.to_data())


def saved_data_text(case: Mapping[str, Any], interview: Mapping[str, Any] | None) -> str:
    """The same text from data that was kept: of the case, and of the interview if there was one."""
    body = yaml.safe_dump(dict(case), sort_keys=False, allow_unicode=True, width=100)
    data = json.dumps(dict(interview), ensure_ascii=True, separators=(",", ":")) if interview is not None else ""
    return f"{_FIRST}\n{body}{f'{_MARK}{data}{chr(10)}' if data else ''}"


def interview_of_text(text: str, knowledge: Knowledge, name: str = "") -> Interview:
    """The interview of a saved text. A case that was changed by hand, or any other case, is the start of a new one.

    Raises: CaseRefused as `saltriage.case.load_case` does.
    """
    case = load_case_text(text, knowledge, name or "<text>")
    for line in reversed(text.splitlines()):
        if line.startswith(_MARK):
            try:
                interview = Interview.from_data(json.loads(line.removeprefix(_MARK)), knowledge)
            except (ValueError, RecursionError, CaseRefused):
                break
            if case_to_data(interview.case) == case_to_data(case):
                return interview
            break
    return Interview.start(knowledge, case)
