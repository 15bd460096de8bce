"""The talk of `saltriage ask`: reads lines, shows lines, keeps the interview. What is decided is decided elsewhere."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from saltriage.cli.ask_texts import (
    ENDINGS,
    HELP,
    NOT_SAFE,
    SAFE,
    for_others_lines,
    heard_lines,
    question_lines,
    show_lines,
    stop_lines,
    why_lines,
    wrapped,
)
from saltriage.cli.confirming import Talker, confirmed, with_unit
from saltriage.cli.keeping import Keeper
from saltriage.errors import CaseRefused
from saltriage.guard import danger_look
from saltriage.interview import Ending, Interview, Question
from saltriage.interview.complaints import common_complaints
from saltriage.interview.replies import numbers_in, understood
from saltriage.words import HeardReading, HeardSymptom, hear, reply_words
from saltriage.words.readers import OtherReader

__all__ = ["Conversation", "Manner"]

_NOT_UNDERSTOOD = "I did not understand that. If anybody is in danger, say how."
_MOST_LIKELY = 5  # that are asked back at once: more is a list nobody reads (own judgement)
_NO_HINTS: Mapping[str, float] = {}


class _Leave(Exception):
    """The caller wants to end now; `report` tells whether the result is shown."""

    def __init__(self, report: bool) -> None:
        self.report = report


@dataclass(frozen=True, slots=True)
class Manner:
    """How to talk. Args: reader: owner or support. plain: no rules of dashes. yes: take what was understood unasked.

    others: readers that hear as well, each named to the caller.
    """

    reader: str = "owner"
    plain: bool = False
    yes: bool = False
    others: tuple[OtherReader, ...] = ()


class Conversation:
    """One talk. Args: read: gives the next line or raises EOFError. write: takes one line."""

    def __init__(
        self,
        interview: Interview,
        manner: Manner,
        read: Callable[[str], str],
        write: Callable[[str], None],
        keeper: Keeper,
    ) -> None:
        self.interview, self.manner, self.keeper = interview, manner, keeper
        self._read, self._write = read, write
        self._replies = reply_words(interview.knowledge)
        self._talker = Talker(self._line, self._say, self._replies)
        self._again: Question | None = None
        self._unread: list[str] = []  # words beside a danger, which is cleared up first

    def run(self) -> bool:
        """Talk until the end; True where the result is to be shown. KeyboardInterrupt and EOFError go through."""
        self._say(wrapped("Say what is wrong in your own words. 'help' lists what you can type; 'quit' leaves."))
        self._say(wrapped(f"Ctrl-C or 'quit' keeps everything in {self.keeper.path}."))
        for each in self.manner.others:
            where = f"What you type is also read at {each.name}, without names, telephone numbers and addresses."
            self._say(wrapped(where))
        self._say(wrapped("Danger first: tell at once if anybody is hurt, or of smoke, a tingle or a choking smell."))
        try:
            if not self.interview.standing.known:
                self._open()
            self._ask_on()
        except _Leave as leave:
            return leave.report
        return True

    def _say(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._write(line)

    def _line(self, prompt: str) -> str:
        """The next line; commands that work anywhere are done here."""
        while True:
            text = self._read(prompt).strip()
            command = self._replies.command(text)
            if command == "quit":
                raise _Leave(report=False)
            if command == "stop":
                raise _Leave(report=True)
            if command == "help":
                self._say(HELP.splitlines())
            elif command == "show":
                self._say(show_lines(self.interview))
            elif command == "save":
                self._say(wrapped(f"Saved in {self.keeper.keep(self.interview)}."))
            else:
                return text

    # The beginning: a sentence, or numbers of a list of complaints.

    def _open(self) -> None:
        complaints = common_complaints(self.interview.knowledge)
        self._say(["", "What is wrong? In your own words, or a number:"])
        for place, symptom in enumerate(complaints, 1):
            self._say(wrapped(self.interview.knowledge.symptoms[symptom].title, f"{place:2}. "))
        while not self.interview.standing.known and not self._danger_told():
            text = self._line("> ")
            places = numbers_in(text, len(complaints))
            if places is not None and places[0]:
                self._take({complaints[place]: "yes" for place in places[0]})
            elif self._replies.command(text) in ("undo", "back"):
                self._undo()
            elif self._replies.command(text) == "more" or self._replies.kind(text) in ("unknown", "no"):
                return
            elif text and not self._listen(text):
                self._say(wrapped(f"{_NOT_UNDERSTOOD} Else say it in other words, or type a number."))

    def _danger_told(self) -> bool:
        """Whether a danger stands, or words are to be asked back before anything else."""
        standing = self.interview.standing
        return standing.ending is Ending.stop or bool(standing.question and standing.question.words)

    def _listen(self, text: str) -> bool:
        """Take up what free words say, once confirmed; False where nothing was understood."""
        if self._danger_in(text):
            self._unread.append(text)
            return True
        return self._understand(text)

    def _understand(self, text: str, *, kept: bool = False) -> bool:
        """Take up what words without danger say. Args: kept: the words stand in the case already."""
        words = "" if kept else text
        heard = hear(text, self.interview.knowledge, self.interview.case.for_units, others=self.manner.others)
        likely = [each for each in heard.likely if not kept or each.id not in self.interview.case.symptoms]
        likely = sorted(likely, key=lambda each: -each.reliability)[:_MOST_LIKELY]
        if not heard.symptoms and not heard.readings and not likely:
            self._kept(words)
            return False
        symptoms, readings = list(heard.symptoms), list(heard.readings)
        if symptoms or readings:
            self._say(["I understood:", *heard_lines(symptoms, readings, self.interview.knowledge)])
            if not self.manner.yes:
                symptoms, readings = confirmed([*symptoms, *readings], "Right?", self._talker)
        if heard.unheard:
            words = "; ".join(f'"{each.words}"' for each in heard.unheard)
            self._say(wrapped(f"Kept, but not understood: {words}."))
        asked_back = set() if self.manner.yes else {each.id for each in likely}
        hints = {id: chance for id, chance in heard.hints.items() if id not in asked_back}
        self._take_up(symptoms, readings, words, hints)
        if likely and not self.manner.yes and not self._danger_told():
            self._say(["Perhaps you also mean:", *heard_lines(likely, [], self.interview.knowledge)])
            self._take_up(confirmed(likely, "Did I get this right?", self._talker, taken="")[0], [], "")
        return True

    def _take_up(
        self,
        symptoms: Sequence[HeardSymptom],
        readings: Sequence[HeardReading],
        text: str,
        hints: Mapping[str, float] = _NO_HINTS,
    ) -> None:
        """What was confirmed, as answers, and what else the words may mean; the words alone where nothing was."""
        said: dict[str, object] = {symptom.id: "yes" if symptom.present else "no" for symptom in symptoms}
        for reading in readings:
            settled = with_unit(reading, self.interview.knowledge, self._talker, yes=self.manner.yes)
            if settled is not None:
                said[reading.id] = settled.entry()
        if said:
            self._take(said, words=text, hints=hints)
        elif text:
            self._kept(text, hints)

    def _kept(self, text: str, hints: Mapping[str, float] = _NO_HINTS) -> None:
        """Keep words of which nothing was taken."""
        self.interview = self.interview.told(text, hints)
        self.keeper.note(self.interview)

    def _danger_in(self, text: str) -> bool:
        """Take up words that tell a danger, or that may: then that is asked back before what else they mean."""
        told = self.interview.told(text)
        if told.standing.ending is not Ending.stop and not (told.standing.question and told.standing.question.words):
            return False
        self.interview = told
        self.keeper.note(told)
        return True

    def _take(
        self,
        said: dict[str, object],
        question: Question | None = None,
        *,
        words: str = "",
        hints: Mapping[str, float] = _NO_HINTS,
    ) -> bool:
        """Answers into the interview; what cannot be believed is refused and said."""
        try:
            self.interview = self.interview.answer(said, question, words=words, heard=hints)
        except CaseRefused as refusal:
            for one in refusal.refusals:
                self._say(wrapped(str(one)))
            refused = {part for one in refusal.refusals for part in one.field.split(".")}
            others = {key: answer for key, answer in said.items() if key not in refused}
            # What was said beside it still counts; a question is asked again as a whole.
            return question is None and 0 < len(others) < len(said) and self._take(others, words=words, hints=hints)
        self.keeper.note(self.interview)
        return True

    # The questions.

    def _ask_on(self) -> None:
        while True:
            while self._unread and not self._danger_told():
                # What stood beside a danger is no less told once that is cleared up.
                before = self.interview
                self._understand(self._unread.pop(0), kept=True)
                self.interview = self.interview.still_safe(before)
            question = self._again or self.interview.next_question()
            self._again = None
            if question is None:
                if not self._ended():
                    return
                continue
            self._say(["" if self.manner.plain else "-" * 40])
            look = question.items[0].id in danger_look(self.interview.knowledge)
            number = 0 if look else self.interview.questions_asked + 1
            self._say(question_lines(question, number, self.manner.reader))
            self._answer(question)

    def _ended(self) -> bool:
        """Say why it ends; True where the caller wants to go on."""
        standing = self.interview.standing
        ending = standing.ending or Ending.nothing_left
        self._say(["", *wrapped(ENDINGS[ending])])
        if ending is Ending.stop:
            self._say(stop_lines(self.interview, self.manner.reader))
        elif any(stop.level != "unfit" for stop in standing.stops):
            self._say(["", "To tell whoever comes:", *show_lines(self.interview)])
        if ending is Ending.technician:
            self._say(for_others_lines(self.interview, self.manner.reader))
        if ending is Ending.stop:
            return self._all_safe()
        if standing.question is None or self.interview.insists:
            return False
        while True:
            text = self._line("Enter for the result, 'more' to go on, 'undo' to take back > ").casefold()
            command = self._replies.command(text)
            if command == "more":
                self.interview = self.interview.go_on()
                return True
            if command in ("undo", "back"):
                self._undo()
                return True
            if text in ("", "result") or self._replies.kind(text) in ("yes", "no"):
                return False
            if self._listen(text):
                return True

    def _all_safe(self) -> bool:
        """Ask whether the orders are carried out; True where the talk goes on."""
        self._say(["", *wrapped(SAFE[self.manner.reader])])
        while True:
            text = self._line("yes, no, 'undo' to take back, Enter for the result > ").casefold()
            kind = self._replies.kind(text)
            if kind == "yes":
                self.interview = self.interview.all_safe()
                self.keeper.note(self.interview)
                return True
            if self._replies.command(text) in ("undo", "back"):
                self._undo()
                return True
            if kind in ("no", "unknown", "later"):
                self._say([*wrapped(NOT_SAFE), *stop_lines(self.interview, self.manner.reader)])
            elif text in ("", "result"):
                return False
            elif self._listen(text):
                return True

    def _answer(self, question: Question) -> None:
        """Read until the question is answered, or left by a command."""
        while True:
            reply = understood(self._line("> "), question, self.interview.knowledge)
            if reply.command in ("back", "undo"):
                self._undo(ask_again=reply.command == "back")
                return
            if reply.command == "why":
                self._say(why_lines(self.interview, question))
            elif reply.command:
                self._say(["That is for the beginning or the end of the talk; 'help' lists what you can type."])
            elif reply.trouble:
                self._say(wrapped(reply.trouble))
            elif reply.answers:
                if self._take(dict(reply.answers), question):
                    if reply.words:
                        self._listen(reply.words)
                    return
            elif self._listen(reply.words):
                return
            else:
                self._say(wrapped(f"{_NOT_UNDERSTOOD} 'help' lists what you can type."))

    def _undo(self, ask_again: bool = False) -> None:
        if not self.interview.steps:
            self._say(["There is nothing to take back."])
            return
        last = self.interview.steps[-1]
        self.interview = self.interview.undo()
        if last.words:
            self._unread.clear()
        self.keeper.note(self.interview)
        if not last.asked:
            self._say(["Taken back: what was said last."])
            if not self.interview.standing.known and not self._danger_told():
                self._open()
        elif ask_again:
            self._again = self.interview.question_again(last)
        else:
            self._say(["Taken back: the last answer."])
