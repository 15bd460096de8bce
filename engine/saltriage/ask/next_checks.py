"""What a report asks for: the few checks that tell most, and what a dose waits for."""

from collections.abc import Sequence

from saltriage.ask.asking import Ending, Questions
from saltriage.ask.choice import Look
from saltriage.result import NextCheck, Wording

__all__ = ["next_checks"]

_SHOWN = 3


def next_checks(questions: Questions) -> tuple[NextCheck, ...]:
    """The checks to show, best first.

    The first one is what an interview asks next. The test or question that tells most by itself, a
    technician's among them, is in it.
    """
    looks = () if questions.ending is Ending.sure and not questions.rivals else _chosen(questions)
    dosing = questions.for_doses[:1]
    ordered = (*dosing, *looks) if questions.dose_is_due else (*looks, *dosing)
    once: dict[str, Look] = {}
    for look in ordered:
        once.setdefault(look.items[0].id, look)
    return tuple(_check(look) for look in once.values())


def _chosen(questions: Questions) -> list[Look]:
    every = [*questions.own, *questions.later]
    if not every:
        return []
    # A list tells much because it is long; beside it stands the one test or question that tells most by itself.
    single = [look for look in every if len(look.items) == 1] or every
    overall = max(single, key=lambda look: (look.information, look.worth))
    best = _different(questions.own or every, _SHOWN)
    return best if overall in best else [*best[: _SHOWN - 1], overall]


def _different(looks: Sequence[Look], count: int) -> list[Look]:
    """The first looks that each settle something the ones before do not."""
    chosen: list[Look] = []
    settled: set[str] = set()
    for look in looks:
        if len(chosen) < count and not set(look.settles) <= settled:
            chosen.append(look)
            settled |= set(look.settles)
    return chosen


def _check(look: Look) -> NextCheck:
    lead, ask = look.items[0], look.items[0].ask
    return NextCheck(
        check=lead.id,
        settles=tuple(sorted(look.settles)),
        kind=lead.kind,
        ask=Wording(ask.question.owner, ask.question.support),
        minutes=look.minutes,
        risk=look.risk,
        needs=ask.needs,
        who=ask.who,
        information=look.information,
        per_minute=look.worth,
    )
