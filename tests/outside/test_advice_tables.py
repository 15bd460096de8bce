"""Doses as the caller is told them, against printed tables and plain arithmetic of the trade.

US gallon 3.785411784 L and avoirdupois pound 453.59237 g: NIST Special Publication 811, exact.
"""

from typing import Any

import pytest

from saltriage.advise.doses import dose
from saltriage.believe import believe
from saltriage.case import Case
from saltriage.dosing import DosingCase
from saltriage.find import find
from saltriage.knowledge import load_knowledge
from saltriage.result import DoseAdvice

GALLON_L, POUND_G = 3.785411784, 453.59237
POOL_L = 10_000 * GALLON_L
KNOWLEDGE = load_knowledge()


def exact(value: float, unit: str = "mg/L") -> dict[str, Any]:
    """A reading without error, as a printed table takes it."""
    return {"value": value, "precision": f"0 {unit}", "unit": unit} if unit else {"value": value, "precision": 0}


def told(calculator: str, readings: dict[str, Any], volume_l: float = POOL_L, **more: Any) -> DoseAdvice:
    pool = {"volume": f"{volume_l:.4f} L", "volume-uncertainty": "0 %", "setting": "outdoor", "surface": "plaster"}
    pool |= more.pop("pool", {})
    case = Case.from_data({"case": "table", "readings": readings, "pool": pool, **more}, KNOWLEDGE)
    return dose(calculator, DosingCase(find(believe(case, KNOWLEDGE))))


def test_salt_for_ten_thousand_gallons() -> None:
    """0 to 3,000 mg/L in 10,000 gal: 250 lb. Common practice table, equals arithmetic; from memory."""
    band = {"salt-band": {"low": "2900 mg/L", "high": "3100 mg/L"}}
    found = told(
        "salt-to-add",
        {"salt": exact(0)},
        equipment=band,
        products={"salt": {"product": "sodium-chloride", "strength": "100 %"}},
    )

    assert found.middle / POUND_G == pytest.approx(250, rel=0.01)
    assert found.first == pytest.approx(0.67 * found.middle)


def test_cyanuric_acid_for_ten_thousand_gallons() -> None:
    """+10 mg/L in 10,000 gal: 0.835 lb. Common practice table, equals arithmetic; from memory. Here 25 are missing."""
    found = told("cyanuric-acid-to-add", {"cyanuric-acid": exact(20)})

    assert found.middle / 2.5 / POUND_G == pytest.approx(0.835, rel=0.02)


def test_calcium_chloride_for_ten_thousand_gallons() -> None:
    """+10 mg/L with 77 % flake in 10,000 gal: 1.20 lb. Common practice table, from memory. Here 100 are missing."""
    found = told("calcium-to-add", {"calcium-hardness": exact(125)})

    assert found.middle / 10 / POUND_G == pytest.approx(1.20, rel=0.02)


def test_liquid_chlorine_for_ten_thousand_gallons() -> None:
    """+1 mg/L with 12.5 % trade hypochlorite in 10,000 gal: 10.2 US fl oz, by arithmetic (125 g/L)."""
    found = told("chlorine-to-add", {"free-chlorine": exact(1.5)})

    assert found.middle / 2 / 29.5735295625 == pytest.approx(10.2, rel=0.02)


def test_bisulfate_lowers_alkalinity_as_in_the_operators_course() -> None:
    """60,000 gal, 150 to 100 mg/L: 63 lb of sodium bisulfate. Pool-operator course, sample problems."""
    found = told(
        "acid-to-lower-alkalinity",
        {"total-alkalinity": exact(150), "ph": exact(7.5, "")},
        60_000 * GALLON_L,
        products={"acid": {"product": "sodium-bisulfate"}},
    )

    assert found.middle / POUND_G == pytest.approx(63, rel=0.05)
    assert found.hands == "pool-technician"


@pytest.mark.parametrize(("start", "fraction"), [(500.0, 0.2041), (700.0, 0.4348)])
def test_drain_and_refill_is_the_mixing_rule(start: float, fraction: float) -> None:
    """Fraction = (start - 400) / (start - 10): mass balance. In rounds, 1 - (1 - each)^rounds is that fraction."""
    found = told(
        "water-to-replace-for-calcium", {"calcium-hardness": exact(start), "fill-calcium-hardness": exact(10)}, 40_000.0
    )
    each = found.middle / found.parts / 40_000

    assert fraction == pytest.approx((start - 400) / (start - 10), abs=1e-3) or start == 500.0
    assert 1 - (1 - each) ** found.parts == pytest.approx((start - 400) / (start - 10), abs=2e-4)


def test_a_fifth_too_much_salt_is_about_a_fifth_of_the_water() -> None:
    """Over-salted by a fifth: drain and refill about a fifth. Common practice, no source."""
    band = {"salt-band": {"low": "2950 mg/L", "high": "3050 mg/L"}}
    found = told("water-to-replace-for-salt", {"salt": exact(3600)}, equipment=band)

    assert found.middle / POOL_L == pytest.approx(0.2, abs=0.04)


def test_the_label_strength_counts() -> None:
    """14.5 % acid needs 2.35 times the volume of 31.45 % acid: strength times density, handbook densities (memory)."""
    readings = {"ph": exact(7.9, ""), "total-alkalinity": exact(90)}
    strong, weak = (
        told("acid-to-lower-ph", readings, products={"acid": {"product": product}}).middle
        for product in ("hydrochloric-acid-31", "hydrochloric-acid-14")
    )

    assert weak / strong == pytest.approx(2.35, rel=0.01)


def test_contradicting_readings_give_no_dose() -> None:
    """Alkalinity that cannot hold its cyanurate share is a test error, not a reason to add something."""
    found = told("acid-to-lower-ph", {"ph": exact(8.2, ""), "total-alkalinity": exact(30), "cyanuric-acid": exact(150)})

    assert not found.computed
    assert "total-alkalinity" in found.missing or "contradict" in found.reason


def test_salt_that_is_already_there_is_not_added() -> None:
    """In the band there is no dose, and the reason says so."""
    band = {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}}
    found = told("salt-to-add", {"salt": exact(3200)}, equipment=band)

    assert not found.computed
    assert "at or above" in found.reason
