"""What agents type beside the case: one line or a few, of signs that can be shown."""

import re
from typing import Any

from saltriage.errors import UsageRefused

__all__ = ["LONGEST", "clean_text", "refuse_unsafe"]

LONGEST = 4000  # signs of a note, as of what a caller says; all else is shorter
_UNSAFE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]")


def clean_text(text: str, what: str, longest: int = 200, lines: bool = False) -> str:
    """The text without blanks around it.

    Args: what: it is, for the refusal.    lines: whether it may have several.
    Raises: UsageRefused: it is too long or holds signs that cannot be shown.
    """
    plain = text.replace("\r\n", "\n").strip()
    if len(plain) > longest:
        raise UsageRefused(f"{what}: {len(plain)} signs; at most {longest} are kept. Shorten it")
    if _UNSAFE.search(plain) or (not lines and re.search(r"[\n\t]", plain)):
        raise UsageRefused(f"{what}: holds signs that cannot be shown{'' if lines else ' in one line'}. Type it anew")
    return plain


def refuse_unsafe(data: Any, place: str) -> None:
    """Raises: UsageRefused: somewhere in the data, as JSON has it, is text that cannot be shown or kept."""
    waiting = [data]
    while waiting:
        each = waiting.pop()
        if isinstance(each, str) and _UNSAFE.search(each):
            raise UsageRefused(f"{place}: holds signs that cannot be shown; nothing was taken in")
        if isinstance(each, dict):
            waiting += [*each, *each.values()]
        elif isinstance(each, list):
            waiting += each
