"""What a report notes about readings: the doubts raised, and every reading used or withdrawn."""

from saltriage.believe.believing import Believed
from saltriage.result import DoubtNote, ReadingLine

__all__ = ["doubt_notes", "reading_lines"]


def doubt_notes(believed: Believed) -> tuple[DoubtNote, ...]:
    """The doubts raised about readings that were given, in the order of ids."""
    doubts = believed.knowledge.doubts
    given = {*believed.facts.readings, *believed.settled.withdrawn}
    rules = (doubts[doubt] for doubt in believed.raised if given & set(doubts[doubt].withdraws))
    return tuple(
        DoubtNote(rule.id, rule.title, rule.withdraws, rule.because, rule.instead, rule.strength) for rule in rules
    )


def reading_lines(believed: Believed) -> tuple[ReadingLine, ...]:
    """Every reading used or withdrawn, computed ones among them, in the order of ids."""
    situation, used = believed.situation, believed.facts.readings
    lines = []
    for key, interval in sorted({**situation.readings, **used}.items()):
        rule, told = believed.knowledge.readings[key], believed.case.readings.get(key)
        shown = told.interval if told and told.bound else interval
        origin = "profile" if key in situation.from_profile else told.origin if told else "computed"
        lines.append(
            ReadingLine(
                reading=key,
                title=rule.title,
                unit=rule.unit,
                quantity=rule.quantity,
                low=shown.low,
                high=shown.high,
                typed=told.typed if told and origin != "profile" else "",
                method=rule.methods[told.method].title if told and told.method else "",
                origin=origin,
                withdrawn=key not in used,
                bound=told.bound if told else "",
            )
        )
    return tuple(lines)
