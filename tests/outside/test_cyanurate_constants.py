"""Chlorine held by cyanuric acid, against the papers the constants are from.

Sources, read as abstracts: Wahman 2018, Environ. Sci.: Water Res. Technol. 4:1522, doi 10.1039/c8ew00431e; Wahman &
Alexander 2019, Environ. Eng. Sci. 36(3):283, doi 10.1089/ees.2018.0387. The older constants: O'Brien, Morris & Butler
1974, as printed in EPA/600/S-17/165 (2017), table 2, page 9.
"""

from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.pool.water import Water, chlorine
from saltriage.pool.water import constants as k


def stabilised(temperature: float, cyanuric_acid: float = 50.0) -> Water:
    return Water(
        ph=7.5,
        total_alkalinity=110,
        calcium_hardness=250,
        cyanuric_acid=cyanuric_acid,
        salt=3500,
        free_chlorine=3.0,
        temperature=temperature,
    )


@pytest.mark.parametrize(("temperature", "free"), [(25.0, 0.90), (5.0, 0.60)])
def test_example_of_the_paper(temperature: float, free: float) -> None:
    """2 mg/L of chlorine as dichlor at pH 7 leaves so much of it free of the ring; their model knows fewer species."""
    ring = 0.5 * 2.0 / 70.90  # mmol/L; dichlor brings one ring for two chlorines
    water = Water(
        ph=7.0,
        total_alkalinity=40,
        calcium_hardness=20,
        cyanuric_acid=ring * 129.075,
        salt=0.0,
        free_chlorine=2.0,
        temperature=temperature,
    )

    found = water.active_chlorine() / water.hypochlorous_fraction(with_activity=True)
    assert found == pytest.approx(free, abs=0.03)


@pytest.mark.parametrize("temperature", [5.0, 15.0, 25.0, 35.0])
def test_constants_by_temperature(temperature: float) -> None:
    kelvin = temperature + 273.15
    held = k.constants_at(temperature)

    assert -log10(held.cyanuric_1) == pytest.approx(1743 / kelvin + 1.12)
    assert -log10(held.split_dichloro) == pytest.approx(2028 / kelvin - 2.15)
    assert -log10(held.split_monochloro) == pytest.approx(2229 / kelvin - 1.65)


def test_older_constants() -> None:
    """Table 2 prints 6.88, 11.40, 5.33, 10.12, 3.75, 4.51, 1.8; 6.90 for ClCy-- closes a cycle with 5.62."""
    monochloro_double = chlorine.SPLIT_MONOCHLORO_ANION * chlorine.ACID_CYANURIC_2 / chlorine.ACID_MONOCHLORO_2
    for stored, printed in (
        (chlorine.ACID_CYANURIC_1, 6.88),
        (chlorine.ACID_CYANURIC_2, 11.40),
        (chlorine.ACID_MONOCHLORO_1, 5.33),
        (chlorine.ACID_MONOCHLORO_2, 10.12),
        (chlorine.ACID_DICHLORO, 3.75),
        (chlorine.SPLIT_DICHLORO_ANION, 4.51),
        (chlorine.SPLIT_TRICHLORO, 1.8),
        (monochloro_double, 6.90),
    ):
        assert -log10(stored) == pytest.approx(printed)


@pytest.mark.parametrize(
    ("temperature", "less"), [(10, 0.70), (15, 0.61), (20, 0.50), (25, 0.37), (30, 0.20), (35, 0.0)]
)
@pytest.mark.parametrize("cyanuric_acid", [30.0, 80.0])
def test_less_than_by_the_older_set(temperature: float, less: float, cyanuric_acid: float) -> None:
    """A second sum by other hands from the two printed sets, free chlorine 3, pH 7.5; arithmetic."""
    water = stabilised(temperature, cyanuric_acid)
    assert 1.0 - water.active_chlorine() / water.active_chlorine_by_obrien() == pytest.approx(less, abs=0.05)


@given(st.floats(0.0, 44.0), st.floats(0.05, 1.0))
def test_warmer_water_never_holds_chlorine_faster(temperature: float, warmer: float) -> None:
    """Both reactions take up heat (their pK falls), and neither constant goes on past the ends of what was measured."""
    below, above = k.constants_at(temperature), k.constants_at(temperature + warmer)

    assert below.split_monochloro <= above.split_monochloro <= k.constants_at(35.0).split_monochloro
    assert k.constants_at(5.0).split_dichloro <= below.split_dichloro <= above.split_dichloro
