"""A case without what identifies: no words, no names, numbers only as good as they were measured."""

import math
from dataclasses import replace
from typing import Any

from saltriage.case import Case, case_to_data
from saltriage.case.reported import ProductAtHand, Reading
from saltriage.knowledge.model import Knowledge, ReadingRule

__all__ = ["anonymous_case", "rounded"]

_UNMEASURED = 0.1  # share of a number that no test stands behind, as the age of a cell; own judgement
_STRENGTH = 2.0  # percent; labels differ by that much within one product; own judgement
_NICE = (5.0, 2.0, 1.0)


def anonymous_case(case: Case, knowledge: Knowledge) -> dict[str, Any]:
    """The facts of a case in the shape of a case file.

    Left out: id, title, story, words and what they may mean, units of the caller, what was told under retired ids, and
    precisions that he gave himself. Every number is in the unit of its rule.
    """
    readings = {id: _coarse(each, knowledge.readings[id]) for id, each in case.readings.items()}
    products = {
        chemical: ProductAtHand(
            each.product, None if each.strength_percent is None else _strength(each.strength_percent)
        )
        for chemical, each in case.products.items()
    }
    bare = replace(
        case, id="", title="", story="", said="", heard={}, readings=readings, products=products, expect={},
        known_gap="", for_units=None, retired=(),
    )  # fmt: skip
    return case_to_data(bare)


def rounded(value: float, error: float) -> float:
    """The value on a step of 1, 2 or 5 times a power of ten, the largest that is no longer than the error.

    So it moves by half the error at most. Args: error: 0 or more; 0 leaves the value as it is.
    """
    if error <= 0.0:
        return value
    power = 10.0 ** math.floor(math.log10(error))
    step = next((nice * power for nice in _NICE if nice * power <= error * (1.0 + 1e-9)), power)
    return float(f"{round(value / step) * step:.10g}")


def _coarse(reading: Reading, rule: ReadingRule) -> Reading:
    """The reading as another pool might have it. A setting of an equipment profile stays: the profile is named."""
    if reading.origin == "profile":
        return reading
    method = rule.methods.get(reading.method)
    error = method.precision(reading.value) if method else rule.widest_error(reading.value)
    error = error or _UNMEASURED * abs(reading.value)
    # A limit is moved outwards only: it must stay true.
    outwards = {"": 0.0, "below": error / 2.0, "above": -error / 2.0}[reading.bound]
    value = rounded(reading.value + outwards, error)
    value = min(max(value, rule.allowed.low), rule.allowed.high)
    unit = "" if rule.unit in ("", "pH") else rule.unit
    return replace(reading, value=value, typed_value=value, typed_unit=unit, typed_precision="")


def _strength(percent: float) -> float:
    return min(max(rounded(percent, _STRENGTH), _STRENGTH), 100.0)
