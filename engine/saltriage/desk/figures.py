"""Sums over kept calls: what callers had, how it went, whether what was said was right, what was not understood.

Weeks begin on Monday, days are those of this computer. What was said is held against what was right only in calls that
were closed with a confirmed cause, and those are no fair draw of all.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from statistics import median
from typing import Any

from sqlalchemy import Connection, select

from saltriage.desk.figure_rows import CallFacts, facts_of
from saltriage.desk.tables import calls
from saltriage.desk.times import moment, today

__all__ = [
    "MOST_WEEKS",
    "Bin",
    "CauseWeeks",
    "DeskFigures",
    "FailedAdvice",
    "SaidWrong",
    "Week",
    "figures",
    "figures_of",
]

MOST_WEEKS = 520
REPEAT_DAYS = 14
"""Within which a caller who rings again counts as the same trouble (the desk's own rule)."""
BINS = 10
FAR = 0.06
"""How far what was said may be from what was right before it is pointed at (own judgement)."""
Z_95 = 1.959964
"""Two-sided 95 % point of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Week:
    """One week. Args: begins: its Monday.    minutes, questions: of the middle call, None without calls."""

    begins: str
    calls: int
    minutes: float | None
    questions: float | None


@dataclass(frozen=True, slots=True)
class CauseWeeks:
    """Calls of one cause, the confirmed one where there is one, else the first said. Args: weeks: the oldest first."""

    cause: str
    title: str
    weeks: tuple[int, ...]
    confirmed: int

    @property
    def calls(self) -> int:
        return sum(self.weeks)


@dataclass(frozen=True, slots=True)
class Bin:
    """Causes that were said with about the same chance; all 0 to 1.

    Args: low, high: of the chance.    said: the mean chance.    causes: how many.    right: how many were confirmed.
    least, most: the 95 % interval of the share that is right (Wilson 1927).
    """

    low: float
    high: float
    causes: int
    said: float
    right: int
    least: float
    most: float

    @property
    def share(self) -> float:
        return self.right / self.causes if self.causes else 0.0

    @property
    def is_off(self) -> bool:
        """Whether what was said is plainly not what was right."""
        return self.causes > 0 and abs(self.share - self.said) >= FAR and not self.least <= self.said <= self.most


@dataclass(frozen=True, slots=True)
class SaidWrong:
    """A call whose first cause was another than the confirmed ones. Args: closed: day."""

    number: int
    closed: str
    said: str
    probability: float
    was: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FailedAdvice:
    """An action in closed calls: how often advised, how often it cured, and how often it did not help."""

    action: str
    title: str
    advised: int
    cured: int
    failed: int


@dataclass(frozen=True, slots=True)
class DeskFigures:
    """Figures of calls taken in some weeks.

    Args: first, last: days.    calls, closed, confirmed: how many of them.    at_once: closed ones that are solved and
    whose caller did not ring again within 14 days.    known: calls of callers who can be told apart.    again: those of
    them whose caller had rung in the 14 days before.    dangers: level -> calls.    unheard: words -> calls.
    """

    first: str
    last: str
    calls: int
    closed: int
    confirmed: int
    at_once: int
    known: int
    again: int
    dangers: Mapping[str, int]
    weeks: tuple[Week, ...]
    causes: tuple[CauseWeeks, ...]
    bins: tuple[Bin, ...]
    first_right: int
    wrong: tuple[SaidWrong, ...]
    unheard: tuple[tuple[str, int], ...]
    advice: tuple[FailedAdvice, ...]


def figures(opened: Connection, weeks: int, until: str = "") -> DeskFigures:
    """Figures of the weeks up to a day. Args: weeks: 1 to MOST_WEEKS.    until: YYYY-MM-DD; today where left out."""
    last = date.fromisoformat(until or today())
    begins = last - timedelta(days=last.weekday() + 7 * (weeks - 1))
    first, end = _start(begins), _start(last + timedelta(days=1))
    numbers = select(calls.c.id).where(calls.c.taken >= first, calls.c.taken < end)
    facts = facts_of(opened, list(opened.scalars(numbers.order_by(calls.c.taken, calls.c.id))))
    before, after = _start(begins - timedelta(days=REPEAT_DAYS)), _start(last + timedelta(days=REPEAT_DAYS + 1))
    around = select(calls.c.id).where(calls.c.taken >= before, calls.c.taken < after)
    return figures_of(facts, facts_of(opened, list(opened.scalars(around)), only_callers=True), begins, last)


def figures_of(facts: Sequence[CallFacts], around: Sequence[CallFacts], begins: date, last: date) -> DeskFigures:
    """Figures of these calls. Args: around: callers and moments, of 14 days before and after as well."""
    mondays = [begins + timedelta(days=7 * each) for each in range((last - begins).days // 7 + 1)]
    rang: dict[str, list[datetime]] = {}
    for each in around:
        if each.caller:
            rang.setdefault(each.caller, []).append(_read(each.taken))
    closed = [each for each in facts if each.closed]
    confirmed = [each for each in closed if each.confirmed]
    known = [each for each in facts if each.caller]
    return DeskFigures(
        first=str(begins),
        last=str(last),
        calls=len(facts),
        closed=len(closed),
        confirmed=len(confirmed),
        at_once=sum(1 for each in closed if each.solved and not _rings(each, rang, 1)),
        known=len(known),
        again=sum(1 for each in known if _rings(each, rang, -1)),
        dangers=Counter(each.danger for each in facts if each.danger),
        weeks=tuple(_week(monday, facts) for monday in mondays),
        causes=_causes(facts, mondays),
        bins=_bins(confirmed),
        first_right=sum(1 for each in confirmed if each.causes and each.causes[0][0] in each.confirmed),
        wrong=_wrong(confirmed),
        unheard=_unheard(facts),
        advice=_advice(closed),
    )


def _start(day: date) -> str:
    return moment(datetime(day.year, day.month, day.day).astimezone())


def _read(at: str) -> datetime:
    return datetime.strptime(at, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)


def _day(at: str) -> date:
    return _read(at).astimezone().date()


def _rings(each: CallFacts, rang: Mapping[str, Sequence[datetime]], sign: int) -> bool:
    """Whether the caller rang in the 14 days after (sign 1) or before (sign -1)."""
    taken, span = _read(each.taken), timedelta(days=REPEAT_DAYS)
    return any(timedelta(0) < sign * (other - taken) <= span for other in rang.get(each.caller, ()))


def _week(monday: date, facts: Iterable[CallFacts]) -> Week:
    own = [each for each in facts if monday <= _day(each.taken) < monday + timedelta(days=7)]
    minutes = [each.minutes for each in own]
    questions = [each.questions for each in own]
    return Week(str(monday), len(own), *(float(median(one)) if own else None for one in (minutes, questions)))


def _causes(facts: Iterable[CallFacts], mondays: Sequence[date]) -> tuple[CauseWeeks, ...]:
    found: dict[str, tuple[str, list[int], int]] = {}
    for each in facts:
        cause, title = each.cause
        _, weeks, sure = found.get(cause, ("", [0] * len(mondays), 0))
        weeks[(_day(each.taken) - mondays[0]).days // 7] += 1
        found[cause] = (title, weeks, sure + bool(each.confirmed))
    rows = [CauseWeeks(cause, title, tuple(weeks), sure) for cause, (title, weeks, sure) in found.items()]
    return tuple(sorted(rows, key=lambda row: (-row.calls, row.cause)))


def _bins(confirmed: Iterable[CallFacts]) -> tuple[Bin, ...]:
    said: list[list[tuple[float, bool]]] = [[] for _ in range(BINS)]
    for each in confirmed:
        for cause, _, chance in each.causes:
            said[min(BINS - 1, int(chance * BINS))].append((chance, cause in each.confirmed))
    return tuple(_bin(place, some) for place, some in enumerate(said))


def _bin(place: int, some: Sequence[tuple[float, bool]]) -> Bin:
    right = sum(is_right for _, is_right in some)
    mean = sum(chance for chance, _ in some) / len(some) if some else (place + 0.5) / BINS
    return Bin(place / BINS, (place + 1) / BINS, len(some), mean, right, *wilson(right, len(some)))


def wilson(right: int, count: int) -> tuple[float, float]:
    """The 95 % interval of a share by its score (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927); 0 to 1 without any."""
    if not count:
        return 0.0, 1.0
    share, z2 = right / count, Z_95 * Z_95
    middle = (share + z2 / (2 * count)) / (1 + z2 / count)
    half = Z_95 / (1 + z2 / count) * (share * (1 - share) / count + z2 / (4 * count * count)) ** 0.5
    return max(0.0, min(share, middle - half)), min(1.0, max(share, middle + half))  # the ends of 0 and 1 are exact


def _wrong(confirmed: Iterable[CallFacts]) -> tuple[SaidWrong, ...]:
    found = [
        SaidWrong(each.number, each.closed, each.causes[0][1], each.causes[0][2], tuple(each.confirmed.values()))
        for each in confirmed
        if each.causes and each.causes[0][0] not in each.confirmed
    ]
    return tuple(sorted(found, key=lambda one: (one.closed, one.number), reverse=True))


def _unheard(facts: Iterable[CallFacts]) -> tuple[tuple[str, int], ...]:
    """Words in small letters, each once a call; the commonest first."""
    counts = Counter(words for each in facts for words in {one.casefold() for one in each.unheard})
    return tuple(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def _advice(closed: Iterable[CallFacts]) -> tuple[FailedAdvice, ...]:
    """Actions that cured or did not help at least once, those that failed most often first."""
    titles: dict[str, str] = {}
    counts: dict[str, Counter[str]] = {}
    for each in closed:
        told: dict[str, Mapping[str, Any]] = {"advised": each.advised, "cured": each.cured, "failed": each.failed}
        for kind, named in told.items():
            for action, title in named.items():
                titles[action] = str(title)
                counts.setdefault(action, Counter())[kind] += 1
    rows = [
        FailedAdvice(action, titles[action], one["advised"], one["cured"], one["failed"])
        for action, one in counts.items()
        if one["cured"] or one["failed"]
    ]
    return tuple(sorted(rows, key=lambda row: (-row.failed, -row.cured, row.action)))
