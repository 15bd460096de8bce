"""A practice call as lines of at most 78 signs."""

from collections.abc import Iterator, Sequence

from saltriage.practice.callers import PracticeCaller
from saltriage.practice.expert import ExpertStep, ExpertWay
from saltriage.practice.marking import PartMark, PracticeScore
from saltriage.practice.searching import Named
from saltriage.practice.talk import PracticeAnswer
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.lines import folded
from saltriage.report.shared.words import percent

__all__ = [
    "NOT_HELD", "PARTS", "answer_lines", "asked", "changed", "effort_line", "found_lines", "opening_lines",
    "part_sentences", "score_lines", "spoken",
]  # fmt: skip

NOT_HELD = "I don't know."
LOOK = "The look for dangers, before all else"
PARTS = {"danger": "Danger", "cause": "Cause", "first": "First step"}
_JUDGED = {
    "right": "right", "acceptable": "acceptable", "wrong": "wrong", "missed": "MISSED",
    "needless": "there is none", "harmful": "that does harm", "unscored": "not scored",
}  # fmt: skip


def opening_lines(caller: PracticeCaller) -> Iterator[str]:
    """What the trainee knows before he asks."""
    if caller.on_file:
        yield from folded("; ".join(caller.on_file) + ".", first="On file: ")
    yield from folded(f'"{caller.opening}"', first="Caller: ")


def answer_lines(answer: PracticeAnswer) -> Iterator[str]:
    """How the question was understood, and the answer; or what may have been meant, numbered."""
    if answer.question is not None:
        again = " (asked before)" if answer.again else ""
        yield from folded(f"{answer.question.title}{again}", first="You ask: ")
        yield from folded(f'"{spoken(answer.answer)}"', first="Caller: ")
    elif answer.candidates:
        yield "Which of these do you ask? Type its number, or other words."
        yield from found_lines(answer.candidates)
    else:
        yield "No question like that is known. Ask for one thing, in other words."


def spoken(answer: str) -> str:
    """The caller's answer as he says it."""
    return f"{answer[0].upper()}{answer[1:]}." if answer else NOT_HELD


def found_lines(found: Sequence[Named]) -> Iterator[str]:
    """Numbered titles, and what they are about where that says more."""
    for place, each in enumerate(found, 1):
        about = f": {each.about}" if each.about else ""
        yield from folded(f"{each.title}{about}", 1, f"{place}. ")


def part_line(part: PartMark) -> str:
    """One part in a sentence or two."""
    judged, *sentences = part_sentences(part)
    return " ".join([f"{PARTS[part.name]}: {judged}.", *sentences])


def part_sentences(part: PartMark) -> list[str]:
    """The verdict in a word, what was said, and what is right where that is something else."""
    told = [_JUDGED[part.verdict], f"You said: {part.said}."]
    if part.verdict in ("right", "unscored") or not part.right:
        return told
    best, *others = part.right
    more = f" (or {'; '.join(others)})" if others else ""
    return [*told, f"Right is: {best}{more}."]


def score_lines(caller: PracticeCaller, score: PracticeScore, seconds: float | None = None) -> Iterator[str]:
    """The score, dangers missed first. Args: seconds: on the clock, where somebody looked at it."""
    if score.missed:
        yield from folded("; ".join(score.missed), first="DANGER MISSED: ")
        yield ""
        yield from danger_lines(score.stops, caller.whole.orders, "support")
    yield f"SCORE: {score.right} of {score.scored} right"
    for part in score.parts:
        yield from folded(part_line(part), 2)
    yield from folded(effort_line(score, seconds), 2)
    yield ""
    if score.stops and not score.missed:
        yield from danger_lines(score.stops, caller.whole.orders, "support")
    yield from _evidence(caller)
    yield from _way(score.way)


def effort_line(score: PracticeScore, seconds: float | None) -> str:
    """Questions and time beside the program's. Args: seconds: on the clock, where somebody looked at it."""
    clock = "" if seconds is None else f", {seconds // 60:.0f}:{seconds % 60:02.0f} on the clock"
    yours = f"You: {_questions(score.questions)}, {score.useful} of them answered"
    own = f"The program: {_questions(score.way.questions)}, about {score.way.minutes:.0f} min."
    return f"{yours}, about {score.minutes:.0f} min of the caller's time{clock}. {own}"


def _questions(count: int) -> str:
    return "1 question" if count == 1 else f"{count} questions"


def _evidence(caller: PracticeCaller) -> Iterator[str]:
    """What is behind it, with what speaks for it and against it once all is known."""
    shown = {each.cause: each for each in caller.whole.causes}
    for id in caller.truth:
        rule = caller.knowledge.causes.get(id)
        if rule is None:
            continue
        yield from folded(rule.title, first="WHAT IT WAS: ")
        yield from folded(rule.explain.support, 2)
        if id in shown:
            yield from folded(f"Once all is known: {percent(shown[id].probability)}.", 2)
            for line in (*shown[id].evidence_for, *shown[id].evidence_against):
                sign = "for it" if line.factor > 1 else "against it"
                there = "" if line.present else "not so: "
                yield from folded(f"{sign}: {there}{line.title}", 2, "- ")
        yield from folded(f"To be sure: {rule.settle.how.support}", 2)
        yield ""


def _way(way: ExpertWay) -> Iterator[str]:
    yield "AS THE PROGRAM WOULD HAVE ASKED"
    if not way.steps:
        yield "  Nothing: the opening tells a danger, and what to do comes before questions."
    for place, step in enumerate(way.steps, 1):
        yield from folded(asked(step), 1, f"{place}. ")
        if step.why:
            yield from folded(f"Why: {step.why}", 4)
        yield from folded(changed(step), 4)


def asked(step: ExpertStep) -> str:
    """The question with the caller's answer."""
    if step.is_look:
        so = [ask for ask, answer in zip(step.asks, step.answers, strict=True) if answer == "yes"]
        return f"{LOOK}: {'; '.join(so) if so else 'none of them'}"
    told = [(ask, answer) for ask, answer in zip(step.asks, step.answers, strict=True) if answer]
    if len(step.asks) == 1:
        return f"{step.asks[0]} {spoken(step.answers[0])}"
    known = "; ".join(f"{ask}: {answer}" for ask, answer in told)
    silent = "; ".join(ask for ask, answer in zip(step.asks, step.answers, strict=True) if not answer)
    return ". ".join(filter(None, (known, f"Not known: {silent}" if silent else ""))) + "."


def changed(step: ExpertStep) -> str:
    """What the answer changed."""
    (title, chance), (new, then) = step.before, step.after
    if not new:
        return "Nothing is likely yet."
    if title == new and percent(chance) == percent(then):
        return f"First stays: {new}, {percent(then)}."
    if title == new:
        return f"First stays: {new}, {percent(chance)} -> {percent(then)}."
    return f"First is now: {new}, {percent(then)}" + (f" (was {title}, {percent(chance)})." if title else ".")
