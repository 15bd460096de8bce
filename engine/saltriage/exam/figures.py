"""Marks -> figures: shares, calibration in five bands, what a talk took. Nothing here knows a rule."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import fmean, median

from saltriage.exam.marking import Mark, Wanted
from saltriage.exam.sitting import Talk

__all__ = ["BANDS", "Band", "Figures", "Share", "TalkFigures", "bands_of", "brier_of", "figures_of", "share"]

BANDS = (0.0, 0.5, 0.7, 0.8, 0.9, 1.0)
"""Edges of the bands of what is said of the first cause; each band has its lower edge, the last its upper one too."""


@dataclass(frozen=True, slots=True)
class Share:
    """So many `hits` of so many, and the share that this is; None of nothing."""

    hits: int
    of: int
    share: float | None = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "share", self.hits / self.of if self.of else None)


@dataclass(frozen=True, slots=True)
class Band:
    """First causes of which between `low` and `high` was said. Args: said: on average; None where there are none."""

    low: float
    high: float
    said: float | None
    right: Share
    acceptable: Share


@dataclass(frozen=True, slots=True)
class TalkFigures:
    """What talks took. Args: endings: why they ended -> how many. facts...: of those told when asked, see `Talk`."""

    questions_mean: float
    questions_median: float
    minutes_mean: float
    minutes_median: float
    lines_mean: float
    lines_answerable: Share
    facts_asked_for: Share
    facts_told: Share
    endings: dict[str, int]


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures of some sheets.

    Args:
        first, first_acceptable, first_three: of the sheets whose key names what is behind the call.
        no_rule: how many of these have a cause that no rule has; they count as not right.
        both_in_three, both_in_four: of the sheets of kind `two`.
        nothing_wrong, not_enough_known, contradictory: said, of the sheets that are to be answered so.
        ..._elsewhere: said, of all other sheets.
        hazards, dangers, no_dangers: a danger raised, of sheets of kind `hazard`, of all with a danger, of all without.
        ..._stopped: of these, a danger to life or of harm stands.
        free_of_forbidden, has_needed: nothing forbidden advised, all that is needed said; of the sheets that tell it.
        brier: mean squared distance of what is said of the first cause from 1 where it is right, else from 0.
    """

    sheets: int
    refused: int
    first: Share
    first_acceptable: Share
    first_three: Share
    no_rule: int
    both_in_three: Share
    both_in_four: Share
    nothing_wrong: Share
    nothing_wrong_elsewhere: Share
    not_enough_known: Share
    not_enough_known_elsewhere: Share
    contradictory: Share
    contradictory_elsewhere: Share
    hazards: Share
    dangers: Share
    dangers_stopped: Share
    no_dangers: Share
    no_dangers_stopped: Share
    free_of_forbidden: Share
    has_needed: Share
    bands: tuple[Band, ...]
    brier: float | None
    talk: TalkFigures | None


def share(marks: Iterable[Mark], right: Callable[[Mark], bool]) -> Share:
    """How many of the marks are right."""
    hits = [right(mark) for mark in marks]
    return Share(sum(hits), len(hits))


def figures_of(marks: Sequence[Mark]) -> Figures:
    """The figures of these sheets."""
    named = [mark for mark in marks if mark.names_cause]
    two = [mark for mark in marks if mark.kind == "two"]
    nothing, nothing_elsewhere = _answered(marks, Wanted.nothing_wrong, lambda mark: mark.said.nothing_wrong)
    little, little_elsewhere = _answered(marks, Wanted.not_enough_known, lambda mark: mark.said.not_enough_known)
    conflict, conflict_elsewhere = _answered(marks, Wanted.contradictory, lambda mark: mark.said.contradictory)
    talks = [mark.talk for mark in marks if mark.talk is not None]
    return Figures(
        sheets=len(marks),
        refused=sum(mark.refused for mark in marks),
        first=share(named, lambda mark: mark.first_right),
        first_acceptable=share(named, lambda mark: mark.first_acceptable),
        first_three=share(named, lambda mark: mark.among(3)),
        no_rule=sum(not mark.truth for mark in named),
        both_in_three=share(two, lambda mark: mark.all_among(3)),
        both_in_four=share(two, lambda mark: mark.all_among(4)),
        nothing_wrong=nothing,
        nothing_wrong_elsewhere=nothing_elsewhere,
        not_enough_known=little,
        not_enough_known_elsewhere=little_elsewhere,
        contradictory=conflict,
        contradictory_elsewhere=conflict_elsewhere,
        hazards=share((mark for mark in marks if mark.kind == "hazard"), lambda mark: mark.danger_raised),
        dangers=share((mark for mark in marks if mark.danger), lambda mark: mark.danger_raised),
        dangers_stopped=share((mark for mark in marks if mark.danger), lambda mark: mark.is_stopped),
        no_dangers=share((mark for mark in marks if not mark.danger), lambda mark: mark.danger_raised),
        no_dangers_stopped=share((mark for mark in marks if not mark.danger), lambda mark: mark.is_stopped),
        free_of_forbidden=share(
            (mark for mark in marks if mark.forbidden is not None), lambda mark: not mark.forbidden
        ),
        has_needed=share((mark for mark in marks if mark.missing is not None), lambda mark: not mark.missing),
        bands=bands_of(named),
        brier=brier_of(named),
        talk=_talks(talks) if talks else None,
    )


def _answered(marks: Sequence[Mark], wanted: Wanted, said: Callable[[Mark], bool]) -> tuple[Share, Share]:
    """Of sheets to be answered so, and of the others, how many are."""
    return (
        share((mark for mark in marks if mark.wanted is wanted), said),
        share((mark for mark in marks if mark.wanted is not wanted), said),
    )


def bands_of(marks: Iterable[Mark]) -> tuple[Band, ...]:
    """What is said of first causes against how many are right, in five bands; a sheet that shows none is in no band."""
    shown = [(mark.chance, mark) for mark in marks if mark.chance is not None]
    bands = []
    for low, high in pairwise(BANDS):
        inside = [(said, mark) for said, mark in shown if low <= said < high or said == high == BANDS[-1]]
        bands.append(
            Band(
                low,
                high,
                fmean(said for said, _ in inside) if inside else None,
                share((mark for _, mark in inside), lambda mark: mark.first_right),
                share((mark for _, mark in inside), lambda mark: mark.first_acceptable),
            )
        )
    return tuple(bands)


def brier_of(marks: Iterable[Mark]) -> float | None:
    """The Brier score of the first cause, 0 (best) to 1; None where no sheet shows one. Source: G. W. Brier,
    Monthly Weather Review 78 (1950) 1-3, in its form for one event."""
    distances = [(mark.chance - mark.first_right) ** 2 for mark in marks if mark.chance is not None]
    return fmean(distances) if distances else None


def _talks(talks: Sequence[Talk]) -> TalkFigures:
    endings = sorted(talk.ending or "broken off" for talk in talks)
    facts = sum(talk.facts for talk in talks)
    return TalkFigures(
        questions_mean=fmean(talk.questions for talk in talks),
        questions_median=float(median(talk.questions for talk in talks)),
        minutes_mean=fmean(talk.minutes for talk in talks),
        minutes_median=float(median(talk.minutes for talk in talks)),
        lines_mean=fmean(talk.lines for talk in talks),
        lines_answerable=Share(sum(talk.answerable for talk in talks), sum(talk.lines for talk in talks)),
        facts_asked_for=Share(sum(talk.facts_asked_for for talk in talks), facts),
        facts_told=Share(sum(talk.facts_told for talk in talks), facts),
        endings={ending: endings.count(ending) for ending in dict.fromkeys(endings)},
    )
