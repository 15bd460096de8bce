"""Accounts in the store: passphrases, sessions, waits, roles, on both databases.

Sources, from memory: NIST SP 800-63B-4 (length, no composition, blocklist, 100 failures, reauthentication), OWASP cheat
sheets on authentication, sessions and password storage; RFC 9106 for Argon2id.
"""

from datetime import UTC, datetime, timedelta

import pytest
from account_visits import MO, WORDS, staffed
from at_once import at_once
from hypothesis import given
from hypothesis import strategies as st
from sample_calls import MARA, plain_call
from sqlalchemy import func, select, text, update

from saltriage.desk.accounts import throttle
from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.accounts.passwords import LEAST_SIGNS, Passwords, refuse_weak
from saltriage.desk.accounts.roles import Role
from saltriage.desk.accounts.sessions import IDLE_S, LONGEST_S
from saltriage.desk.accounts.steady_clock import SteadyClock
from saltriage.desk.accounts.users import account_name
from saltriage.desk.backup import back_up, restore
from saltriage.desk.checking import check_desk
from saltriage.desk.forgetting import wipe
from saltriage.desk.seeing import note_searched, note_seen, trail
from saltriage.desk.tables import attempts, audit, sessions, users
from saltriage.desk.times import moment
from saltriage.errors import UsageRefused


@pytest.fixture
def accounts(desk, clock) -> Accounts:
    """A desk with mo, who maintains it, and the agent kim."""
    return staffed(desk, "mo", "kim", clock=clock)


def signed_in(accounts, name="kim", words=WORDS, address="192.0.2.1", old="") -> str:
    answer = accounts.log_in(name, words, address, old)
    assert answer.token, answer
    return answer.token


# Passphrases


def test_argon2id_is_stored_with_the_second_choice_of_rfc_9106():
    """Section 4: 64 MiB, three rounds, four lanes, a salt of 128 bits and a tag of 256."""
    kept = Passwords().hashed(WORDS)

    kind, version, costs, salt, tag = kept.split("$")[1:]
    assert (kind, version, costs) == ("argon2id", "v=19", "m=65536,t=3,p=4")
    assert (len(salt), len(tag)) == (22, 43)  # base64 without padding
    assert WORDS not in kept
    assert Passwords().matches(kept, WORDS)
    assert not Passwords().matches(kept, WORDS + " ")


def test_the_same_passphrase_is_kept_differently_for_two(accounts):
    accounts.users.add("lee", Role.agent, WORDS, "tests")
    with accounts.connected.reading() as opened:
        kept = opened.scalars(select(users.c.password)).all()
    assert len({*kept}) == 3


@given(st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), min_size=LEAST_SIGNS, max_size=60))
def test_however_it_is_typed_it_is_the_same(words):
    """Composed or not (NFC, NFD): keyboards differ. Nothing of it is cut off."""
    from unicodedata import normalize

    passwords = Passwords(is_cheap=True)
    kept = passwords.hashed(words)
    assert passwords.matches(kept, normalize("NFD", words))
    assert not passwords.matches(kept, words[:-1])


@pytest.mark.parametrize(
    "words", [WORDS, "Übergrößenträger im Nebel", "aZ9!kk-33-woll-tuch", "x" * 20 + WORDS, WORDS * 9]
)
def test_long_ones_are_taken_without_rules_for_their_signs(words):
    """NIST SP 800-63B-4: at least 64 signs, Unicode and blanks are taken, no composition is asked for."""
    refuse_weak(words, "kim")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("short but odd !", None),
        ("fourteen signs", "14 signs, and 15"),
        ("", "0 signs"),
        ("x" * 257, "256 are the most"),
        ("aaaaaaaaaaaaaaaaaaaa", "different signs"),
        ("abcabcabcabcabcabc", "different signs"),
        ("passwordpassword1", "tried first"),
        ("Password-123456789", "tried first"),
        ("123456789012345678", "tried first"),
        ("qwertyuiopasdfghjk", "tried first"),
        ("saltriage saltriage", "tried first"),
        ("wolfgang wolfgang1", "tried first"),
        ("tango7tango7tango7", "tried first"),
        ("a line end in here\n", "cannot be typed"),
    ],
)
def test_what_is_guessed_first_is_refused_with_the_reason(words, why):
    if why is None:
        refuse_weak(words, "wolfgang")
        return
    with pytest.raises(UsageRefused, match=why) as refused:
        refuse_weak(words, "wolfgang")
    assert "four or five words" in str(refused.value)
    assert not words or words not in str(refused.value)


# Names


@pytest.mark.parametrize("name", ["k", "", "k m", "x" * 61, "kim;--", "<b>kim</b>", "../kim", "kim\x00", "k\u202eim"])
def test_what_cannot_be_a_name_is_refused(accounts, name):
    with pytest.raises(UsageRefused, match="a name has"):
        accounts.users.add(name, Role.agent, MO, "tests")


def test_nobody_can_take_a_name_that_looks_the_same(accounts):
    """Capitals and wide letters (NFKC) are the same name."""
    for name in ("KIM", "\uff2b\uff49\uff4d"):
        assert account_name(name) == "kim"
        with pytest.raises(UsageRefused, match="already"):
            accounts.users.add(name, Role.agent, MO, "tests")


def test_the_first_is_a_maintainer_and_the_last_one_stays(desk):
    made = Accounts(desk.connected, Passwords(is_cheap=True))
    with pytest.raises(UsageRefused, match="--role maintainer"):
        made.users.add("kim", Role.agent, WORDS, "tests")
    made.users.add("mo", Role.maintainer, MO, "tests")
    made.users.add("kim", Role.lead, WORDS, "tests")
    for change in (lambda: made.users.remove("mo", "mo"), lambda: made.users.set_role("mo", Role.agent, "mo")):
        with pytest.raises(UsageRefused, match="last maintainer"):
            change()
    made.users.remove("kim", "mo")
    made.users.remove("mo", "mo")  # nobody is left whom he would look after
    assert not made.any()


@pytest.mark.parametrize(
    ("role", "reached"), [(Role.agent, "agent"), (Role.lead, "agent lead"), (Role.maintainer, "agent lead maintainer")]
)
def test_each_role_may_what_those_before_it_may(role, reached):
    assert [each for each in Role if role.reaches(each)] == reached.split()


# Signing in


def test_the_token_is_kept_by_its_mark_alone(accounts):
    """Who reads the table, or a copy of it, cannot use it; the token has 256 random bits."""
    token = signed_in(accounts)
    with accounts.connected.reading() as opened:
        kept = opened.execute(select(sessions)).one()
    assert token not in map(str, kept)
    assert accounts.who(kept.mark) is None
    assert len(token) == 43
    assert accounts.who(token).name == "kim"
    assert accounts.who(token).role is Role.agent


@pytest.mark.parametrize("name", ["kim", "nobody", "k", "kim' OR '1'='1", "x" * 5000, "\ud800", "\x00"])
def test_a_wrong_name_takes_as_much_work_as_a_wrong_passphrase(accounts, name, monkeypatch):
    """One hash with the same parameters each time, so that the time tells nothing (OWASP, from memory)."""
    compared = []
    right = Passwords.matches

    def counted(self, kept, password):
        compared.append(kept.split("$")[3])
        return right(self, kept, password)

    monkeypatch.setattr(Passwords, "matches", counted)
    answer = accounts.log_in(name, "a wrong one, and a long one", "192.0.2.1")

    assert (answer.token, answer.wait_s) == ("", 0)
    assert compared == ["m=8,t=1,p=1"]


def test_a_session_of_before_is_over_after_signing_in(accounts):
    """What somebody planted in the browser is worth nothing (fixation)."""
    first = signed_in(accounts)
    second = signed_in(accounts, old=first)
    assert second != first
    assert accounts.who(first) is None
    planted = "planted-by-somebody"
    assert signed_in(accounts, old=planted) != planted
    assert accounts.who(planted) is None


def test_signing_out_ends_one_and_everywhere_ends_all(accounts):
    here, there, mo = signed_in(accounts), signed_in(accounts), signed_in(accounts, "mo", MO)
    accounts.log_out(here)
    assert accounts.who(here) is None
    assert accounts.who(there).name == "kim"
    signed_in(accounts)
    assert accounts.log_out_everywhere("kim") == 2
    assert accounts.who(there) is None
    assert accounts.who(mo).name == "mo"


def test_what_changes_rights_signs_out(accounts):
    """Another role, another passphrase, the account gone."""
    token = signed_in(accounts)
    accounts.users.set_role("kim", Role.lead, "mo")
    assert accounts.who(token) is None
    token = signed_in(accounts)
    accounts.users.set_password("kim", MO + " too", "mo")
    assert accounts.who(token) is None
    assert accounts.log_in("kim", WORDS, "192.0.2.1").token == ""
    token = signed_in(accounts, words=MO + " too")
    accounts.users.remove("kim", "mo")
    assert accounts.who(token) is None
    assert accounts.log_in("kim", MO + " too", "192.0.2.1").token == ""


def test_ones_own_passphrase_is_changed_by_who_knows_it(accounts):
    token = signed_in(accounts)
    assert accounts.change_password("kim", "not the one it is", MO + " too", "192.0.2.1").token == ""
    with pytest.raises(UsageRefused, match="15"):
        accounts.change_password("kim", WORDS, "short", "192.0.2.1")
    assert accounts.who(token).name == "kim"
    fresh = accounts.change_password("kim", WORDS, MO + " too", "192.0.2.1").token
    assert accounts.who(token) is None
    assert accounts.who(fresh).name == "kim"
    signed_in(accounts, words=MO + " too")


def test_a_hash_of_other_parameters_is_made_anew(accounts):
    """What was kept cheaply, or with parameters of an earlier year."""
    dear = Accounts(accounts.connected, Passwords(), accounts.clock)
    token = signed_in(dear)
    with accounts.connected.reading() as opened:
        kept = opened.scalar(select(users.c.password).where(users.c.name == "kim"))
    assert "m=65536" in kept
    assert dear.who(token).name == "kim"


# Ends of sessions, and clocks


def test_a_session_ends_after_an_hour_of_rest(accounts, clock):
    token = signed_in(accounts)
    for _ in range(3):
        clock.on(IDLE_S - 1)
        assert accounts.who(token).name == "kim"
    clock.on(IDLE_S + 1)
    assert accounts.who(token) is None


def test_a_session_ends_after_its_longest_time_however_busy(accounts, clock):
    token = signed_in(accounts)
    for _ in range(LONGEST_S // 1800):
        clock.on(1800)
        assert accounts.who(token) is not None
    clock.on(1)
    assert accounts.who(token) is None


def test_what_was_over_stays_over_when_the_clock_goes_back(accounts, clock):
    token = signed_in(accounts)
    clock.on(IDLE_S + 1)
    assert accounts.who(token) is None
    clock.on(-IDLE_S)
    assert accounts.who(token) is None


@pytest.mark.parametrize("back", [-30, -119])
def test_two_servers_may_differ_by_a_little(accounts, clock, back):
    token = signed_in(accounts)
    clock.on(back)
    assert accounts.who(token).name == "kim"


def test_a_session_of_the_future_is_over(accounts, clock):
    """Nobody knows for how long it was idle: the clock was wrong when it was used, or it is now."""
    clock.on(86_400)
    token = signed_in(accounts)
    clock.on(-86_400)
    assert accounts.who(token) is None


def test_nor_for_one_that_was_used_in_the_future(accounts, clock):
    """Begun before the clock was wrong, used while it was."""
    token = signed_in(accounts)
    clock.on(3000)
    assert accounts.who(token).name == "kim"
    clock.on(-2400)
    assert accounts.who(token) is None


@given(st.lists(st.floats(-1e9, 1e9), max_size=5))
def test_the_clock_of_a_server_does_not_see_jumps(jumps):
    """However the computer's clock is set while the server runs; from one mark two processes tell one time."""
    import time
    from unittest.mock import patch

    clock = SteadyClock()
    before = clock()
    for jump in jumps:
        with patch.object(time, "time", lambda jump=jump: 1.8e9 + jump):
            now = clock()
            assert SteadyClock(clock.wall, clock.mark)()[:-4] == now[:-4] or before <= now
        assert before <= now <= moment(datetime.fromtimestamp(clock.wall, UTC) + timedelta(seconds=60))


def test_sessions_that_are_over_are_swept(accounts, clock):
    for _ in range(5):
        signed_in(accounts)
    clock.on(LONGEST_S)
    signed_in(accounts)
    with accounts.connected.reading() as opened:
        assert opened.scalar(select(func.count()).select_from(sessions)) == 1


# Guessing


def guess(accounts, name="kim", address="192.0.2.1"):
    return accounts.log_in(name, "a guess that is quite wrong", address)


def test_the_wait_for_a_name_grows(accounts, clock):
    """Five tries are free; then each wait is twice the last, up to a quarter of an hour, and nothing is looked at."""
    waits = []
    for _ in range(16):
        while (answer := guess(accounts, address=f"192.0.2.{len(waits)}")).wait_s:
            waits.append(answer.wait_s)
            assert accounts.log_in("kim", WORDS, "198.51.100.1").wait_s, "the right one got in while it was to wait"
            clock.on(answer.wait_s)
    assert waits == [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900, 900][: len(waits)]
    assert len(waits) >= 10


def test_who_gets_in_begins_anew(accounts):
    for _ in range(3):
        for _ in range(4):
            assert guess(accounts).wait_s == 0
        signed_in(accounts)


def test_an_address_waits_whatever_names_it_tries(accounts, clock):
    """Passphrases sprayed over many names; whoever has an account there cannot wash the others off."""
    answers = [guess(accounts, f"name{number}").wait_s for number in range(40)]
    assert answers[:19] == [0] * 19
    assert all(answers[20:])
    assert guess(accounts, "mo", "198.51.100.9").wait_s == 0, "another address waits for nothing"
    clock.on(2)
    signed_in(accounts)
    assert guess(accounts, "name77").wait_s == 0
    assert guess(accounts, "name78").wait_s > 0


def test_names_that_nobody_has_wait_alike(accounts):
    known = [guess(accounts, "kim", f"192.0.2.{number}").wait_s for number in range(8)]
    unknown = [guess(accounts, "nobody", f"198.51.100.{number}").wait_s for number in range(8)]
    assert known == unknown


def test_after_100_failures_a_name_is_closed_until_it_is_opened(accounts, clock):
    """NIST SP 800-63B: no more than 100 consecutive failures (from memory); a day without a try changes nothing."""
    for number in range(100):
        assert not guess(accounts, address=f"2001:db8:{number:x}::1").is_closed
        clock.on(throttle.LONGEST_WAIT_S)
    clock.on(3 * 86_400)
    assert accounts.log_in("kim", WORDS, "192.0.2.9").is_closed
    signed_in(accounts, "mo", MO)
    accounts.users.unlock("kim", "mo")
    signed_in(accounts)


def test_many_at_once_do_not_get_around_the_wait(accounts):
    """Each try is counted before it is looked at."""
    waits = at_once(*[lambda: [guess(accounts).wait_s for _ in range(5)]] * 6)
    assert (
        sum(wait == 0 for seen in waits for wait in seen) <= 7
    )  # the free ones, and those after a wait of 2 s where this took so long


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2001:db8:0:1::1", "2001:db8:0:1:ffff::2", True),
        ("2001:db8:0:1::1", "2001:db8:0:2::1", False),
        ("192.0.2.1", "::ffff:192.0.2.1", True),
        ("192.0.2.1", "192.0.2.2", False),
        ("fe80::1%eth0", "fe80::1%eth1", True),
        ("not an address", "another", False),
    ],
)
def test_whoever_has_one_address_of_a_network_has_them_all(one, other, same):
    assert (throttle.mark_of_address(one) == throttle.mark_of_address(other)) is same


def test_a_wait_survives_a_clock_that_is_set(accounts, clock):
    """Forward it is over early, once; back it begins anew and is no longer than it was."""
    clock.on(86_400)
    for _ in range(8):
        while (answer := guess(accounts)).wait_s:
            clock.on(answer.wait_s)
    longest = 2**4
    clock.on(-86_400)
    wait_s = guess(accounts).wait_s
    assert 0 < wait_s <= longest
    clock.on(wait_s)
    signed_in(accounts)


def test_what_was_tried_is_kept_as_marks_and_swept(accounts, clock):
    """People type passphrases where the name belongs; of addresses nothing is to be listed."""
    guess(accounts, "my secret typed as name", "192.0.2.77")
    with accounts.connected.reading() as opened:
        kept = str(opened.execute(select(attempts)).all()) + str(opened.execute(select(audit)).all())
    assert "secret" not in kept
    assert "192.0.2.77" not in kept
    guess(accounts, "kim")
    clock.on(25 * 3600)
    guess(accounts, "mo", "198.51.100.1")
    with accounts.connected.reading() as opened:
        assert opened.scalar(select(func.count()).select_from(attempts)) == 3  # of kim, of mo, of mo's address


# The trail


def test_the_trail_says_who_did_what_to_accounts(accounts):
    guess(accounts)
    guess(accounts, "nobody")
    accounts.log_out(signed_in(accounts))
    accounts.users.set_role("kim", Role.lead, "mo")
    accounts.users.set_password("kim", MO + " too", "mo")
    accounts.users.unlock("kim", "mo")
    accounts.users.remove("kim", "mo")
    told = [f"{line.who} {line.did} {' '.join(line.what)}".strip() for _, line in reversed(trail(accounts.connected))]
    assert told == [
        "tests added mo maintainer", "tests added kim agent", "kim was refused login", "somebody was refused login",
        "kim logged in", "kim logged out", "mo allowed kim lead", "mo set password of kim", "mo unlocked kim",
        "mo removed kim",
    ]  # fmt: skip


def test_who_saw_a_call_is_written_once_a_while(desk):
    """And goes with the call when it is forgotten; what was searched for is not written."""
    number = desk.take(plain_call(1, MARA)).number
    for who in ("kim", "kim", "lee", "kim"):
        note_seen(desk.connected, number, who)
    for count in (0, 3, 4):
        note_searched(desk.connected, "kim", count)
    seen = trail(desk.connected, call=number)
    assert [(line.who, line.did) for _, line in seen] == [("lee", "saw"), ("kim", "saw"), ("kim", "took")]
    assert [line.did for _, line in trail(desk.connected, who="kim")] == ["searched", "saw", "took"]
    assert trail(desk.connected, before=seen[-1][0]) == []
    with desk.connected.writing() as opened:
        opened.execute(update(audit).values(at="2026-01-01T00:00:00Z"))
    note_seen(desk.connected, number, "kim")
    assert len(trail(desk.connected, call=number)) == 4
    assert check_desk(desk.connected) == (1, [])
    from saltriage.desk.forgetting import forget_calls

    forget_calls(desk.connected, [number], "mo")
    assert trail(desk.connected, call=number) == []


# Beside the rest of the desk


def test_a_backup_brings_no_account_back(accounts, tmp_path):
    """Not one that was removed since, not a passphrase of before; accounts of today stay as they are."""
    back_up(accounts.connected, tmp_path / "backup")
    accounts.users.add("lee", Role.agent, WORDS, "mo")
    accounts.users.remove("kim", "mo")
    restore(accounts.connected, tmp_path / "backup", "mo", replaces=True)
    assert [each.name for each in accounts.users.all()] == ["lee", "mo"]
    import gzip

    assert b"argon2" not in gzip.decompress((tmp_path / "backup").read_bytes())


def test_a_removed_account_is_gone_from_the_files(accounts, homes, address, kind):
    accounts.users.remove("kim", "mo")
    wipe(accounts.connected)
    with accounts.connected.reading() as opened:
        assert opened.scalar(text("SELECT count(*) FROM users")) == 1
    if kind == "sqlite":
        from pathlib import Path

        assert Path(address).read_bytes().count(b"$argon2id") == 1


def test_two_who_add_the_same_name_at_once(accounts):
    """One is told that it is there."""

    def add():
        try:
            return accounts.users.add("lee", Role.agent, WORDS, "mo")
        except UsageRefused as refused:
            return str(refused)

    ends = at_once(*[add] * 4)
    assert sorted(ends)[0] == "lee"
    assert sum("already" in end for end in ends) == 3
