"""What a reader is told of evidence and of missing checks: support staff all of it, an owner what tells something."""

from collections.abc import Sequence

from saltriage.result import EvidenceLine

__all__ = ["evidence_text", "evidence_told", "first_find_out", "odds"]

TELLING = 1.3  # change of the odds below which an owner need not read about it (own judgement)
MOST_TO_FIND = 3  # more missing checks than this are only counted for an owner (own judgement)


def evidence_told(group: Sequence[EvidenceLine], reader: str) -> list[EvidenceLine]:
    """The evidence that the reader is told, in its order."""
    return [one for one in group if reader == "support" or _is_telling(one)]


def _is_telling(one: EvidenceLine) -> bool:
    """Whether an owner should read it. A finding that is there speaks against a cause only through a better one."""
    return max(one.factor, 1 / one.factor) >= TELLING and not (one.present and one.factor < 1)


def evidence_text(one: EvidenceLine) -> str:
    """The finding, or that there is no sign of it."""
    return one.title if one.present else f"no sign of: {one.title}"


def odds(one: EvidenceLine) -> str:
    """What it does to the odds, as a factor.

    >>> odds(EvidenceLine("foam", "Foam", True, 12.4)), odds(EvidenceLine("foam", "Foam", False, 0.5))
    ('odds ×12', 'odds ÷2.0')
    """
    times = one.factor if one.factor >= 1 else 1 / one.factor
    sign = "×" if one.factor >= 1 else "÷"
    return f"odds {sign}{times:.0f}" if times >= 10 else f"odds {sign}{times:.1f}"


def first_find_out(wanted: Sequence[str], reader: str) -> str:
    """The sentence that names what decides about an action that is held back; '' where nothing does."""
    if not wanted:
        return ""
    most = MOST_TO_FIND if reader == "owner" else len(wanted)
    rest = f" (or {len(wanted) - most} more)" if len(wanted) > most else ""
    return f"First find out: {', '.join(wanted[:most])}{rest}."
