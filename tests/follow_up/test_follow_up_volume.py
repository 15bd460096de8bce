"""The volume from doses: Bayes' rule done right."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import OutOfRange
from saltriage.follow_up.volume import Dosed, estimate_volume


def _series(true_l: float, start: float, kilograms: list[float], error: float) -> list[Dosed]:
    dosed = np.cumsum([0.0, *kilograms]) * 1e6
    return [Dosed(float(each), start + float(each) / true_l, error) for each in dosed]


@settings(max_examples=30, deadline=None)
@given(st.floats(0.7, 1.4), st.floats(300, 3000), st.lists(st.floats(40, 120), min_size=2, max_size=4))
def test_exact_tests_find_the_volume(share: float, start: float, kilograms: list[float]) -> None:
    """With sharp tests of large doses the estimate is the truth, whatever the start and the statement."""
    found = estimate_volume(50_000, 0.0, [_series(50_000 * share, start, kilograms, 2.0)])

    assert found.volume_l == pytest.approx(50_000 * share, rel=0.06)
    assert found.low_l < 50_000 * share * 1.02
    assert found.high_l > 50_000 * share * 0.98
    assert found.from_doses == len(kilograms)


@settings(max_examples=30, deadline=None)
@given(st.floats(5_000, 200_000), st.floats(0.02, 0.3))
def test_without_doses_the_statement_stands(stated: float, share: float) -> None:
    """No dose, no change: the middle is what was told and the range holds it."""
    found = estimate_volume(stated, stated * share, [])

    assert found.volume_l == pytest.approx(stated, rel=0.01)
    assert found.low_l < stated < found.high_l
    assert found.from_doses == 0


def test_narrower_tests_narrow_the_range() -> None:
    """Better kits, more doses and a second reading each narrow what is believed."""
    coarse = estimate_volume(50_000, 0.0, [_series(60_000, 800, [60], 100)])
    fine = estimate_volume(50_000, 0.0, [_series(60_000, 800, [60], 20)])
    twice = estimate_volume(50_000, 0.0, [_series(60_000, 800, [60, 40], 20)])
    both = estimate_volume(50_000, 0.0, [_series(60_000, 800, [60], 20), _series(60_000, 20, [60], 20)])

    widths = [each.high_l - each.low_l for each in (coarse, fine, twice, both)]
    assert widths[0] > widths[1] > widths[2]
    assert widths[1] > widths[3]


def test_agrees_with_brute_force_over_the_start() -> None:
    """The start integrated out in closed form gives what summing over a fine grid of starts gives."""
    series = [Dosed(0, 810, 40), Dosed(50e6, 1690, 40), Dosed(80e6, 2290, 40)]
    found = estimate_volume(50_000, 10_000, [series])
    volumes = 50_000 * np.exp(np.linspace(-0.6, 0.6, 401))
    starts = np.linspace(500, 1100, 601)
    sd = 10_000 / 50_000 / 1.645
    away = np.log(volumes / 50_000)
    prior = 0.8 * np.exp(-0.5 * (away / sd) ** 2) / sd
    prior += 0.2 * np.exp(-0.5 * (away / (3 * max(sd, 0.12))) ** 2) / (3 * max(sd, 0.12))
    dose_errors = 0.04 * np.diff([each.dosed for each in series])
    belief = []
    for volume in volumes:
        covariance = np.diag([40.0**2] * 3)
        covariance[1:, 1:] += dose_errors[0] ** 2 / volume**2
        covariance[2, 2] += dose_errors[1] ** 2 / volume**2
        inverse, size = np.linalg.inv(covariance), np.linalg.slogdet(covariance)[1]
        off = np.array([[each.reading - each.dosed / volume - start for each in series] for start in starts])
        belief.append(np.exp(-0.5 * np.einsum("si,ij,sj->s", off, inverse, off) - 0.5 * size).sum())
    shares = np.cumsum(prior * belief) / (prior * belief).sum()

    assert found.volume_l == pytest.approx(float(np.interp(0.5, shares, volumes)), rel=0.01)
    assert found.low_l == pytest.approx(float(np.interp(0.05, shares, volumes)), rel=0.015)
    assert found.high_l == pytest.approx(float(np.interp(0.95, shares, volumes)), rel=0.015)


def test_ranges_hold_the_truth_as_often_as_they_say() -> None:
    """Pools whose stated volume is off as the prior says: nine tenths of the ranges hold the truth."""
    rng = np.random.default_rng(7)
    held = 0
    for _ in range(200):
        spread = 0.12 if rng.random() < 0.8 else 0.36
        true_l = 50_000 * float(np.exp(rng.normal(0, spread)))
        series, start, dosed, given = [], 900.0, 0.0, 0.0
        for kilograms in (0.0, 40.0, 30.0):
            dosed += kilograms * 1e6
            given += kilograms * 1e6 * float(rng.normal(1, 0.04))
            series.append(Dosed(dosed, start + given / true_l + float(rng.normal(0, 50)), 50.0))
        found = estimate_volume(50_000, 0.0, [series])
        held += found.low_l <= true_l <= found.high_l

    assert 170 <= held <= 192  # 180 expected, standard deviation about 4


@pytest.mark.parametrize(("stated", "half"), [(0.0, 0.0), (-1.0, 0.0), (1000.0, -1.0)])
def test_refuses_a_volume_that_cannot_be(stated: float, half: float) -> None:
    """Named by what it is."""
    with pytest.raises(OutOfRange, match="stated volume"):
        estimate_volume(stated, half, [])
