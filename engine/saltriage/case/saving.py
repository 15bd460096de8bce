"""Case -> data in the shape of a case file; loading it again gives an equal case."""

from copy import deepcopy
from typing import Any

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.case.model import Case, Reading

__all__ = ["case_to_data"]

_BAND = ("salt-band-low", "salt-band-high")


def case_to_data(case: Case) -> dict[str, Any]:
    """The case as mappings, lists, text and numbers, keys in the order of a case file.

    Numbers are written as they were typed. Settings that came from an equipment profile are left out: the profile is
    named, and gives them again.
    """
    top = {
        "case": case.id,
        "title": case.title,
        "story": case.story,
        "told": case.told,
        "units": case.for_units,
        "symptoms": _answers(case),
        "readings": {each.id: _entry(each) for each in case.readings.values() if _is_among_readings(each, case)},
        "pool": _pool(case),
        "equipment": _equipment(case),
        "products": _products(case),
        "expect": {key: deepcopy(value) for key, value in case.expect.items()},
        "known-gap": case.known_gap,
    }
    return {key: value for key, value in top.items() if value}


def _answers(case: Case) -> dict[str, str]:
    answers = {symptom: "yes" if present else "no" for symptom, present in case.symptoms.items()}
    return dict(sorted((answers | dict.fromkeys(case.unknown, "unknown")).items()))


def _is_among_readings(reading: Reading, case: Case) -> bool:
    """Tests and displays; also a single end of the salt band, which has no place under equipment without the other."""
    return reading.origin == "told" or (reading.id in _BAND and reading.origin == "setting" and not _has_band(case))


def _has_band(case: Case) -> bool:
    return all(end in case.readings and case.readings[end].origin == "setting" for end in _BAND)


def _plain(number: float) -> int | float:
    """Whole numbers without a decimal point, as people type them."""
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _entry(reading: Reading) -> dict[str, Any]:
    entry = {
        "value": _plain(reading.typed_value),
        "unit": reading.typed_unit,
        "method": reading.method,
        "precision": reading.typed_precision,
    }
    return {key: value for key, value in entry.items() if value != ""}


def _short(reading: Reading) -> Any:
    """Text where text can carry it, the long form where there is more to say than number and unit."""
    if reading.method or reading.typed_precision or not reading.typed_unit:
        return _entry(reading)
    return f"{_plain(reading.typed_value)} {reading.typed_unit}"


def _pool(case: Case) -> dict[str, Any]:
    pool: dict[str, Any] = {}
    volume = case.readings.get("pool-volume")
    if volume is not None and volume.origin == "setting":
        pool["volume"] = f"{_plain(volume.typed_value)} {volume.typed_unit}"
        if volume.typed_precision:
            pool["volume-uncertainty"] = volume.typed_precision
    pool |= {context: word for context, word in case.contexts.items() if context in POOL_CONTEXTS}
    if case.targets:
        pool["targets"] = case.targets
    return pool


def _equipment(case: Case) -> dict[str, Any]:
    equipment: dict[str, Any] = {"profile": case.profile} if case.profile else {}
    for reading in case.readings.values():
        if reading.origin == "setting" and reading.id not in ("pool-volume", *_BAND):
            equipment[reading.id] = _short(reading)
    if _has_band(case):
        equipment["salt-band"] = dict(zip(("low", "high"), (_short(case.readings[end]) for end in _BAND), strict=True))
    return equipment | {context: word for context, word in case.contexts.items() if context in EQUIPMENT_CONTEXTS}


def _products(case: Case) -> dict[str, Any]:
    products: dict[str, Any] = {}
    for chemical, each in case.products.items():
        products[chemical] = {"product": each.product}
        if each.strength_percent is not None:
            products[chemical]["strength"] = f"{_plain(each.strength_percent)} %"
    return products
