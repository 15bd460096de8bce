"""A whole exam: every sheet sat and marked."""

from dataclasses import dataclass

from saltriage.exam.listening import Listening
from saltriage.exam.marking import Mark, mark
from saltriage.exam.papers import Excluded, Papers
from saltriage.exam.sitting import Mode, sit
from saltriage.knowledge.model import Knowledge

__all__ = ["ExamResult", "examined"]


@dataclass(frozen=True, slots=True)
class ExamResult:
    """Args: marks: in the order of the sheets. excluded: sheets that are not scored. notes: on retired ids."""

    mode: Mode
    knowledge_version: str
    fingerprint: str
    marks: tuple[Mark, ...]
    excluded: tuple[Excluded, ...]
    notes: tuple[str, ...]


def examined(papers: Papers, mode: Mode, knowledge: Knowledge, listening: Listening | None = None) -> ExamResult:
    """Sit and mark every sheet that is scored; the same papers, rules and readers give the same result."""
    marks = tuple(mark(paper, sit(paper, mode, knowledge, listening), knowledge) for paper in papers.scored)
    return ExamResult(mode, knowledge.version, knowledge.fingerprint, marks, papers.excluded, papers.notes)
