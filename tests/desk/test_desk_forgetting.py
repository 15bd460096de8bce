"""Who is forgotten is gone: from rows, index, files, and everything written after."""

from pathlib import Path

import pytest
from sample_calls import MARA, RAIN, diagnosed, plain_call

from saltriage.desk.backup import back_up, restore
from saltriage.desk.call import CallOutcome, NamedId, Person
from saltriage.desk.call_forms import CallForm
from saltriage.desk.checking import check_desk
from saltriage.desk.exporting import export_calls
from saltriage.desk.forgetting import forget_calls, forget_expired, forget_phone
from saltriage.desk.importing import import_calls
from saltriage.desk.settings import set_kept_days
from saltriage.errors import UsageRefused

# Signs that stand nowhere else, so that finding one in a file means that it was not forgotten.
SECRET = Person("Quendolyxa Vrobnitz", "0179 8812345", "Zwergelstrix 77")
STAYS = Person("Jon Ferrel", "0171 5550199", "Lindenwyk, Church Road 1")
WORDS = ["quendolyxa", "vrobnitz", "zwergelstrix", "8812345", "hummelplotz", "krummsel"]
CASE = {**RAIN, "said": "Hummelplotz is what I said", "title": "Krummsel is off"}


def everywhere(desk) -> str:
    """All that the database holds, rows and files, as text without case."""
    if desk.connected.is_file:
        file = Path(desk.connected.place.file)
        parts = [each.read_bytes() for each in file.parent.iterdir() if each.name.startswith(file.name)]
        return b"".join(parts).decode("latin-1").casefold()
    with desk.connected.reading() as opened:
        names = opened.exec_driver_sql("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").scalars().all()
        rows = [row for name in names for row in opened.exec_driver_sql(f"SELECT t::text FROM {name} t").scalars()]
    return "\n".join(rows).casefold()


@pytest.fixture
def two_callers(desk, knowledge):
    """Two calls of one who will be forgotten, changed, noted, closed; and one call of another."""
    first = desk.take(diagnosed(CASE, knowledge, SECRET))
    desk.note(first.number, "Krummsel again, key at Zwergelstrix", "lee")
    desk.revise(first.number, diagnosed(CASE, knowledge), "lee", 1)
    end = CallOutcome((NamedId("salt-too-low", "Salt"),), "caller", "2026-12-01", "lee", (), (), "Hummelplotz")
    desk.close(first.number, end)
    desk.take(diagnosed(CASE, knowledge, Person(phone="+49 179 8812345")))
    desk.take(diagnosed(RAIN, knowledge, STAYS))
    return desk


def test_a_forgotten_person_is_gone(two_callers, tmp_path):
    """Rows, index, bytes of the file, trail, exports and backups made after; the others stay."""
    desk = two_callers
    assert all(word in everywhere(desk) for word in WORDS)

    gone = forget_phone(desk.connected, "0179-8812345", "lee")

    assert (gone.calls, gone.people) == (2, 1)
    assert [word for word in WORDS if word in everywhere(desk)] == []
    assert all(desk.find(word) == [] for word in WORDS)
    back_up(desk.connected, tmp_path / "backup")
    export_calls(desk.connected, tmp_path / "calls.json", CallForm.json)
    import gzip

    written = gzip.decompress((tmp_path / "backup").read_bytes()) + (tmp_path / "calls.json").read_bytes()
    assert [word for word in WORDS if word.encode() in written.lower()] == []
    assert [each.name for each in desk.since("")] == [STAYS.name]
    assert check_desk(desk.connected) == (1, [])


def test_the_trail_says_that_and_not_who(two_callers):
    """One line, with how many; those of the forgotten calls are gone."""
    forget_phone(two_callers.connected, SECRET.phone, "lee")
    with two_callers.connected.reading() as opened:
        lines = opened.exec_driver_sql("SELECT did, call_id, what FROM audit ORDER BY id").all()
    assert [(line.did, line.call_id) for line in lines] == [("took", 3), ("forgot", None)]
    assert "2 calls" in str(lines[-1].what)


def test_what_was_forgotten_does_not_come_back(two_callers, knowledge, tmp_path):
    """Neither by an import nor by a backup of before."""
    desk = two_callers
    export_calls(desk.connected, tmp_path / "calls.json", CallForm.json)
    back_up(desk.connected, tmp_path / "backup")
    forget_phone(desk.connected, SECRET.phone, "lee")

    done = import_calls(desk.connected, tmp_path / "calls.json", knowledge, "lee")
    assert (done.new, done.here, done.forgotten) == (0, 1, 2)
    assert restore(desk.connected, tmp_path / "backup", "lee", replaces=True) == 1
    assert [word for word in WORDS if word in everywhere(desk)] == []
    assert check_desk(desk.connected) == (1, [])


def test_one_call_of_several_is_forgotten(two_callers):
    """Whoever has another call stays, and numbers are not given again."""
    desk = two_callers
    gone = forget_calls(desk.connected, [2], "lee")

    assert (gone.calls, gone.people) == (1, 0)
    assert [each.number for each in desk.calls_from(SECRET.phone)] == [1]
    forget_calls(desk.connected, [3], "lee")
    assert desk.take(plain_call(5)).number == 4
    assert check_desk(desk.connected) == (2, [])


def test_whom_nobody_knows(two_callers):
    """Nothing is forgotten by a slip: neither for an unknown number nor where one call of several is not there."""
    for slip in (
        lambda: forget_phone(two_callers.connected, "0000", "lee"),
        lambda: forget_phone(two_callers.connected, "", "lee"),
        lambda: forget_phone(two_callers.connected, "0171 555", "lee"),
        lambda: forget_calls(two_callers.connected, [1, 99], "lee"),
        lambda: forget_expired(two_callers.connected, "lee"),
    ):
        with pytest.raises(UsageRefused):
            slip()
    assert check_desk(two_callers.connected) == (3, [])


def test_calls_are_kept_for_so_many_days(desk):
    """Closed ones alone; `check` names those that are kept too long, and nothing goes by itself."""
    for number, closed in enumerate(("2020-01-01", "2099-01-01", ""), 1):
        call = desk.take(plain_call(number, MARA, taken="2020-01-01T10:00:00Z"))
        if closed:
            desk.close(call.number, CallOutcome((), "caller", closed, "lee"))
    with desk.connected.writing() as opened:
        set_kept_days(opened, 30, "lee")

    (finding,) = check_desk(desk.connected)[1]
    assert "kept longer" in finding
    assert finding.endswith("call 1")
    assert forget_expired(desk.connected, "lee").calls == 1
    assert forget_expired(desk.connected, "lee").calls == 0
    assert {each.number for each in desk.since("")} == {2, 3}
    assert check_desk(desk.connected) == (2, [])
