"""The list of everything wrong with a case, each with its field and place, and the small checks that fill it."""

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import NoReturn

from saltriage.errors import CaseRefused, QuantityRefused, Refusal
from saltriage.knowledge.places import Document
from saltriage.pool.units import shortened

__all__ = ["MOST_REFUSALS", "CaseLedger", "Path", "nearest"]

Path = tuple[str | int, ...]

# Control signs, half characters, and signs that turn the writing direction: they would garble the screen they are
# printed on. Other signs without a picture (joiners of emoji, soft hyphens) come with pasted text and do no harm.
_UNSAFE = re.compile("[\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\ud800-\\udfff\\u202a-\\u202e\\u2066-\\u2069]")

MOST_REFUSALS = 50  # a file of nothing but errors is refused quickly, and nobody reads more of them


def nearest(word: str, allowed: Iterable[str]) -> str:
    """'Did you mean x?' for the nearest allowed word, else nothing."""
    close = get_close_matches(word[:60].casefold(), list(allowed), 1, 0.6)
    return f"Did you mean {close[0]}?" if close else ""


class CaseLedger:
    """Collects refusals; raises them all at the end, or at once when there are MOST_REFUSALS of them."""

    def __init__(self, document: Document | None, name: str) -> None:
        self._document = document
        self._name = name
        self._refusals: list[tuple[tuple[int, int], Refusal]] = []

    def refuse(self, path: Path, found: str, expected: str, mend: str = "", *, at_key: bool = False) -> None:
        """Notes one reason; `path` leads to the field, `at_key` points at its key instead of its value."""
        field = ".".join(shortened(step)[1:-1] if isinstance(step, str) else str(step) for step in path) or "case file"
        line, column, place = 0, 0, ""
        if self._document is not None:
            spot = self._document.key_place(path) if at_key else self._document.place(path)
            line, column, place = spot.line, spot.column, f"{self._name}:{spot.line}:{spot.column}"
        self._refusals.append(((line, column), Refusal(field, found, expected, mend, place)))
        if len(self._refusals) >= MOST_REFUSALS:
            self.raise_all()

    def refuse_quantity(self, path: Path, reason: QuantityRefused) -> None:
        """Notes a number or unit that was not understood."""
        self.refuse(path, reason.found, reason.expected, reason.mend)

    def raise_all(self, readable: object = None) -> NoReturn:
        """Raises what was noted, in file order."""
        in_order = sorted(self._refusals, key=lambda each: each[0])
        raise CaseRefused([refusal for _, refusal in in_order], readable)

    def raise_if_any(self, readable: object = None) -> None:
        """Raises what was noted, if anything was. Args: readable: what could be read all the same."""
        if self._refusals:
            self.raise_all(readable)

    def mapping(self, value: object, path: Path, expected: str) -> Mapping[str, object]:
        """The value if it is a mapping with text keys, else nothing and a note."""
        if not isinstance(value, Mapping):
            mend = "Leave the key out, or fill it in." if value is None else ""
            self.refuse(path, shortened(value), expected, mend)
            return {}
        odd = [key for key in value if not isinstance(key, str)]
        for key in odd:
            self.refuse(path, f"the key {shortened(key)}", "keys that are text", "Put the key in quotes.")
        return {key: each for key, each in value.items() if isinstance(key, str)}

    def known_keys(self, value: Mapping[str, object], path: Path, allowed: Sequence[str]) -> None:
        """Notes every key that is not allowed there, with the nearest one that is."""
        for key in value:
            if key not in allowed:
                mend = nearest(key, allowed)
                self.refuse((*path, key), f"the unknown key {shortened(key)}", _listed(allowed), mend, at_key=True)

    def word(self, value: object, path: Path, allowed: Sequence[str]) -> str:
        """The value if it is one of the words, else '' and a note."""
        if isinstance(value, str) and value in allowed:
            return value
        mend = nearest(value, allowed) if isinstance(value, str) else ""
        self.refuse(path, shortened(value), _listed(allowed), mend)
        return ""

    def text(self, value: object, path: Path, longest: int) -> str:
        """The value if it is text that can be printed, else '' and a note."""
        if not isinstance(value, str):
            self.refuse(path, shortened(value), "text", "Put it in quotes." if value is not None else "")
            return ""
        text = value.replace("\r\n", "\n").strip()
        if len(text) > longest:
            self.refuse(path, f"text of {len(text)} characters", f"at most {longest} characters")
            return ""
        if _UNSAFE.search(text):
            self.refuse(path, shortened(text), "text without control signs", "Type it anew.")
            return ""
        return text


def _listed(allowed: Sequence[str], most: int = 16) -> str:
    if not allowed:
        return "nothing here"
    more = f" and {len(allowed) - most} more" if len(allowed) > most else ""
    return f"one of {', '.join(allowed[:most])}{more}"
