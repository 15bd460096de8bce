"""Dangers as text, first in every report: one order of what to do for all of them, then why and until when."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from saltriage.report.shared.lines import folded
from saltriage.report.shared.words import CALL, LEVEL
from saltriage.result import OrderLine, StopNotice

__all__ = ["danger_lines", "danger_reason", "danger_words", "hides_advice"]


def hides_advice(stops: Sequence[StopNotice], reader: str) -> bool:
    """Whether an owner is told the danger alone: with a life at risk no cause, chance or dose is worth reading."""
    return reader == "owner" and any(stop.level == "life" for stop in stops)


def danger_words(stop: StopNotice) -> str:
    """The head of one danger: how grave, and what."""
    return f"{LEVEL[stop.level]}: {stop.title}"


def danger_reason(stop: StopNotice) -> str:
    """What it rests on, and how sure that is."""
    if stop.sure == "heard":
        return f'You wrote "{stop.words}": if that is so'
    reasons = "; ".join(stop.because)
    return f"{reasons} (not told, worked out)" if stop.sure == "inferred" else reasons


def danger_lines(stops: Sequence[StopNotice], orders: Sequence[OrderLine], reader: str) -> Iterator[str]:
    """Lines of at most 78 signs; nothing where no danger stands."""
    if not stops:
        return
    grave = [stop for stop in stops if stop.level != "unfit"]
    for stop in grave[:1]:
        yield danger_words(stop)
        yield from folded(stop.say.for_reader(reader), 2)
        yield ""
    if len(grave) > 1:
        yield from folded("; ".join(stop.title for stop in grave[1:]), 0, "ALSO: ")
        yield ""
    if grave:
        yield "DO THIS NOW, IN THIS ORDER"
        for place, order in enumerate(orders, 1):
            yield from folded(order.say.for_reader(reader), 2, f"{place}. ")
        yield ""
    # Of several grave dangers each by itself may say what another forbids; the orders above hold for all of them, and
    # say whom to call.
    several = groupby(stops, lambda stop: (stop.level == "unfit", stop.until.for_reader(reader)))
    for until, same in several:
        for stop in (together := list(same)):
            yield from _about(stop, reader, alone=grave == [stop])
        yield from folded(f"Until{', all of these' if len(together) > 1 else ''}: {until[1]}", 2)
        yield ""


def _about(stop: StopNotice, reader: str, alone: bool) -> Iterator[str]:
    """Args: alone: the only grave danger, named above its orders already."""
    if stop.level == "unfit":
        yield danger_words(stop)
        yield from folded(stop.say.for_reader(reader), 2)
        if CALL.get(stop.call):
            yield from folded(CALL[stop.call], 2)
    elif not alone:
        yield from folded(stop.title, 0, "ABOUT: ")
    if stop.because != (stop.title,):  # what the look raised says no more
        yield from folded(f"Because: {danger_reason(stop)}", 2)
