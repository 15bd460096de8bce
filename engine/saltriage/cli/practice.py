"""The talk of `saltriage ask --practice`: reads lines, shows lines. What is decided is decided in `practice`."""

from collections.abc import Callable, Iterable

from saltriage.cli.ask_texts import wrapped
from saltriage.interview.replies import numbers_in
from saltriage.practice import Decision, PracticeCaller, PracticeTalk, marked
from saltriage.practice.searching import Named, Shelf, causes_shelf, steps_shelf
from saltriage.practice.text_form import answer_lines, found_lines, opening_lines, score_lines
from saltriage.words import reply_words

__all__ = ["practised"]

_HELP = """\
Ask for one thing at a time, in your own words or by the id of a rule.
A number takes a line of the last list.
list: what you asked and heard     decide: name danger, cause and first step
quit: leave without a score"""
_UNKNOWN = ("unknown", "later")


class _Left(Exception):
    """The trainee wants no score."""


class _Practice:
    """One call. Args: read: gives the next line or raises EOFError.    write: takes one line."""

    def __init__(self, caller: PracticeCaller, read: Callable[[str], str], write: Callable[[str], None]) -> None:
        self.talk, self._read, self._write = PracticeTalk(caller), read, write
        self._words = reply_words(caller.knowledge)

    def say(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._write(line)

    def line(self, prompt: str) -> str:
        while True:
            text = self._read(prompt).strip()
            command = self._words.command(text)
            if command == "quit":
                raise _Left
            if command == "help":
                self.say(_HELP.splitlines())
            elif text:
                return text

    def ask_on(self) -> None:
        """Questions, until the trainee decides."""
        last: tuple[Named, ...] = ()
        while True:
            text = self.line("Ask, or 'decide' > ")
            if text.casefold() in ("decide", "d"):
                return
            if self._words.command(text) == "list":
                self.say(line for each in self.talk.said for line in answer_lines(each))
                continue
            if text.isdecimal() and not 0 < int(text) <= len(last):
                self.say(["No line of a list has that number. Ask in words."])
                continue
            self.talk, answer = self.talk.ask(_picked(text, last))
            last = answer.candidates
            self.say(answer_lines(answer))

    def decided(self) -> Decision:
        knowledge = self.talk.caller.knowledge
        danger = self._yes_or_no("Can somebody be hurt? yes or no > ")
        cause = self._named("What is wrong? words or id; 'unknown' > ", causes_shelf(knowledge))
        first = self._named("What is done first? words or id; 'nothing' > ", steps_shelf(knowledge))
        return Decision(cause, first, danger)

    def _yes_or_no(self, prompt: str) -> bool:
        while True:
            kind = self._words.kind(self.line(prompt))
            if kind in ("yes", "no"):
                return kind == "yes"
            self.say(["yes or no."])

    def _named(self, prompt: str, shelf: Shelf) -> str:
        """The id that was named, after as many tries as it takes; '' where nothing is."""
        last: tuple[Named, ...] = ()
        while True:
            text = _picked(self.line(prompt), last)
            if text.casefold() in ("nothing", "none") or self._words.kind(text) in _UNKNOWN:
                return ""
            searched = shelf.search(text)
            if searched.meant is not None:
                self.say(wrapped(searched.meant.title, "Taken: "))
                return searched.meant.id
            last = searched.found
            self.say(
                ["Which of these? Its number, or other words."] if last else ["Nothing is called so. Other words?"]
            )
            self.say(found_lines(last))


def _picked(text: str, last: tuple[Named, ...]) -> str:
    """The id of a line of the last list, where its number was typed."""
    places = numbers_in(text, len(last))
    return last[places[0][0]].id if places and places[0] else text


def practised(
    caller: PracticeCaller,
    read: Callable[[str], str],
    write: Callable[[str], None],
    clock: Callable[[], float],
    again: str,
) -> bool:
    """A whole practice call with its score. Args: clock: seconds, from whenever.    again: how to get the same call.

    Returns: False where the trainee left before he decided. Raises: EOFError from `read`.
    """
    practice = _Practice(caller, read, write)
    practice.say(wrapped(f"Practice, {caller.name} ({again}). The caller is invented; nobody is in need."))
    practice.say(wrapped("In earnest: 'quit', and call for help. 'help' lists what you can type."))
    practice.say(opening_lines(caller))
    began = clock()
    try:
        practice.ask_on()
        decision = practice.decided()
    except _Left:
        return False
    took = clock() - began
    practice.say(["", *score_lines(caller, marked(practice.talk, decision), took)])
    return True
