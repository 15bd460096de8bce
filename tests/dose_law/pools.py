"""Random pools with every reading, and pools that no chemical puts right; from a seed, so that runs see the same."""

from random import Random
from typing import Any

from dose_cases import knowledge

from saltriage.believe import believe
from saltriage.case import Case
from saltriage.dosing import DosingCase
from saltriage.find import find

METHODS = {
    "ph": ("ph-meter", "phenol-red-by-eye", "test-strip", ""),
    "total-alkalinity": ("drop-test", "photometer", "test-strip", ""),
    "calcium-hardness": ("drop-test", "photometer", ""),
    "cyanuric-acid": ("cloud-tube", "photometer", ""),
    "free-chlorine": ("titration", "dpd-by-eye", ""),
    "salt": ("drop-test", "test-strip", ""),
}


def reading(rng: Random, key: str, value: float, unit: str) -> dict[str, Any]:
    found: dict[str, Any] = {"value": round(value, 2)}
    if unit:
        found["unit"] = unit
    method = rng.choice(METHODS[key])
    if method:
        found["method"] = method
    return found


def random_pool(rng: Random) -> dict[str, Any]:
    """An ordinary pool that wants something, private or public, as a case file tells it."""
    readings = {
        "ph": reading(rng, "ph", rng.uniform(6.6, 8.6), ""),
        "total-alkalinity": reading(rng, "total-alkalinity", rng.uniform(30, 220), "mg/L"),
        "calcium-hardness": reading(rng, "calcium-hardness", rng.uniform(60, 390), "mg/L"),
        "cyanuric-acid": reading(rng, "cyanuric-acid", rng.choice((0, 20, 35, 50, 80)), "mg/L"),
        "free-chlorine": reading(rng, "free-chlorine", rng.choice((0.0, 0.6, 1.5, 3.0)), "mg/L"),
        "salt": reading(rng, "salt", rng.uniform(300, 3300), "mg/L"),
        "water-temperature": f"{rng.uniform(8, 34):.0f} degC",
    }
    pool = {
        "volume": f"{rng.choice((6, 20, 45, 90, 300)) * rng.uniform(0.8, 1.25):.1f} m3",
        "surface": rng.choice(("vinyl", "plaster", "tile", "fibreglass")),
        "setting": "outdoor",
        "use": rng.choice(("private-pool", "private-pool", "private-pool", "public-pool")),
    }
    if rng.random() < 0.5:
        pool["volume-uncertainty"] = "10 %"
    band = {"low": "2700 mg/L", "high": "3400 mg/L"}
    symptoms = {"cloudy-green": "yes"} if rng.random() < 0.25 else {}
    return {
        "case": "random",
        "readings": readings,
        "pool": pool,
        "symptoms": symptoms,
        "equipment": {"salt-band": band},
    }


def hopeless_pool(rng: Random) -> dict[str, Any]:
    """A pool into which so much soda or acid went that no number of doses is a way."""
    data = random_pool(rng)
    data["pool"]["use"] = "private-pool"
    data["symptoms"] = {}
    data["readings"]["cyanuric-acid"] = {"value": 40, "unit": "mg/L", "method": "photometer"}
    data["readings"]["ph"] = {"value": round(rng.uniform(10.0, 10.7), 2), "method": "ph-meter"}
    data["readings"]["total-alkalinity"] = {
        "value": round(rng.uniform(380, 900)),
        "unit": "mg/L",
        "method": "drop-test",
    }
    return data


def dosing_of(data: dict[str, Any]) -> DosingCase:
    return DosingCase(find(believe(Case.from_data(data, knowledge()), knowledge())))
