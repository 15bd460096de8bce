"""Doses as the caller is told them, against printed tables and plain arithmetic of the trade.

US gallon 3.785411784 L and avoirdupois pound 453.59237 g: NIST Special Publication 811, exact.
"""

import pytest

from saltriage.advise.dose_inputs import Aim, DoseInputs
from saltriage.advise.doses import dose
from saltriage.believe.tested_water import taken_as
from saltriage.knowledge import load_knowledge
from saltriage.pool.interval import Interval
from saltriage.pool.water import find_product

GALLON_L, POUND_G = 3.785411784, 453.59237
POOL_L = 10_000 * GALLON_L


def _inputs(
    reading: str, now: float, aim: float, volume_l: float = POOL_L, **products: tuple[str, float]
) -> DoseInputs:
    sold = {key: find_product(*product) for key, product in products.items()}
    readings = {"pool-volume": Interval.exact(volume_l), reading: Interval.exact(now)}
    return DoseInputs(readings, {reading: Aim(aim, aim)}, {key.replace("_", "-"): each for key, each in sold.items()})


def test_salt_for_ten_thousand_gallons() -> None:
    """0 to 3,000 mg/L in 10,000 gal: 250 lb. Common practice table, equals arithmetic; from memory."""
    found = dose("salt-to-add", _inputs("salt", 0.0, 3000.0, salt=("sodium_chloride", 100.0)))

    assert found.middle / POUND_G == pytest.approx(250, rel=0.01)


def test_cyanuric_acid_for_ten_thousand_gallons() -> None:
    """+10 mg/L in 10,000 gal: 0.835 lb. Common practice table, equals arithmetic; from memory."""
    found = dose("cyanuric-acid-to-add", _inputs("cyanuric-acid", 20.0, 30.0))

    assert found.middle / POUND_G == pytest.approx(0.835, rel=0.02)


def test_calcium_chloride_for_ten_thousand_gallons() -> None:
    """+10 mg/L with 77 % flake in 10,000 gal: 1.20 lb. Common practice table, equals arithmetic; from memory."""
    found = dose("calcium-to-add", _inputs("calcium-hardness", 140.0, 150.0))

    assert found.middle / POUND_G == pytest.approx(1.20, rel=0.02)


def test_liquid_chlorine_for_ten_thousand_gallons() -> None:
    """+1 mg/L with 12.5 % trade hypochlorite in 10,000 gal: 10.2 US fl oz, by arithmetic (125 g/L)."""
    found = dose("chlorine-to-add", _inputs("free-chlorine", 0.0, 1.0))

    assert found.middle / 29.5735295625 == pytest.approx(10.2, rel=0.02)


def test_bisulfate_lowers_alkalinity_as_in_the_operators_course() -> None:
    """60,000 gal, 150 to 100 mg/L: 63 lb of sodium bisulfate. Pool-operator course, sample problems."""
    readings = {
        "pool-volume": Interval.exact(60_000 * GALLON_L),
        "total-alkalinity": Interval.exact(150.0),
        "ph": Interval.exact(7.6),
    }
    targets = {"total-alkalinity": Aim(60.0, 100.0), "ph": Aim(7.2, 7.8)}
    acid = {"acid": find_product("sodium_bisulfate", 93.2)}

    found = dose("acid-to-lower-alkalinity", DoseInputs(readings, targets, acid, taken_as(load_knowledge())))

    assert found.middle / POUND_G == pytest.approx(63, rel=0.05)


@pytest.mark.parametrize(
    ("start", "target", "fill", "fraction"),
    [(150.0, 50.0, 5.0, 0.6897), (100.0, 50.0, 0.0, 0.5), (200.0, 30.0, 0.0, 0.85)],
)
def test_drain_and_refill_is_the_mixing_rule(start: float, target: float, fill: float, fraction: float) -> None:
    """Fraction = (start - target) / (start - fill): plain mass balance."""
    readings = {
        "pool-volume": Interval.exact(40_000.0),
        "calcium-hardness": Interval.exact(start),
        "fill-calcium-hardness": Interval.exact(fill),
    }

    found = dose("water-to-replace-for-calcium", DoseInputs(readings, {"calcium-hardness": Aim(None, target)}, {}))

    assert found.middle / 40_000 == pytest.approx(fraction, abs=2e-4)


def test_a_fifth_too_much_salt_is_about_a_fifth_of_the_water() -> None:
    """Over-salted by a fifth: drain and refill about a fifth. Common practice, no source."""
    found = dose("water-to-replace-for-salt", _inputs("salt", 3600.0, 3000.0))

    assert found.middle / POOL_L == pytest.approx(0.2, abs=0.04)
