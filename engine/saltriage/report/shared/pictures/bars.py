"""Bars for chances and for evidence. The number stands beside each bar in text; the bar repeats it for the eye."""

import math

from markupsafe import Markup

__all__ = ["chance_bar", "evidence_bar"]

_STRONGEST = math.log(30.0)  # evidence beyond 30 times the odds fills the bar


def chance_bar(probability: float) -> Markup:
    """A bar from 0 to 100 % with ticks at each quarter; `probability` 0..1."""
    width = round(max(0.0, min(probability, 1.0)) * 200, 1)
    return Markup(
        '<svg class="bar" viewBox="0 0 200 12" aria-hidden="true" focusable="false">'
        '<path class="bar-rail" d="M0 11.5h200M.5 6v6M50 8v4M100 6v6M150 8v4M199.5 6v6"/>'
        '<rect class="bar-fill" x="0" y="1" width="{}" height="7"/></svg>'
    ).format(width)


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
