"""K1, K2 and Kw against PyCO2SYS 1.8.3 at zero salinity (Millero 1979 for fresh water, option 8), 5..35 degC."""

import warnings
from math import log10

import pytest

from saltriage.pool.water import constants as k

TEMPERATURES = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0]


@pytest.fixture(scope="module")
def reference() -> dict[float, tuple[float, float, float]]:
    """pK1, pK2, pKw by temperature."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its dependencies warn about their own future
        import PyCO2SYS

        found = {}
        for temperature in TEMPERATURES:
            # option 8: fresh water; total pH scale is the free scale without sulfate at zero salinity
            out = PyCO2SYS.sys(
                par1=2000, par2=8.0, par1_type=1, par2_type=3, salinity=0, temperature=temperature, opt_k_carbonic=8
            )
            found[temperature] = tuple(-log10(float(out[name])) for name in ("k_carbonic_1", "k_carbonic_2", "k_water"))
    return found


@pytest.mark.parametrize("temperature", TEMPERATURES)
def test_carbonic_acid(reference: dict[float, tuple[float, float, float]], temperature: float) -> None:
    """pK1 and pK2 within 0.003."""
    pk1, pk2, _ = reference[temperature]

    assert -k.log_k1(temperature + k.KELVIN) == pytest.approx(pk1, abs=0.003)
    assert -k.log_k2(temperature + k.KELVIN) == pytest.approx(pk2, abs=0.003)


@pytest.mark.parametrize("temperature", TEMPERATURES)
def test_water_itself(reference: dict[float, tuple[float, float, float]], temperature: float) -> None:
    """pKw within 0.01."""
    assert -log10(k.constants_at(temperature).kw) == pytest.approx(reference[temperature][2], abs=0.01)
