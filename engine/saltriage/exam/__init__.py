"""The project's exam: call sheets by strangers, sat by the program and marked.

A sheet holds what a caller says, its form the same in words of the rules, its key what was really wrong.

    papers = read_papers(paths, knowledge)           sheets, forms and keys; every mistake in them is refused
    result = examined(papers, Mode.form, knowledge)  sits and marks them all
    exam_text(result, by=["voice"])                  or exam_data(result, by=["voice"])
"""

from saltriage.exam.listening import Listening, listening_with
from saltriage.exam.marking import Mark, answers_shown, mark
from saltriage.exam.papers import Paper, PaperFiles, Papers, files_of, read_papers
from saltriage.exam.result import ExamResult, examined
from saltriage.exam.sitting import Mode, Sitting, sit
from saltriage.exam.tables import GROUPINGS, exam_data, exam_text

__all__ = [
    "GROUPINGS", "ExamResult", "Listening", "Mark", "Mode", "Paper", "PaperFiles", "Papers", "Sitting", "answers_shown",
    "exam_data", "exam_text", "examined", "files_of", "listening_with", "mark", "read_papers", "sit",
]  # fmt: skip
