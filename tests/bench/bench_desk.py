"""How long the desk takes to find, list, take and change a call among many. From the top folder:

    PYTHONPATH=engine:tests/desk python tests/bench/bench_desk.py [calls, default 2000] [address, default a file]

Callers are invented: names, streets and words drawn by a fixed seed from short lists, so that most searches find many.
Times are the quickest and the median of several tries, in milliseconds, from the shell of this process. Nothing here is
asserted. A desk in PostgreSQL must be a database without one.
"""

import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from sample_calls import plain_call
from sqlalchemy import insert

from saltriage.desk import audit
from saltriage.desk.call import Call, CallDiagnosis, CallOutcome, CauseLine, Person
from saltriage.desk.checking import check_desk
from saltriage.desk.desk import Desk
from saltriage.desk.opening import init_desk
from saltriage.desk.phone import end_of
from saltriage.desk.rows import call_row, insert_children
from saltriage.desk.searching import index
from saltriage.desk.tables import calls, people
from saltriage.desk.times import moment, now

FIRST = "Ada Bela Cleo Dorn Ella Falk Gesa Hark Ilva Jorn Karl Lene Mara Nils Olva Pell Runa Sven Tilda Ulf".split()  # noqa: SIM905
LAST = "Tolben Ferrel Amsel Brink Dorval Eschen Gruber Hallig Imker Jasper Kolm Lohmar Nessel Orth Quint".split()  # noqa: SIM905
WORDS = "water green salt light cell warm pump noise plates white cloudy flow leak filter smell rain bags box".split()  # noqa: SIM905
CAUSES = ("salt-diluted-by-rain", "salt-too-low", "plates-scaled-up", "filter-dirty", "cell-worn-out")
TRIES = 7


def invented(number: int, chance: random.Random) -> Call:
    """A caller with some words and a cause; every tenth is open."""
    name = f"{chance.choice(FIRST)} {chance.choice(LAST)}"
    who = Person(name, f"0171 {number:07d}", f"Lindenwyk, Mill Lane {number % 400}")
    said = f"Invented. {' '.join(chance.sample(WORDS, 8))} w{number}"
    cause = chance.choice(CAUSES)
    found = CallDiagnosis(now(), "bench", "1.0.0", "cause", (CauseLine(cause, cause.replace("-", " "), 0.8),))
    answers = {"low-salt-warning": "yes", "heavy-rain": "no", "plates-scaled": "unknown"}
    return plain_call(
        number,
        who,
        uid=str(uuid.UUID(int=chance.getrandbits(128))),
        taken=moment(datetime(2026, 11, 30, 12, tzinfo=UTC) - timedelta(hours=number)),
        case={"case": "c", "title": f"Call about {chance.choice(WORDS)}", "said": said, "symptoms": answers},
        findings=(found,),
        outcome=None if number % 10 == 0 else CallOutcome((), "caller", "2026-11-30", "kim"),
    )


def fill(desk: Desk, count: int) -> None:
    """All in one step, as a backup is brought back; `take` by itself would wait for the disk at each call."""
    chance = random.Random(20261130)
    with desk.connected.writing() as opened:
        for start in range(1, count + 1, 1000):
            some = [
                invented(number, chance).with_number(number) for number in range(start, min(start + 1000, count + 1))
            ]
            opened.execute(insert(people), [{"id": each.number, **_person_row(each)} for each in some])
            opened.execute(
                insert(calls), [{"id": each.number, "person_id": each.number, **call_row(each)} for each in some]
            )
            insert_children(opened, some)
            index(opened, some)
            audit.note_down_many(opened, [audit.AuditLine(now(), "kim", "imported", each.number, 1) for each in some])
        if not desk.connected.is_file:
            for name in ("calls", "people"):
                opened.exec_driver_sql(f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), {count})")
    with desk.connected.alone() as opened:
        opened.exec_driver_sql("ANALYZE")


def _person_row(call: Call) -> dict[str, str]:
    who = call.person
    assert who is not None
    return {"name": who.name, "phone": who.phone, "phone_end": end_of(who.phone), "address": who.address}


def timed(what: str, work: Callable[[], object]) -> None:
    """Print one line."""
    times = []
    for _ in range(TRIES):
        began = time.perf_counter()
        result = work()
        times.append(1e3 * (time.perf_counter() - began))
    size = f"{len(result)} found" if isinstance(result, list) else ""
    print(f"{what:44}{min(times):>10.1f}{median(times):>10.1f}   {size}")


def main(count: int, address: str) -> None:
    desk, before = init_desk(address)
    assert not before, "the place has a desk already"
    began = time.perf_counter()
    fill(desk, count)
    print(f"{count} calls filled in {time.perf_counter() - began:.0f} s\n{'ms':44}{'quickest':>10}{'median':>10}")
    timed("find: a name, many", lambda: desk.find("tolben"))
    timed("find: name and surname", lambda: desk.find("mara tolben"))
    timed("find: three words of what was said", lambda: desk.find("green pump rain"))
    timed("find: two letters, nearly all", lambda: desk.find("li"))
    timed("find: one word, one call", lambda: desk.find(f"w{count // 2}"))
    timed("find: a street and number", lambda: desk.find("mill lane 77"))
    timed("find: end of a number", lambda: desk.find(f"{count // 3:07d}"))
    timed("find: a whole number with its country", lambda: desk.find(f"+49 171 {count // 3:07d}"))
    timed("find: words of a cause", lambda: desk.find("diluted"))
    timed("find: nothing", lambda: desk.find("nobody here"))
    timed("of a cause", lambda: desk.of_cause("salt-too-low"))
    timed("list: today", lambda: desk.since("2026-11-30T00:00:00Z"))
    timed("list: of all days", desk.newest)
    timed("list: open", desk.open)
    timed("show", lambda: desk.call(count // 2))
    timed("note", lambda: desk.note(count // 2, "a note", "kim"))
    numbers = iter(range(10**7, 2 * 10**7))
    timed("take", lambda: desk.take(plain_call(next(numbers), Person("Ada Tolben", "0171 0000007"))))
    if count <= 5000:
        timed("check", lambda: check_desk(desk.connected)[1])


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    with tempfile.TemporaryDirectory() as folder:
        main(wanted, sys.argv[2] if len(sys.argv) > 2 else str(Path(folder) / "desk.db"))
