"""The desk itself: every way to look at calls and to change them. Each change is kept whole or not at all."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import insert

from saltriage.desk import audit, lists
from saltriage.desk.call import Call, CallOutcome, Doing, DueFollowUp, Note
from saltriage.desk.changing import index_with, locked, number_of, one_call, refuse_closed, written
from saltriage.desk.connecting import Connected
from saltriage.desk.figures import DeskFigures, figures
from saltriage.desk.listed import DueLine, ListedCall
from saltriage.desk.people import known_person, numbers_by_phone
from saltriage.desk.rows import call_row, calls_of, insert_children
from saltriage.desk.saving import save
from saltriage.desk.searching import found, number_in
from saltriage.desk.tables import calls
from saltriage.desk.times import after, now
from saltriage.desk.what_changed import what_changed
from saltriage.errors import UsageRefused

__all__ = ["MOST_LINES", "Desk"]

MOST_LINES = 200  # of a list; nobody reads more, and `export` gives all


class Desk:
    """A desk that is there and of today's version; see `saltriage.desk.opening.open_desk`.

    Raises, everywhere: DeskTrouble for what the database refuses (held by another, read-only, not reached).
    """

    def __init__(self, connected: Connected) -> None:
        self.connected = connected

    # Looking

    def call(self, number: int) -> Call:
        """One call. Raises: CallMissing: there is none with this number."""
        with self.connected.reading() as opened:
            return one_call(opened, number)

    def number_of(self, name: str) -> int:
        """The number of a call by its name everywhere (uid). Raises: CallMissing."""
        with self.connected.reading() as opened:
            return number_of(opened, name)

    def changes(self, number: int, seen: int) -> list[audit.AuditLine]:
        """What was done to a call since it had a version."""
        with self.connected.reading() as opened:
            return audit.since(opened, number, seen)

    def calls_from(self, phone: str) -> list[Call]:
        """All calls from a phone, the newest first."""
        with self.connected.reading() as opened:
            return calls_of(opened, numbers_by_phone(opened, phone))

    def lines_from(self, phone: str) -> list[ListedCall]:
        """The same as lines of a list."""
        with self.connected.reading() as opened:
            return lists.lines_of(opened, numbers_by_phone(opened, phone)[:MOST_LINES])

    def since(self, moment: str, most: int = MOST_LINES) -> list[ListedCall]:
        """Calls taken since a moment, dangers first."""
        with self.connected.reading() as opened:
            return lists.lines_since(opened, moment, most)

    def newest(self, most: int = MOST_LINES) -> list[ListedCall]:
        """The newest calls of every day, dangers first among them."""
        with self.connected.reading() as opened:
            return lists.newest_lines(opened, most)

    def open(self, most: int = MOST_LINES) -> list[ListedCall]:
        """Calls that are not closed, dangers first."""
        with self.connected.reading() as opened:
            return lists.open_lines(opened, most)

    def due(self, until: str, most: int = MOST_LINES) -> list[DueLine]:
        """Follow-ups that are due by a moment, dangers first."""
        with self.connected.reading() as opened:
            return lists.due_by(opened, until, most)

    def find(self, words: str, most: int = MOST_LINES) -> list[ListedCall]:
        """Calls by name, number, address, words, cause; all words must be there, each may be a beginning."""
        with self.connected.reading() as opened:
            numbers = found(opened, words, most)
            if number_in(words):
                numbers = list(dict.fromkeys([*numbers_by_phone(opened, words), *numbers]))
            return lists.lines_of(opened, numbers[:most])

    def of_cause(self, cause: str, most: int = MOST_LINES) -> list[ListedCall]:
        """Calls whose first or confirmed cause this is."""
        with self.connected.reading() as opened:
            return lists.lines_of(opened, lists.numbers_of_cause(opened, cause, most))

    def figures(self, weeks: int, until: str = "") -> DeskFigures:
        """Figures of the weeks up to a day. See `saltriage.desk.figures`."""
        with self.connected.reading() as opened:
            return figures(opened, weeks, until)

    # Changing

    def take(self, call: Call) -> Call:
        """Keep a new call. Returns: it, with its number.

        Raises: UsageRefused: several people have this phone and no name was told.
        """
        with self.connected.writing() as opened:
            person = known_person(opened, call.person)
            made = opened.execute(insert(calls).values(person_id=person, **call_row(call))).inserted_primary_key
            assert made is not None
            insert_children(opened, [call.with_number(made[0])])
            index_with(opened, made[0], person)
            audit.note_down(opened, call.by, "took", made[0], version=call.version)
            return one_call(opened, made[0])

    def save(self, fresh: Call, by: str, seen: int) -> Call:
        """Keep what the desk page holds of a call; the same again is kept once. See `saltriage.desk.saving`."""
        with self.connected.writing() as opened:
            return save(opened, fresh, by, seen)

    def revise(self, number: int, fresh: Call, by: str, seen: int) -> Call:
        """Put another case and diagnosis in the place of those of a call.

        Args: fresh: as `call_of` makes it; its person, notes and doings are not looked at.    seen: the version that
        the change began with.
        Raises: CallChanged: somebody else was quicker.    CallClosed: the call is closed.
        """
        with self.connected.writing() as opened:
            old = locked(opened, number, seen)
            refuse_closed(old)
            done = {each.action for each in old.doings}
            stays = tuple(each for each in old.due if each.looked or each.action in done)
            known = {each.action for each in stays}
            new = replace(
                old,
                case=fresh.case,
                asked=fresh.asked,
                questions=fresh.questions,
                minutes=fresh.minutes,
                interview=fresh.interview,
                findings=(*old.findings, *fresh.findings),
                due=(*stays, *(each for each in fresh.due if each.action not in known)),
                # What the page shows beside the case was of the case of before; the notes typed on it stay.
                sheet={"notes": old.typed_notes} if old.typed_notes else None,
                version=old.version + 1,
            )
            return written(opened, new, by, "revised", what_changed(old, new))

    def note(self, number: int, text: str, by: str) -> Call:
        """Add a note; it stands beside what others write at the same time, so no version is asked for."""
        with self.connected.writing() as opened:
            old = locked(opened, number)
            new = replace(old, notes=(*old.notes, Note(now(), by, text)))
            return written(opened, new, by, "noted")

    def did(self, number: int, doings: Sequence[Doing], by: str) -> Call:
        """Note what was done at the pool; what is promised of it is due so many hours after that.

        Raises: CallClosed: the call is closed.
        """
        with self.connected.writing() as opened:
            old = locked(opened, number)
            refuse_closed(old)
            at = {each.action: each.at for each in doings}
            due = tuple(
                replace(each, due=after(at[each.action], each.hours)) if each.action in at and not each.looked else each
                for each in old.due
            )
            new = replace(old, doings=(*old.doings, *doings), due=due)
            return written(opened, new, by, "did", [each.action for each in doings])

    def looked(self, number: int, by: str, until: str) -> tuple[Call, list[DueFollowUp]]:
        """Tick off the follow-ups of a call, and its ringing back, that were due by a moment.

        Returns: the call, and which follow-ups they were.
        Raises: UsageRefused: none was due.
        """
        with self.connected.writing() as opened:
            old = locked(opened, number)
            over = [each for each in old.due if not each.looked and each.due <= until]
            rings = bool(old.ring_back) and old.ring_back <= until
            if not over and not rings:
                raise UsageRefused(f"call {number}: no follow-up is due; `saltriage desk show {number}` lists them")
            at = now()
            due = tuple(replace(each, looked=at, by=by) if each in over else each for each in old.due)
            new = replace(old, due=due, ring_back="" if rings else old.ring_back)
            what = [each.action for each in over] + (["ring-back"] if rings else [])
            return written(opened, new, by, "looked", what), over

    def close(self, number: int, outcome: CallOutcome, seen: int | None = None) -> Call:
        """Close a call with what came of it. Raises: CallClosed: it is closed.    CallChanged: see `revise`."""
        with self.connected.writing() as opened:
            old = locked(opened, number, seen)
            refuse_closed(old)
            new = replace(old, outcome=outcome, version=old.version + 1)
            return written(opened, new, outcome.who, "closed", [each.id for each in outcome.confirmed])

    def reopen(self, number: int, by: str) -> Call:
        """Take the outcome back. Raises: UsageRefused: it is open."""
        with self.connected.writing() as opened:
            old = locked(opened, number)
            if old.is_open:
                raise UsageRefused(f"call {number} is open")
            return written(opened, replace(old, outcome=None, version=old.version + 1), by, "reopened")
