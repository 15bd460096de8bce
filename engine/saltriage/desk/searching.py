"""Searching by name, number, address, words and cause. Both databases get the same plain words from here.

A word is letters and digits without case and accents. What somebody looks for is turned into such words, too, so
nothing that is typed can be read as an order to the database.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, bindparam, text

from saltriage.desk.call import Call
from saltriage.desk.phone import digits_of
from saltriage.desk.rows import calls_of, every_number

__all__ = ["document_of", "fill_index", "found", "index", "number_in", "tokens", "unindex"]

LONGEST_WORD = 40
_WORD = re.compile(r"[^\W_]+")
_LEAST_DIGITS = 4  # of a number's end that is still looked for


def tokens(words: str) -> list[str]:
    """The words of a text, in order."""
    plain = unicodedata.normalize("NFKD", words).casefold()
    bare = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return [word[:LONGEST_WORD] for word in _WORD.findall(bare)]


def document_of(call: Call) -> str:
    """All words by which a call is found, each once."""
    person, case = call.person, call.case
    parts = [call.title, *(str(case.get(key, "")) for key in ("case", "title", "story", "said"))]
    parts += [note.text for note in call.notes] + [call.typed_notes]
    for cause in call.last.causes[:1]:
        parts += [cause.cause, cause.title]
    parts += [stop.title for stop in call.last.stops]
    if call.outcome is not None:
        parts += [part for each in call.outcome.confirmed for part in (each.id, each.title)] + [call.outcome.remark]
    words = dict.fromkeys(word for part in parts for word in tokens(part))
    if person is not None:
        digits = digits_of(person.phone)
        ends = [digits[start:] for start in range(max(1, len(digits) - _LEAST_DIGITS + 1))] if digits else []
        words |= dict.fromkeys([*tokens(f"{person.name} {person.address} {person.phone}"), *ends])
    return " ".join(words)


def index(opened: Connection, kept: Sequence[Call]) -> None:
    """Have these calls found by what they hold now."""
    unindex(opened, [call.number for call in kept])
    rows = [{"number": call.number, "document": document_of(call)} for call in kept]
    if rows:
        opened.execute(text("INSERT INTO search (rowid, document) VALUES (:number, :document)"), rows)


def unindex(opened: Connection, numbers: Sequence[int]) -> None:
    """Have these calls not found any more."""
    if numbers:
        opened.execute(text("DELETE FROM search WHERE rowid = :number"), [{"number": each} for each in numbers])


def fill_index(opened: Connection) -> None:
    """Index every call there is."""
    opened.execute(text("DELETE FROM search"))
    for some in _some(every_number(opened)):
        index(opened, calls_of(opened, some))


def found(opened: Connection, words: str, most: int) -> list[int]:
    """Numbers of the calls that hold all these words, or words that begin so; the newest first.

    Words without a letter or digit find nothing.
    """
    wanted = list(dict.fromkeys(number_in(words) or tokens(words)))
    if not wanted:
        return []
    if opened.dialect.name == "sqlite":
        query = " ".join(f'"{word}"*' for word in wanted)
        statement = "SELECT rowid FROM search WHERE search MATCH :query ORDER BY rowid DESC LIMIT :most"
    else:
        query = " & ".join(f"'{word}':*" for word in wanted)
        statement = "SELECT rowid FROM search WHERE words @@ CAST(:query AS tsquery) ORDER BY rowid DESC LIMIT :most"
    rows = opened.execute(text(statement).bindparams(bindparam("query", query), bindparam("most", most)))
    return [row.rowid for row in rows]


def number_in(words: str) -> list[str]:
    """A phone number is looked for as one word, however its digits were set apart."""
    if re.fullmatch(r"[\d\s+()/.-]+", words.strip()) and len(digits := digits_of(words)) >= _LEAST_DIGITS:
        return [digits]
    return []


def _some(numbers: Iterable[int], size: int = 500) -> Iterable[list[int]]:
    whole = list(numbers)
    return (whole[start : start + size] for start in range(0, len(whole), size))
