"""People as rows: who called, found again by number and name."""

from sqlalchemy import Connection, delete, func, insert, select, update

from saltriage.desk.call import Person
from saltriage.desk.phone import END, digits_of, end_of, is_same
from saltriage.desk.tables import calls, people
from saltriage.errors import UsageRefused

__all__ = ["drop_lonely", "exact_person", "known_person", "numbers_by_phone", "people_by_phone", "told_person"]


def people_by_phone(opened: Connection, phone: str) -> dict[int, Person]:
    """Everybody with this number, however it was typed."""
    end = end_of(phone)
    if not end:
        return {}
    rows = opened.execute(select(people).where(people.c.phone_end == end).order_by(people.c.id))
    return {row.id: Person(row.name, row.phone, row.address) for row in rows if is_same(row.phone, phone)}


def numbers_by_phone(opened: Connection, phone: str) -> list[int]:
    """Numbers of the calls from this phone, the newest first."""
    ids = list(people_by_phone(opened, phone))
    statement = select(calls.c.id).where(calls.c.person_id.in_(ids)).order_by(calls.c.taken.desc(), calls.c.id.desc())
    return list(opened.scalars(statement))


def known_person(opened: Connection, told: Person | None) -> int | None:
    """The row of somebody who calls: the one from before, with what was told anew, or a new one.

    Raises: UsageRefused: several people have this number and no name was told.
    """
    if told is None or told == Person():
        return None
    if opened.dialect.name != "sqlite":  # else two agents who take two calls from one new number make two people
        opened.execute(select(func.pg_advisory_xact_lock(int(end_of(told.phone) or 0))))
    same = people_by_phone(opened, told.phone)
    if told.name:
        same = {id: each for id, each in same.items() if each.name.casefold() in ("", told.name.casefold())}
    if len(same) > 1 and not told.name:
        names = ", ".join(repr(each.name) for each in same.values())
        raise UsageRefused(f"several people call from {told.phone}: {names}; say who it is with --name")
    if not same:
        return exact_person(opened, told)
    id, before = next(iter(same.items()))
    now = Person(told.name or before.name, before.phone, told.address or before.address)
    opened.execute(update(people).where(people.c.id == id).values(name=now.name, address=now.address))
    return id


def told_person(opened: Connection, call: int, current: int | None, told: Person | None) -> int | None:
    """The row of somebody whose name and number are being typed, letter by letter.

    Args: call: number of the call.    current: the row that it has.
    Returns: the row of somebody with this number and this name, once both are whole; until then the call's own.
    """
    if told is None or told == Person():
        return None
    if opened.dialect.name != "sqlite":
        opened.execute(select(func.pg_advisory_xact_lock(int(end_of(told.phone) or 0))))
    row = {"name": told.name, "phone": told.phone, "phone_end": end_of(told.phone), "address": told.address}
    others = select(calls.c.id).where(calls.c.person_id == current, calls.c.id != call).limit(1)
    is_own = current is not None and opened.scalar(others) is None
    whole = len(digits_of(told.phone)) >= END and told.name
    same = people_by_phone(opened, told.phone) if whole else {}
    known = [id for id, each in same.items() if each.name.casefold() == told.name.casefold()]
    if current in known or (is_own and not known):
        opened.execute(update(people).where(people.c.id == current).values(row))
        return current
    if known:
        if told.address:
            opened.execute(update(people).where(people.c.id == known[0]).values(address=told.address))
        return known[0]
    made = opened.execute(insert(people).values(row)).inserted_primary_key
    assert made is not None
    return int(made[0])


def exact_person(opened: Connection, told: Person | None) -> int | None:
    """The row with exactly this name, number and address; a new one where there is none."""
    if told is None or told == Person():
        return None
    row = {"name": told.name, "phone": told.phone, "phone_end": end_of(told.phone), "address": told.address}
    same = select(people.c.id).where(*(people.c[key] == value for key, value in row.items()))
    found = opened.scalar(same.limit(1))
    if found is not None:
        return int(found)
    made = opened.execute(insert(people).values(row)).inserted_primary_key
    assert made is not None
    return int(made[0])


def drop_lonely(opened: Connection) -> int:
    """Take away people without a call. Returns: how many."""
    called = select(calls.c.person_id).where(calls.c.person_id.is_not(None))
    return opened.execute(delete(people).where(people.c.id.not_in(called))).rowcount
