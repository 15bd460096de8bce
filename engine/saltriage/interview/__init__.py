"""The interview as plain data: what is known, what was asked, what to ask next, when to stop. No input or output.

    interview = Interview.start(knowledge)
    interview = interview.answer({"low-salt-warning": "yes"})
    question = interview.next_question()            None where the interview has ended; `standing.ending` says why
    interview = interview.answer({item.id: "no" for item in question.items}, question)
    interview = interview.undo()
    data = interview.to_data()                      Interview.from_data(data, knowledge) goes on where it was left

An interview is never changed; every step gives a new one.
"""

from saltriage.interview.question import Item, Question
from saltriage.interview.standing import Ending, Standing
from saltriage.interview.state import Interview, LeaderChange, Step

__all__ = ["Ending", "Interview", "Item", "LeaderChange", "Question", "Standing", "Step"]
