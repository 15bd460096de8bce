"""Search: the same finds on both databases, and nothing that is typed is read as an order."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_calls import MARA, plain_call

from saltriage.desk.call import CallDiagnosis, CauseLine, Note, Person
from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.desk.searching import tokens

# Invented; what the two query languages and SQL take for more than words.
ORDERS = (
    "'; DROP TABLE calls; --", '" OR 1=1 --', "mara* OR *", "NEAR(mara lane)", "document:mara", "mara AND NOT tolben",
    "'mara' & !'tolben'", "mara <-> tolben", "mara:*", "a\\'b", '""', "''", "\\", "%", "_", "(((", "{mara}", "^mara",
    "\x00", "\ud800", "é'", "🙂", ":query", "%(query)s", "?", "--", "/*", "$$",
)  # fmt: skip


def numbers(desk, words: str) -> list[int]:
    return [each.number for each in desk.find(words)]


def test_found_by_everything_that_is_known_of_a_call(desk):
    """Name, number, address, what was said, notes, cause; beginnings of words, without case and accents."""
    found = CallDiagnosis("2026-11-30T10:00:00Z", "f", "1", "cause", (CauseLine("salt-diluted-by-rain", "Rain", 0.8),))
    person = Person("Márа Ölbrück", "0171 555 0134", "Lindenwyk, Mill Lane 3")
    case = {"case": "c", "title": "Light is on", "story": "Invented.", "said": "The BOX hums"}
    call = desk.take(plain_call(1, person, case=case, findings=(found,)))
    desk.take(plain_call(2, Person("Somebody Else", "0171 555 9999", "Elsewhere 4")))
    desk.note(call.number, "Key under the pot", "kim")

    for words in (
        "ölbrück", "OLBRUCK", "olb", "0134", "5550134", "0171 555 0134", "mill lane", "lane mill", "hums", "box hum",
        "key pot", "diluted", "salt-diluted-by-rain", "light",
    ):  # fmt: skip
        assert numbers(desk, words) == [call.number], words
    for words in ("nobody", "hums nobody", "hums else", "", "  ", "0135"):
        assert numbers(desk, words) == [], words
    assert len(numbers(desk, "0171")) in (0, 2)  # a beginning that everybody shares


@pytest.mark.parametrize("words", ORDERS, ids=ascii)
def test_orders_are_words(desk, words):
    """What is no plain word finds nothing or what holds its words; afterwards all is there still."""
    kept = desk.take(plain_call(1, MARA))

    assert numbers(desk, words) in ([], [kept.number])
    assert check_desk(desk.connected) == (1, [])


def test_what_looks_like_an_order_is_kept_and_found(desk):
    """As a name, an address, a note."""
    for place, words in enumerate(each for each in ORDERS if each.isprintable()):
        call = desk.take(plain_call(place + 1, Person(f"x{place} {words}", "", words)))
        desk.note(call.number, words, words)

        assert desk.call(call.number).person == Person(f"x{place} {words}", "", words)
        assert call.number in numbers(desk, f"x{place}")
    assert check_desk(desk.connected)[1] == []


@settings(max_examples=30)  # each opens a desk on both databases
@given(text=st.text(max_size=60))
def test_any_text_can_be_looked_for(homes, text):
    """Never an error, on either database."""
    for kind in ("sqlite", "postgresql") if homes.server else ("sqlite",):
        address = _ADDRESSES.setdefault(kind, "") or homes.fresh(kind)
        _ADDRESSES[kind] = address
        assert open_desk(address).find(text) == []


_ADDRESSES: dict[str, str] = {}


@given(text=st.text(max_size=80))
def test_words_are_plain(text):
    """Letters and digits alone, and the words of words are themselves."""
    found = tokens(text)

    assert all(word.isalnum() and len(word) <= 40 for word in found)
    assert tokens(" ".join(found)) == found or any(len(word) == 40 for word in found)


def test_a_note_is_not_found_once_it_is_another(desk):
    """The index follows every change."""
    call = desk.take(plain_call(1))
    desk.revise(call.number, plain_call(2, case={"case": "c", "said": "humming box"}), "kim", 1)

    assert numbers(desk, "humming") == [call.number]
    assert numbers(desk, "invented") == []
    assert desk.call(call.number).notes == ()
    assert Note("2026-11-30T10:00:00Z", "kim", "x") not in desk.call(call.number).notes
