"""An exam's result as tables for people and as data for programs."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from saltriage.exam.figures import Band, Figures, Share, figures_of
from saltriage.exam.marking import Mark
from saltriage.exam.result import ExamResult
from saltriage.report.diagnosis.json_form import plain_data

__all__ = ["FORMAT_VERSION", "GROUPINGS", "exam_data", "exam_text", "grouped"]

FORMAT_VERSION = 1
GROUPINGS = ("voice", "kind", "level")
MOST_LEFT_OUT = 0.05  # share of sheets above which leaving them out flatters the program (own judgement)


def grouped(marks: Sequence[Mark], by: str) -> dict[str, list[Mark]]:
    """The marks by one of GROUPINGS, groups in the order of their names."""
    groups: dict[str, list[Mark]] = {}
    for mark in marks:
        groups.setdefault(str(getattr(mark, by)), []).append(mark)
    return dict(sorted(groups.items()))


def exam_data(result: ExamResult, by: Sequence[str] = ()) -> dict[str, Any]:
    """Plain data, as schemas/exam-result.schema.json describes it. Args: by: of GROUPINGS."""
    return {
        "format": FORMAT_VERSION,
        "mode": result.mode.value,
        "knowledge-version": result.knowledge_version,
        "fingerprint": result.fingerprint,
        "excluded": plain_data(result.excluded),
        "notes": list(result.notes),
        "whole": plain_data(figures_of(result.marks)),
        "groups": {
            each: {name: plain_data(figures_of(marks)) for name, marks in grouped(result.marks, each).items()}
            for each in by
        },
        "sheets": [plain_data(mark) for mark in result.marks],
    }


def exam_text(result: ExamResult, by: Sequence[str] = ()) -> str:
    """The figures of all sheets, then one table a grouping, refusals and sheets left out."""
    return "\n".join(_lines(result, by)) + "\n"


def _lines(result: ExamResult, by: Sequence[str]) -> Iterator[str]:
    yield f"Exam by {result.mode.value}, rules {result.knowledge_version} ({result.fingerprint[:12]})"
    yield ""
    yield from _whole(figures_of(result.marks))
    for each in by:
        yield ""
        yield from _table(each, {name: figures_of(marks) for name, marks in grouped(result.marks, each).items()})
    refused = [(mark.sheet, text) for mark in result.marks for text in mark.refusals]
    if refused:
        yield ""
        yield f"Refused ({len(refused)})"
        yield from (f"  {sheet}: {text}" for sheet, text in refused)
    if result.excluded:
        yield ""
        yield f"Not scored ({len(result.excluded)})"
        yield from (f"  {each.sheet}: {each.reason}" for each in result.excluded)
        total = len(result.excluded) + len(result.marks)
        if len(result.excluded) > MOST_LEFT_OUT * total:
            yield f"  That is more than one in {1 / MOST_LEFT_OUT:.0f}: the figures may flatter."
    if result.notes:
        yield ""
        yield f"Retired ids ({len(result.notes)})"
        yield from (f"  {note}" for note in result.notes)


def _whole(whole: Figures) -> Iterator[str]:
    yield _row("sheets scored", str(whole.sheets))
    if whole.refused:
        yield _row("refused as a whole", str(whole.refused))
    yield _row("first right", _told(whole.first))
    yield _row("first right or also acceptable", _told(whole.first_acceptable))
    yield _row("right one in the first three", _told(whole.first_three))
    if whole.no_rule:
        yield _row("  cause has no rule: not right", str(whole.no_rule))
    yield _row("two faults: both in three", _told(whole.both_in_three))
    yield _row("two faults: both in four", _told(whole.both_in_four))
    for name, so, elsewhere in (
        ("nothing is wrong", whole.nothing_wrong, whole.nothing_wrong_elsewhere),
        ("not enough is known", whole.not_enough_known, whole.not_enough_known_elsewhere),
        ("does not fit together", whole.contradictory, whole.contradictory_elsewhere),
    ):
        yield _row(f"says: {name}", f"{_told(so)}   elsewhere {_told(elsewhere)}")
    yield _row("danger raised: hazards", _told(whole.hazards))
    yield _row("danger raised: any danger", f"{_told(whole.dangers)}   elsewhere {_told(whole.no_dangers)}")
    yield _row(
        "  stop that hides advice", f"{_told(whole.dangers_stopped)}   elsewhere {_told(whole.no_dangers_stopped)}"
    )
    yield _row("nothing forbidden advised", _told(whole.free_of_forbidden, "no key tells it"))
    yield _row("all that is needed said", _told(whole.has_needed, "no key tells it"))
    yield ""
    yield "  said of the first cause   count    said   right   or acceptable"
    for band in whole.bands:
        yield _band(band)
    yield _row("Brier score", "-" if whole.brier is None else f"{whole.brier:.3f}")
    if whole.talk is not None:
        talk = whole.talk
        yield ""
        yield _row("questions", f"mean {talk.questions_mean:.1f}, median {talk.questions_median:g}")
        yield _row("minutes", f"mean {talk.minutes_mean:.1f}, median {talk.minutes_median:.1f}")
        yield _row("lines asked", f"mean {talk.lines_mean:.1f}")
        yield _row("  that the form answers", _told(talk.lines_answerable))
        yield _row("facts asked for within six", _told(talk.facts_asked_for))
        yield _row("  or told in the opening words", _told(talk.facts_told))
        yield _row("ended by", ", ".join(f"{ending} {count}" for ending, count in talk.endings.items()))


def _row(name: str, value: str) -> str:
    return f"{name:<34}{value}"


def _told(share: Share, none: str = "-") -> str:
    return none if share.share is None else f"{share.share:5.3f} ({share.hits} of {share.of})"


def _band(band: Band) -> str:
    said, right, acceptable = (
        "      -" if value is None else f"{value:7.3f}"
        for value in (band.said, band.right.share, band.acceptable.share)
    )
    return f"  {band.low:.1f} to {band.high:.1f} {band.right.of:20} {said} {right} {acceptable:>15}"


_COLUMNS = (
    "sheets",
    "first",
    "or ok",
    "three",
    "both",
    "danger",
    "stop",
    "wrongly",
    "clean",
    "Brier",
    "0.9+",
    "questions",
)


def _table(by: str, groups: Mapping[str, Figures]) -> Iterator[str]:
    """One line a group.

    Danger: raised where there is one. Stop: one that hides advice stands there; wrongly: elsewhere. Clean: nothing
    forbidden advised. 0.9+: right, of first causes of which so much is said.
    """
    width = max(len(by), *map(len, groups)) if groups else len(by)
    yield f"{by:<{width}}" + "".join(f"{name:>{max(7, len(name) + 1)}}" for name in _COLUMNS)
    for name, figures in groups.items():
        talk = "-" if figures.talk is None else f"{figures.talk.questions_mean:.1f}"
        values = (
            str(figures.sheets),
            *map(
                _short,
                (
                    figures.first.share,
                    figures.first_acceptable.share,
                    figures.first_three.share,
                    figures.both_in_three.share,
                    figures.dangers.share,
                    figures.dangers_stopped.share,
                    figures.no_dangers_stopped.share,
                    figures.free_of_forbidden.share,
                    figures.brier,
                    figures.bands[-1].right.share,
                ),
            ),
            talk,
        )
        yield f"{name:<{width}}" + "".join(
            f"{value:>{max(7, len(column) + 1)}}" for value, column in zip(values, _COLUMNS, strict=True)
        )


def _short(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"
