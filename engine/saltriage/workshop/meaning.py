"""What of a rule is meaning and what is wording: the hashes that versions.lock keeps.

A change of meaning can change what a caller is told to do, so the version of the rule rises with it. Orders (steps of
actions, what safety notes say) and callers' phrases count as meaning, since no machine can tell a reworded order from
another one.
Explanations, questions, titles and pictures are wording. Margins, tied cases and sources concern maintainers only.
"""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

__all__ = ["meaning_hash", "wording_hash"]

_DIGITS = 16  # 64 bits: accidental agreement is out of the question, and the lines stay short
_UPKEEP = frozenset({"version", "changed", "cases", "sources", "source", "margin"})
_WORDING = frozenset(
    {
        "title", "explain", "why", "how", "if-not", "see", "describe", "guidance", "cite", "note", "picture", "part",
        "asked-in",
    }
)  # fmt: skip
_TELLING = frozenset({"because"})  # of doubts and of what is allowed of a reading
_QUESTION = frozenset({"owner", "support"})  # inside `ask` only


def meaning_hash(data: Mapping[str, Any]) -> str:
    """Hash of what changes answers and orders; comments, layout and order of keys do not count."""
    return _hash(_without_wording(data, False))


def wording_hash(data: Mapping[str, Any]) -> str:
    """Hash of everything but version and date."""
    return _hash({key: value for key, value in data.items() if key not in ("version", "changed")})


def _without_wording(value: Any, asking: bool) -> Any:
    if isinstance(value, dict):
        dropped = _UPKEEP | _WORDING | _TELLING | (_QUESTION if asking else frozenset())
        return {key: _without_wording(part, key == "ask") for key, part in value.items() if key not in dropped}
    if isinstance(value, list):
        return [_without_wording(part, False) for part in value]
    return value


def _hash(value: Any) -> str:
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_DIGITS]
