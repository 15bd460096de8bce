"""What the commands of the desk print: lines of at most 78 signs, dangers first."""

from collections.abc import Iterator, Sequence

from saltriage.desk.call import Call, CallDiagnosis, CallOutcome
from saltriage.desk.listed import DueLine, ListedCall
from saltriage.desk.times import local
from saltriage.pool.one_sided import side_named, worded
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.report.shared.lines import folded
from saltriage.report.shared.words import LEVEL, percent

__all__ = ["call_lines", "dangers_first", "due_lines", "earlier_lines", "list_lines", "taken_lines", "waiting_lines"]

_WIDTH = 78


def list_lines(listed: Sequence[ListedCall]) -> Iterator[str]:
    """Calls, a line each; one with a danger begins with it."""
    for each in listed:
        yield _one_line(each)


def _one_line(each: ListedCall) -> str:
    who = " ".join(part for part in (each.name, each.phone) if part)
    danger = f"{LEVEL[each.danger]}! " if each.danger else ""
    closed = "" if each.is_open else "[closed] "  # before the title, of which long ones are cut
    line = f"{each.number:>5}  {local(each.taken)}  {danger}{closed}{f'{who}: ' if who else ''}{each.title}"
    return line if len(line) <= _WIDTH else f"{line[: _WIDTH - 3]}..."


def due_lines(listed: Sequence[DueLine]) -> Iterator[str]:
    """Follow-ups that are due, each with its call and what should be seen."""
    for each in listed:
        yield _one_line(each.call)
        yield from folded(f"Due {local(each.due.due)}: {each.due.title}. {each.due.see}", 7)


def dangers_first(found: CallDiagnosis) -> Iterator[str]:
    """The dangers of a diagnosis, to be told before anything else is tried."""
    yield from danger_lines(found.stops, found.orders, "support")


def taken_lines(call: Call, earlier: Sequence[Call]) -> Iterator[str]:
    """What an agent sees when a call was kept: its number, the first causes, and who called before."""
    yield f"Kept as call {call.number} (version {call.version}): {call.title}"
    yield from _causes(call.last)
    yield from earlier_lines([each for each in earlier if each.number != call.number])


def earlier_lines(calls: Sequence[Call]) -> Iterator[str]:
    """Earlier calls from the same number, the newest first."""
    if not calls:
        return
    yield f"CALLED BEFORE: {len(calls)} {'time' if len(calls) == 1 else 'times'}"
    for call in calls:
        name = f"{call.person.name}: " if call.person and call.person.name else ""
        yield from folded(f"{local(call.taken)} {name}{call.title}. {_how_it_ended(call)}", 2, f"call {call.number}  ")


def _how_it_ended(call: Call) -> str:
    if call.outcome is None:
        return "Still open"
    causes = "; ".join(each.title for each in call.outcome.confirmed) or "no cause confirmed"
    return f"Closed {call.outcome.closed}: {causes}"


def call_lines(call: Call, earlier: Sequence[Call]) -> Iterator[str]:
    """A whole call: dangers first, then who, what, why, what was advised and done, notes, and what came of it."""
    yield from dangers_first(call.last)
    state = "open" if call.is_open else "closed"
    yield from folded(f"Call {call.number}, {state}, version {call.version}: {call.title}")
    yield f"Taken {local(call.taken)} by {call.by}"
    if call.person is not None:
        who = (call.person.name, call.person.phone, call.person.address)
        yield from folded("; ".join(each for each in who if each))
    yield from _told(call)
    yield from _causes(call.last)
    if call.last.actions:
        yield "ADVISED"
        for action in call.last.actions:
            amount = f"{action.amount:.0f}" if action.amount >= 10 else f"{action.amount:.3g}"
            dose = f": {amount} {action.unit} {action.product}" if action.unit else ""
            yield from folded(f"{action.title}{dose} ({action.action})", 2, "- ")
    yield from _since(call)
    yield from _end(call.outcome)
    yield from earlier_lines([each for each in earlier if each.number != call.number])


def _told(call: Call) -> Iterator[str]:
    for head, key in (("STORY", "story"), ("SAID", "said")):
        if words := call.case.get(key):
            yield head
            for line in str(words).split("\n"):
                yield from folded(line, 2)
    answers = call.case.get("symptoms", {})
    if answers:
        yield "ANSWERS"
        yield from folded("; ".join(f"{key}: {answer}" for key, answer in answers.items()), 2)
    entries = call.case.get("readings", {})
    if entries:
        yield "READINGS"
        yield from folded("; ".join(f"{key}: {_entry(entry)}" for key, entry in entries.items()), 2)


def _entry(entry: object) -> str:
    if isinstance(entry, dict):
        told = " ".join(str(entry[key]) for key in ("value", "unit", "method") if entry.get(key) not in (None, ""))
        return worded(side_named(entry.get("bound")), told)
    return str(entry)


def _causes(found: CallDiagnosis) -> Iterator[str]:
    if found.causes:
        yield "LIKELY"
        for cause in found.causes[:3]:
            yield from folded(f"{cause.title}: {percent(cause.probability)} ({cause.cause})", 2, "- ")


def _since(call: Call) -> Iterator[str]:
    if call.doings:
        yield "DONE"
        for doing in call.doings:
            yield from folded(f"{local(doing.at)} {doing.action} {doing.amount} (noted by {doing.by})", 2, "- ")
    yield from waiting_lines(call)
    if call.notes:
        yield "NOTES"
        for note in call.notes:
            yield from folded(f"{local(note.at)} {note.by}: {note.text}", 2, "- ")


def _end(outcome: CallOutcome | None) -> Iterator[str]:
    if outcome is None:
        return
    yield f"CLOSED {outcome.closed} by {outcome.who}, known by {outcome.how}"
    for label, named in (("Cause", outcome.confirmed), ("Cured by", outcome.cured), ("Did not help", outcome.failed)):
        if named:
            yield from folded("; ".join(f"{each.title} ({each.id})" for each in named), 2, f"{label}: ")
    if not outcome.confirmed:
        yield "  No cause was confirmed."
    if outcome.remark:
        yield from folded(outcome.remark, 2)


def waiting_lines(call: Call) -> Iterator[str]:
    """What is to be asked again, and when."""
    waiting = [each for each in call.due if not each.looked]
    if waiting and call.is_open:
        yield "ASK AGAIN"
        for each in waiting:
            yield from folded(f"{local(each.due)} {each.title}: {each.see}", 2, "- ")
