"""How much water there is: the stated volume, corrected by what weighed doses did to the tests.

Bayes' rule on a grid of volumes. Prior: the stated volume with its uncertainty, and a broad tail, because brochure
figures are now and then far off. Each series of tests of one reading has an unknown start, which is integrated out;
test k of a series then says:  reading = start + (all doses so far) / volume + error.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from saltriage.errors import OutOfRange

__all__ = ["Dosed", "Series", "VolumeEstimate", "estimate_volume"]

USUAL_ERROR = 0.12  # standard deviation of ln(volume) where the case names no uncertainty; common practice, no source
LEAST_ERROR = 0.02  # nobody knows a pool better; own judgement
TAIL_SHARE, TAIL_WIDTH = 0.2, 3.0  # chance of a figure that is far off, and how much wider; own judgement
DOSE_ERROR = 0.04  # of a weighed dose: scale, purity, what stays undissolved; common practice, no source
BELIEVED = (0.4, 2.5)  # shares of the expected rise outside this are not put down to the volume; own judgement
Grid = np.ndarray[tuple[int], np.dtype[np.float64]]
_GRID = 1601
_SPAN = 1.4  # the grid runs from stated / e^1.4 to stated x e^1.4, a factor of four either way


@dataclass(frozen=True, slots=True)
class Dosed:
    """One test after doses of a series.

    Args: dosed: sum of all doses so far, mg/L x L = mg.    reading: mg/L.    error: its standard deviation, above 0.
    """

    dosed: float
    reading: float
    error: float


Series = Sequence[Dosed]


@dataclass(frozen=True, slots=True)
class VolumeEstimate:
    """Litres: the middle of what is believed, and the ends of the middle nine tenths. `from_doses`: tests behind it."""

    volume_l: float
    low_l: float
    high_l: float
    from_doses: int

    @property
    def relative_uncertainty(self) -> float:
        """Half the range over the middle."""
        return (self.high_l - self.low_l) / 2.0 / self.volume_l


def estimate_volume(stated_l: float, half_width_l: float, series: Sequence[Series]) -> VolumeEstimate:
    """The volume after all doses.

    Args:
        stated_l: above 0.    half_width_l: of the stated range, 0 where none was told.
        series: tests in order, each series of one reading with nothing but doses and its own kit between.

    Raises: OutOfRange.
    """
    if not stated_l > 0.0 or half_width_l < 0.0:
        raise OutOfRange(
            name="stated volume", value=(stated_l, half_width_l), unit="L", allowed="above 0; uncertainty 0 and more"
        )
    away = np.linspace(-_SPAN, _SPAN, _GRID)  # ln(volume / stated)
    volumes = stated_l * np.exp(away)
    # A stated range holds nine tenths: 1.645 standard deviations either way.
    error = max(LEAST_ERROR, half_width_l / stated_l / 1.645) if half_width_l else USUAL_ERROR
    prior = (1 - TAIL_SHARE) * _bell(away, error) + TAIL_SHARE * _bell(away, TAIL_WIDTH * max(error, USUAL_ERROR))
    log_belief = np.log(prior)
    used = 0
    for each in series:
        if len(each) > 1:
            log_belief += _log_likelihood(each, volumes)
            used += len(each) - 1
    belief = np.exp(log_belief - log_belief.max())
    shares = np.cumsum(belief) / belief.sum()
    low, middle, high = (float(np.interp(share, shares, volumes)) for share in (0.05, 0.5, 0.95))
    return VolumeEstimate(middle, low, high, used)


def _bell(away: Grid, error: float) -> Grid:
    return np.asarray(np.exp(-0.5 * (away / error) ** 2) / error, dtype=np.float64)


def _log_likelihood(series: Series, volumes: Grid) -> Grid:
    """Log likelihood of a series for each volume; the unknown start integrated out with a flat prior.

    A dose that is off by its own error shifts every later test, so the covariance of the tests is not diagonal.
    """
    dosed = np.array([each.dosed for each in series])
    readings = np.array([each.reading for each in series])
    errors = np.array([each.error for each in series])
    steps = np.diff(dosed, prepend=0.0) * DOSE_ERROR
    up_to = np.cumsum(steps**2)
    shared = np.minimum.outer(up_to, up_to)  # two tests share the errors of the doses before the earlier one
    covariance = np.diag(errors**2) + shared / volumes[:, None, None] ** 2
    inverse = np.linalg.inv(covariance)
    off = readings - dosed / volumes[:, None]
    weight = inverse.sum(axis=(1, 2))
    rest = off - (np.einsum("vij,vj->v", inverse, off) / weight)[:, None]
    log_size = np.linalg.slogdet(covariance)[1]
    return np.asarray(-0.5 * (np.einsum("vi,vij,vj->v", rest, inverse, rest) + log_size + np.log(weight)))
