"""An interview as the text of a case file: any command reads the case, and the interview itself stands in a comment."""

import json

import yaml

from saltriage.case import case_to_data, load_case_text
from saltriage.errors import CaseRefused
from saltriage.interview.state import Interview
from saltriage.knowledge.model import Knowledge

__all__ = ["interview_of_text", "saved_text"]

_FIRST = "# A case: 'saltriage diagnose' reads it, 'saltriage ask --resume' goes on with it."
_MARK = "# interview: "


def saved_text(interview: Interview) -> str:
    """The case as YAML; the last line, a comment, holds what was asked, so that the interview can be taken up again."""
    body = yaml.safe_dump(case_to_data(interview.case), sort_keys=False, allow_unicode=True, width=100)
    data = json.dumps(interview.to_data(), ensure_ascii=True, separators=(",", ":"))
    return f"{_FIRST}\n{body}{_MARK}{data}\n"


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
