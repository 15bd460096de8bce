"""Practice: a trainee takes an invented call, asks, decides, and is marked as the program itself is in the exam.

    caller = PracticeLibrary(knowledge, cases).caller(7)    or caller_of_paper(paper, knowledge)
    talk = PracticeTalk(caller).asked("is the low salt light on?")
    score = marked(caller, decision, talk.asked_ids)        dangers missed stand first

Until the decision nothing that is shown depends on the truth: `PracticeCaller.seen` and the answers are facts alone.
"""

from saltriage.practice.callers import (
    PracticeCaller,
    PracticeLibrary,
    caller_of_case,
    caller_of_paper,
    caller_of_sheets,
)
from saltriage.practice.marking import Decision, PracticeScore, Verdict, marked
from saltriage.practice.talk import PracticeAnswer, PracticeTalk

__all__ = [
    "Decision", "PracticeAnswer", "PracticeCaller", "PracticeLibrary", "PracticeScore", "PracticeTalk", "Verdict",
    "caller_of_case", "caller_of_paper", "caller_of_sheets", "marked",
]  # fmt: skip
