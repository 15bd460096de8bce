"""Patterns as the hearing rules write them -> compiled regular expressions.

A list is words: any of them, whole, in any case. Text is a regular expression whose lines are joined without what
stands around them, so that a space at a line's end is written `[ ]`. `{name}` stands for a part of the same rule;
`{digits}` for a number in digits, known everywhere.

>>> bool(compiled(["foam", "suds?"], {}).search("a lot of SUDS"))
True
>>> compiled("{fill} salt", {"fill": "(?:tap|hose)"}).pattern
'(?:tap|hose) salt'
"""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

__all__ = ["NEVER", "PatternSpec", "UnknownPart", "compiled", "pattern_text"]

PatternSpec = str | Sequence[str]
NEVER = re.compile(r"(?!)")
"""Matches nothing: what stands for a pattern that no rule gives."""

_DIGITS = r"(?<!\d)\d{1,3}(?:,\d{3})+|(?<!\d)\d{1,7}(?:\.\d{1,4})?(?!\d)"
_PART = re.compile(r"\{([a-z][a-z-]*)\}")


class UnknownPart(LookupError):
    """A pattern uses a `{part}` that its rule does not have; its first argument is the name."""


def pattern_text(spec: PatternSpec, parts: Mapping[str, PatternSpec]) -> str:
    """The regular expression that is meant.

    Raises: UnknownPart: it names a part that is not there, or not before it.
    """
    known = {"digits": _DIGITS}
    for name, part in parts.items():
        known[name] = _filled(_whole(part), known)
    return _filled(_whole(spec), known)


def _whole(spec: PatternSpec) -> str:
    if not isinstance(spec, str):
        return rf"\b(?:{'|'.join(spec)})\b"
    return "".join(line.strip() for line in spec.splitlines())


def _filled(text: str, known: Mapping[str, str]) -> str:
    def put_in(match: re.Match[str]) -> str:
        if match[1] not in known:
            raise UnknownPart(match[1])
        return known[match[1]]

    return _PART.sub(put_in, text)


def compiled(spec: PatternSpec, parts: Mapping[str, PatternSpec]) -> re.Pattern[str]:
    """The pattern, blind to capitals. Raises: UnknownPart; re.error: it is no regular expression."""
    return _compiled(pattern_text(spec, parts))


@lru_cache(maxsize=1000)
def _compiled(text: str) -> re.Pattern[str]:
    return re.compile(text, re.IGNORECASE)
