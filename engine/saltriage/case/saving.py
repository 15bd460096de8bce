"""Case -> data in the shape of a case file; loading it again gives an equal case."""

from copy import deepcopy
from typing import Any

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, EQUIPMENT_NUMBERS, POOL_CONTEXTS
from saltriage.case.reported import Reading, Reported
from saltriage.knowledge import ids
from saltriage.pool.one_sided import SIGNS

__all__ = ["case_to_data", "reading_entry"]

_BAND = (ids.SALT_BAND_LOW, ids.SALT_BAND_HIGH)


def case_to_data(case: Reported) -> dict[str, Any]:
    """The case as mappings, lists, text and numbers, keys in the order of a case file.

    Numbers are written as they were typed. Settings that came from an equipment profile are left out: the profile is
    named, and gives them again.
    """
    top = {
        "case": case.id,
        "title": case.title,
        "story": case.story,
        "said": case.said,
        "heard": dict(case.heard),
        "told": case.told,
        "units": case.for_units,
        "symptoms": _answers(case),
        "readings": {each.id: reading_entry(each) for each in case.readings.values() if _is_among_readings(each, case)},
        "pool": _pool(case),
        "equipment": _equipment(case),
        "products": _products(case),
        "expect": {key: deepcopy(value) for key, value in case.expect.items()},
        "known-gap": case.known_gap,
    }
    return _with_retired({key: value for key, value in top.items() if value}, case)


def _with_retired(data: dict[str, Any], case: Reported) -> dict[str, Any]:
    """What was told under retired ids, where it was told."""
    for each in case.retired:
        section = data
        for key in each.path[:-1]:
            section = section.setdefault(key, {})
        section[each.path[-1]] = deepcopy(each.entry)
    return data


def _answers(case: Reported) -> dict[str, str]:
    answers = {symptom: "yes" if present else "no" for symptom, present in case.symptoms.items()}
    return dict(sorted((answers | dict.fromkeys(case.unknown, "unknown")).items()))


def _is_among_readings(reading: Reading, case: Reported) -> bool:
    """Tests and displays; also every setting that has no field of its own, or more to say than its field can hold."""
    if reading.origin != "setting" or reading.id == ids.POOL_VOLUME:
        return reading.origin == "told"
    return not (_has_band(case) if reading.id in _BAND else reading.id in EQUIPMENT_NUMBERS and _is_short(reading))


def _has_band(case: Reported) -> bool:
    """Both ends were typed, each as number and unit; one end alone has no place under equipment."""
    ends = [case.readings.get(end) for end in _BAND]
    return all(end is not None and end.origin == "setting" and _is_short(end) for end in ends)


def _is_short(reading: Reading) -> bool:
    return not reading.method and not reading.typed_precision


def _plain(number: float) -> int | float:
    """Whole numbers without a decimal point, as people type them."""
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def reading_entry(reading: Reading) -> dict[str, Any]:
    """A reading as an entry of a case file: value, unit, method, precision and bound, those that were told."""
    entry = {
        "value": _plain(reading.typed_value),
        "unit": reading.typed_unit,
        "method": reading.method,
        "precision": reading.typed_precision,
        "bound": reading.bound,
    }
    return {key: value for key, value in entry.items() if value != ""}


def _short(reading: Reading) -> str:
    return f"{SIGNS[reading.bound]}{_plain(reading.typed_value)} {reading.typed_unit}"


def _pool(case: Reported) -> dict[str, Any]:
    pool: dict[str, Any] = {}
    volume = case.readings.get(ids.POOL_VOLUME)
    if volume is not None and volume.origin == "setting":
        pool["volume"] = _short(volume)
        if volume.typed_precision:
            pool["volume-uncertainty"] = volume.typed_precision
    pool |= {context: word for context, word in case.contexts.items() if context in POOL_CONTEXTS}
    if case.targets:
        pool["targets"] = case.targets
    return pool


def _equipment(case: Reported) -> dict[str, Any]:
    equipment: dict[str, Any] = {"profile": case.profile} if case.profile else {}
    for field in EQUIPMENT_NUMBERS:
        reading = case.readings.get(field)
        if reading is not None and reading.origin == "setting" and _is_short(reading):
            equipment[field] = _short(reading)
    if _has_band(case):
        equipment["salt-band"] = dict(zip(("low", "high"), (_short(case.readings[end]) for end in _BAND), strict=True))
    return equipment | {context: word for context, word in case.contexts.items() if context in EQUIPMENT_CONTEXTS}


def _products(case: Reported) -> dict[str, Any]:
    products: dict[str, Any] = {}
    for chemical, each in case.products.items():
        products[chemical] = {"product": each.product}
        if each.strength_percent is not None:
            products[chemical]["strength"] = f"{_plain(each.strength_percent)} %"
    return products
