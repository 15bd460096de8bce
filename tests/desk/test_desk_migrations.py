"""The tables as migrations make them, up and down with calls in them."""

import pytest
from account_visits import MO, staffed
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from at_once import at_once
from sample_calls import MARA, RAIN, diagnosed
from sqlalchemy import inspect, text

import saltriage.desk.migrations
from saltriage.desk.checking import check_desk
from saltriage.desk.connecting import Connected
from saltriage.desk.opening import init_desk, open_desk
from saltriage.desk.place import place_of
from saltriage.desk.tables import metadata
from saltriage.desk.upgrading import NEWEST, migrate, version_of
from saltriage.errors import UsageRefused


def test_the_newest_version_is_the_last_migration():
    """One line of migrations, and its end is what the program looks for."""
    config = Config()
    config.set_main_option("script_location", saltriage.desk.migrations.__path__[0])
    assert ScriptDirectory.from_config(config).get_heads() == [NEWEST]


def test_migrations_make_the_tables_that_the_program_knows(desk):
    """Nothing more and nothing less, by Alembic's own comparison; the index for searching is not in the metadata."""
    with desk.connected.reading() as opened:
        found = compare_metadata(MigrationContext.configure(opened), metadata)
    ours = [each for each in found if not str(getattr(each[1], "name", "")).startswith("search")]
    assert [each for each in ours if not (each[0] == "remove_index" and each[1].table.name == "search")] == []


def test_down_and_up_with_calls(desk, address, knowledge):
    """The index goes and comes again, and the calls stay as they are."""
    kept = desk.take(diagnosed(RAIN, knowledge, MARA))

    assert migrate(desk.connected, "0001") == NEWEST
    with pytest.raises(UsageRefused, match=r"earlier version.*desk init"):
        open_desk(address)
    with desk.connected.reading() as opened:
        assert not inspect(opened).has_table("search")
        assert opened.execute(text("SELECT count(*) FROM answers")).scalar() == 3

    again, before = init_desk(address)
    assert before == "0001"
    assert again.call(kept.number) == kept
    assert [each.number for each in again.find("tolben")] == [kept.number]
    assert check_desk(again.connected) == (1, [])


def test_accounts_come_before_what_the_pages_keep(desk, address, knowledge):
    """Down to before either and up by each alone: calls stay, accounts go with their tables and only with them."""
    kept = desk.take(diagnosed(RAIN, knowledge, MARA))
    accounts = staffed(desk, "mo")
    assert accounts.log_in("mo", MO, "192.0.2.1").token

    def tables() -> set[str]:
        with desk.connected.reading() as opened:
            return set(inspect(opened).get_table_names())

    assert migrate(desk.connected, "0003") == NEWEST
    assert tables() >= {"users", "sessions", "attempts"}
    with desk.connected.reading() as opened:
        assert opened.execute(text("SELECT name, role FROM users")).all() == [("mo", "maintainer")]
        assert opened.execute(text("SELECT count(*) FROM sessions")).scalar() == 1
    assert init_desk(address)[1] == "0003"
    assert accounts.log_in("mo", MO, "192.0.2.1").token
    assert desk.call(kept.number) == kept

    assert migrate(desk.connected, "0002") == NEWEST
    assert tables() & {"users", "sessions", "attempts"} == set()
    assert migrate(desk.connected, "0003") == "0002"
    assert init_desk(address)[1] == "0003"
    assert desk.call(kept.number) == kept
    assert not accounts.any()
    assert check_desk(open_desk(address).connected) == (1, [])


def test_all_the_way_down_and_up(desk, address):
    """Down to nothing leaves nothing, and a new desk can be made there."""
    assert migrate(desk.connected, "base") == NEWEST
    with desk.connected.reading() as opened:
        assert version_of(opened) == ""
        assert set(inspect(opened).get_table_names()) <= {"alembic_version", "sqlite_sequence"}
    assert init_desk(address)[1] == ""
    assert check_desk(open_desk(address).connected) == (0, [])


def test_a_migration_that_fails_changes_nothing(desk, address, knowledge, monkeypatch):
    """On both databases it happens whole or not at all."""
    desk.take(diagnosed(RAIN, knowledge, MARA))
    migrate(desk.connected, "0001")

    def broken(opened):
        raise RuntimeError("in the middle")

    with monkeypatch.context() as patched:
        patched.setattr("saltriage.desk.upgrading.fill_index", broken)
        with pytest.raises(RuntimeError):
            init_desk(address)
    with desk.connected.reading() as opened:
        assert version_of(opened) == "0001"
        assert not inspect(opened).has_table("search")
    init_desk(address)
    assert check_desk(open_desk(address).connected) == (1, [])


def test_a_desk_of_a_newer_program_is_left_alone(desk, address):
    """Neither opened nor brought 'up' to date."""
    with desk.connected.writing() as opened:
        opened.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    for way in (open_desk, init_desk):
        with pytest.raises(UsageRefused, match="newer saltriage"):
            way(address)


def test_making_it_twice_is_making_it_once(kind, homes):
    """Also at the same moment."""
    address = homes.empty(kind)

    at_once(*[lambda: init_desk(address)] * 2)

    assert init_desk(address)[1] == NEWEST
    assert version_of_place(address) == NEWEST


def version_of_place(address: str) -> str:
    with Connected(place_of(address)).reading() as opened:
        return version_of(opened)
