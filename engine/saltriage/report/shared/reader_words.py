"""What a reader is told of evidence and of missing checks: support staff all of it, an owner what tells something."""

import math
from collections.abc import Sequence

from saltriage.report.shared.words import JOB
from saltriage.result import EvidenceLine, LaterAction

__all__ = ["LEADS", "evidence_groups", "evidence_told", "first_find_out", "later_words", "odds"]

TELLING = 1.3  # change of the odds below which a short report is silent about it (own judgement)
MOST_TO_FIND = 2  # more missing checks than this are only counted for an owner (own judgement)

# (raises the odds, is there) -> what leads the findings. What is absent is named as absent by the lead alone: a
# finding is never denied beside the word 'for', which reads as a double negative.
LEADS = {
    (True, True): "For it",
    (True, False): "For it, since these are absent",
    (False, True): "Against it",
    (False, False): "Against it, since these are absent",
}


def evidence_told(group: Sequence[EvidenceLine], reader: str, *, full: bool = True) -> list[EvidenceLine]:
    """The evidence that the reader is told, in its order; support staff all of it where `full`, else what tells."""
    if reader == "support":
        return [one for one in group if full or _tells(one)]
    # A finding that is there speaks against a cause only through a better one: an owner need not read it.
    return [one for one in group if _tells(one) and not (one.present and one.factor < 1)]


def _tells(one: EvidenceLine) -> bool:
    return max(one.factor, 1 / one.factor) >= TELLING


def evidence_groups(
    group: Sequence[EvidenceLine], reader: str, *, full: bool = True
) -> list[tuple[str, list[EvidenceLine]]]:
    """Lead and findings, in the order of LEADS, without empty groups; what the reader is not told is left out.

    >>> evidence_groups([EvidenceLine("foam", "Foam", False, 2.0)], "owner")[0][0]
    'For it, since these are absent'
    """
    told = evidence_told(group, reader, full=full)
    sorted_out = ((lead, [one for one in told if (one.factor >= 1, one.present) == key]) for key, lead in LEADS.items())
    return [(lead, found) for lead, found in sorted_out if found]


def odds(one: EvidenceLine) -> str:
    """What it adds to the log-odds (natural logarithm), and as a factor.

    >>> odds(EvidenceLine("foam", "Foam", True, 12.4)), odds(EvidenceLine("foam", "Foam", False, 0.5))
    ('+2.5, ×12', '-0.7, ÷2.0')
    """
    times = one.factor if one.factor >= 1 else 1 / one.factor
    digits = 0 if times >= 10 else 1
    return f"{math.log(one.factor):+.1f}, {'×' if one.factor >= 1 else '÷'}{times:.{digits}f}"


def first_find_out(wanted: Sequence[str], reader: str) -> str:
    """The sentence that names what decides about an action that is held back; '' where nothing does."""
    if not wanted:
        return ""
    most = MOST_TO_FIND if reader == "owner" else len(wanted)
    rest = f" (or {len(wanted) - most} more)" if len(wanted) > most else ""
    return f"First: {', '.join(wanted[:most])}{rest}."


def later_words(later: LaterAction) -> str:
    """An action that waits for the end of a danger: its title, whose work it is, and that a check comes before it."""
    notes = [JOB[later.job]] if later.job != "owner" else []
    notes += ["after a check"] if later.after_a_check else []
    return f"{later.title} ({', '.join(notes)})" if notes else later.title
