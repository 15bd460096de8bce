"""Bars for chances, evidence and facts. The number stands beside each bar in text; the bar repeats it for the eye."""

import math

from markupsafe import Markup

from saltriage.report.shared.pictures.balance import Strip

__all__ = ["bullet_bar", "chance_bar", "evidence_bar", "staff"]

_STRONGEST = math.log(30.0)  # evidence beyond 30 times the odds fills the bar
_CUTS = "".join(f"M{place} 0v12" for place in range(20, 200, 20))


def chance_bar(probability: float) -> Markup:
    """A bar of ten cuts, each ten per cent; `probability` 0..1."""
    width = round(max(0.0, min(probability, 1.0)) * 200, 1)
    return Markup(
        '<svg class="bar tens" viewBox="0 0 200 12" preserveAspectRatio="none" aria-hidden="true" focusable="false">'
        '<path class="bar-track" d="M0 0h200v12H0z"/><rect class="bar-fill" x="0" y="0" width="{}" height="12"/>'
        '<path class="bar-cuts" d="{}"/></svg>'
    ).format(width, _CUTS)


def evidence_bar(factor: float) -> Markup:
    """A bar right of the middle for evidence that raises the odds, left of it for evidence that lowers them.

    Args: factor: on the odds of the cause, above 0; the bar's length is its logarithm.
    """
    share = max(-1.0, min(math.log(max(factor, 1e-6)) / _STRONGEST, 1.0))
    length = round(abs(share) * 48, 1)
    start = 50 if share >= 0 else round(50 - length, 1)
    kind = "for" if share >= 0 else "against"
    return Markup(
        '<svg class="bar bar-small" viewBox="0 0 100 12" aria-hidden="true" focusable="false">'
        '<path class="bar-rail" d="M50 0v12"/><rect class="bar-{}" x="{}" y="2" width="{}" height="8"/></svg>'
    ).format(kind, start, length)


def staff(share: float = 0.0) -> Markup:
    """The measuring staff under a head, filled up to `share`, 0..1; empty at 0."""
    width = round(max(0.0, min(share, 1.0)) * 100, 1)
    if not width:
        return Markup('<div class="staff"></div>')
    return Markup(
        '<div class="staff"><svg aria-hidden="true" focusable="false">'
        '<rect class="staff-fill" width="{0}%" height="12"/>'
        '<rect class="staff-end" x="{0}%" width="3" height="12"/></svg></div>'
    ).format(width)


def bullet_bar(reading: Strip, ends: tuple[str, str], after: float | None = None) -> Markup:
    """A value against its wanted band: places in per cent, so that the bar stretches and its text does not.

    Args: ends: the two limits as written, '' for an open one.    after: the value that this dose leads to.
    """
    start, end = _stretched(reading)

    def place(number: float) -> float:
        return round(max(0.0, min((number - start) / (end - start), 1.0)) * 100, 1)

    left = place(start if reading.target_low is None else reading.target_low)
    right = place(end if reading.target_high is None else reading.target_high)
    middle = (reading.low + reading.high) / 2
    at = place(middle)
    way = left if at < left else right if at > right else at
    parts = Markup('<rect class="b-track" x="0" y="8" width="100%" height="14"/>')
    parts += Markup('<rect class="b-band" x="{}%" y="5" width="{}%" height="20"/>').format(left, round(right - left, 1))
    for limit, where, text in ((reading.target_low, left, ends[0]), (reading.target_high, right, ends[1])):
        if limit is not None:
            parts += Markup(
                '<line class="b-end" x1="{0}%" x2="{0}%" y1="5" y2="25"/><text x="{0}%" y="40">{1}</text>'
            ).format(where, text)
    if way != at:
        parts += Markup('<line class="b-way" x1="{}%" x2="{}%" y1="15" y2="15"/>').format(at, way)
    elif place(reading.low) != place(reading.high):
        parts += Markup('<line class="b-reach" x1="{}%" x2="{}%" y1="15" y2="15"/>').format(
            place(reading.low), place(reading.high)
        )
    parts += Markup('<line class="b-notch" x1="{0}%" x2="{0}%" y1="2" y2="28"/>').format(max(1.0, min(at, 99.0)))
    if after is not None:
        parts += Markup(
            '<svg x="{}%" y="15" overflow="visible"><path class="b-after" d="M0-8l8 8-8 8-8-8z"/></svg>'
        ).format(place(after))
    return Markup('<svg class="bullet" aria-hidden="true" focusable="false">') + parts + Markup("</svg>")


def _stretched(reading: Strip) -> tuple[float, float]:
    """The axis of a strip, made longer for a value outside it, as far as the band still stays readable."""
    start, end = reading.axis()
    spread = max((reading.target_high or end) - (reading.target_low or start), 1e-9)
    middle = (reading.low + reading.high) / 2
    if middle < start:
        return max(middle - 0.1 * spread, start - spread), end
    return (start, min(middle + 0.1 * spread, end + spread)) if middle > end else (start, end)
