"""The credible interval of one number, the others held where they are.

The probability of a call is a straight line in each single number of a noisy-OR, so with its slope at the estimate the
likelihood is known everywhere, and the posterior is a sum over a grid: no normal approximation, which fails near 0
and 1. That the others are held makes it too narrow where two numbers stand for each other; see DEVELOPERS.md.
"""

from collections.abc import Mapping

import numpy as np

from saltriage.ranking.model import Numbers

__all__ = ["angle", "credible_interval", "nearest_word"]

_ANGLES = (np.arange(1000) + 0.5) / 1000 * np.pi / 2
_GRID = np.sin(_ANGLES) ** 2
_LEAST = 1e-300


def angle(number: Numbers) -> Numbers:
    """asin(sqrt(number)), on which a share is about as uncertain everywhere (Fisher's angle; from memory)."""
    turned: Numbers = np.arcsin(np.sqrt(np.clip(number, 0.0, 1.0)))
    return turned


def credible_interval(
    scores: Numbers, estimate: float, before: float, pseudo_count: float, level: float
) -> tuple[float, float, float]:
    """Low end, middle and high end, each within 0..1: equal chances beyond either end, and on both sides of the middle.

    Args:
        scores: slope of the log-probability of each call by the number, at the estimate.
        before, pseudo_count: the prior: as if so many calls had been seen with this share.
        level: chance that the interval holds the number.
    """
    log_density = np.zeros(len(_GRID))
    for slope, times in zip(*np.unique(scores, return_counts=True), strict=True):
        log_density += times * np.log(np.maximum(1.0 + (_GRID - estimate) * slope, _LEAST))
    log_density += pseudo_count * (before * np.log(_GRID) + (1.0 - before) * np.log(1.0 - _GRID))
    log_density += np.log(np.sin(2.0 * _ANGLES))  # a step of the grid is longer in the middle
    chances = np.cumsum(np.exp(log_density - log_density.max()))
    chances /= chances[-1]
    places = np.searchsorted(chances, [(1.0 - level) / 2.0, 0.5, (1.0 + level) / 2.0])
    low, middle, high = _GRID[np.minimum(places, len(_GRID) - 1)].tolist()
    return low, middle, high


def nearest_word(number: float, scale: Mapping[str, float]) -> str:
    """The word whose number is nearest, by their angles."""
    words = list(scale)
    apart = np.abs(angle(np.array([scale[word] for word in words])) - angle(np.array(number)))
    return words[int(apart.argmin())]
