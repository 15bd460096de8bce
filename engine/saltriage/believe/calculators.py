"""Readings computed from other readings: the saturation index, what the cell makes in a day, what was lost overnight.

A calculator takes intervals and gives an interval; where an input is missing or out of the range in which its
calculation holds there is no result (missing in, missing out). Nothing is guessed: the few defaults stand in the table
below and are named in the report.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.errors import Contradiction, OutOfRange
from saltriage.pool.interval import Interval

__all__ = ["CALCULATORS", "Calculator", "computed_readings"]

Inputs = Mapping[str, Interval]

# Stands in for what is rarely tested; each is what changes the result least in ordinary water (own judgement).
DEFAULTS = {"cyanuric-acid": 0.0, "borate": 0.0, "salt": 3000.0, "water-temperature": 25.0}


@dataclass(frozen=True, slots=True)
class Calculator:
    """How one computed reading comes about.

    Args:
        needs: readings without which there is no result.
        uses: readings that are used when known, else taken from DEFAULTS.
        compute: intervals of `needs` and `uses` -> interval; None where it does not hold.
    """

    needs: tuple[str, ...]
    compute: Callable[[Inputs], Interval | None]
    uses: tuple[str, ...] = ()


def computed_readings(given: Mapping[str, Interval], wanted: Mapping[str, str]) -> dict[str, Interval]:
    """The computed readings that the given ones allow.

    Args:
        given: reading id -> interval in canonical units; computed readings among them are kept as given.
        wanted: computed reading id -> calculator name; a name without a calculator here is somebody else's to fill.

    Returns:
        reading id -> interval, for those with all inputs, in the order of `wanted`.
    """
    results: dict[str, Interval] = {}
    for reading, name in wanted.items():
        calculator = CALCULATORS.get(name)
        if calculator is None or reading in given or any(need not in given for need in calculator.needs):
            continue
        inputs = {key: given[key] for key in calculator.needs}
        inputs |= {key: given.get(key, Interval.exact(DEFAULTS[key])) for key in calculator.uses}
        try:
            result = calculator.compute(inputs)
        except (OutOfRange, Contradiction):
            continue
        if result is not None:
            results[reading] = result
    return results


def _difference(first: str, second: str) -> Calculator:
    return Calculator((first, second), lambda given: given[first] - given[second])


def _distance(first: str, second: str) -> Calculator:
    def compute(given: Inputs) -> Interval:
        gap = given[first] - given[second]
        far = max(abs(gap.low), abs(gap.high))
        near = 0.0 if gap.low <= 0 <= gap.high else min(abs(gap.low), abs(gap.high))
        return Interval(near, far)

    return Calculator((first, second), compute)


def _ratio(above: Interval, below: Interval, factor: float = 1.0) -> Interval | None:
    if below.low <= 0 or above.low < 0:
        return None
    return Interval(factor * above.low / below.high, factor * above.high / below.low)


def _percent_of(part: str, whole: str) -> Calculator:
    return Calculator((part, whole), lambda given: _ratio(given[part], given[whole], 100.0))


# A smaller share says nothing: the cloud test reads about 15 mg/L off (common practice, no source).
_LEAST_CYANURIC_ACID = 10.0


def _share_of_cyanuric(given: Inputs) -> Interval | None:
    cyanuric = given["cyanuric-acid"]
    return None if cyanuric.low < _LEAST_CYANURIC_ACID else _ratio(given["free-chlorine"], cyanuric, 100.0)


def _chlorine_per_day(given: Inputs, hours: Interval, share: Interval) -> Interval | None:
    grams = Interval(
        given["rated-output"].low * hours.low * share.low, given["rated-output"].high * hours.high * share.high
    )
    return _ratio(grams, given["pool-volume"], 1000.0)  # g to mg


def _made(given: Inputs) -> Interval | None:
    return _chlorine_per_day(given, given["hours-per-day"], given["output-setting"] * 0.01)


def _capacity(given: Inputs) -> Interval | None:
    return _chlorine_per_day(given, Interval.exact(24.0), Interval.exact(1.0))


def _polarity_difference(given: Inputs) -> Interval | None:
    forward, backward = given["cell-current"].middle, given["cell-current-reversed"].middle
    largest = max(forward, backward)
    return None if largest <= 0 else Interval.exact(100.0 * abs(forward - backward) / largest)


_WATER = ("salt", "water-temperature", "cyanuric-acid", "borate")


def _corner(given: Inputs, low: tuple[str, ...], high: tuple[str, ...]) -> dict[str, float]:
    """One corner of the readings: `low` at their low ends, `high` at their high ends, the others in the middle."""
    corner = {key: interval.middle for key, interval in given.items()}
    corner |= {key: given[key].low for key in low if key in given}
    corner |= {key: given[key].high for key in high if key in given}
    return corner


def _ends(
    given: Inputs, up: tuple[str, ...], down: tuple[str, ...], compute: Callable[[dict[str, float]], float]
) -> Interval:
    """The result's interval where it rises with every reading of `up` and falls with every one of `down`."""
    first, second = compute(_corner(given, up, down)), compute(_corner(given, down, up))
    if not (math.isfinite(first) and math.isfinite(second)):  # water without calcium has no saturation index
        raise OutOfRange(name="computed reading", value=min(first, second), allowed="a finite number")
    return Interval(min(first, second), max(first, second))


def _saturation_index(given: Inputs) -> Interval:
    from saltriage.pool.water import Water

    def index(at: dict[str, float]) -> float:
        return Water(
            ph=at["ph"],
            total_alkalinity=at["total-alkalinity"],
            calcium_hardness=at["calcium-hardness"],
            cyanuric_acid=at["cyanuric-acid"],
            borate=at["borate"],
            salt=at["salt"],
            temperature=at["water-temperature"],
        ).saturation_index()

    rises = ("ph", "total-alkalinity", "calcium-hardness", "water-temperature")
    return _ends(given, rises, ("cyanuric-acid", "borate", "salt"), index)


def _handbook_index(given: Inputs) -> Interval:
    from saltriage.pool.water import Water

    def index(at: dict[str, float]) -> float:
        return Water(
            ph=at["ph"],
            total_alkalinity=at["total-alkalinity"],
            calcium_hardness=at["calcium-hardness"],
            cyanuric_acid=at["cyanuric-acid"],
            borate=at["borate"],
            salt=at["salt"],
            temperature=at["water-temperature"],
        ).handbook_index()

    rises = ("ph", "total-alkalinity", "calcium-hardness", "water-temperature")
    return _ends(given, rises, ("cyanuric-acid", "borate"), index)


def _carbonate_alkalinity(given: Inputs) -> Interval:
    from saltriage.pool.water import carbonate_alkalinity_from_readings

    def carbonate(at: dict[str, float]) -> float:
        return carbonate_alkalinity_from_readings(
            ph=at["ph"],
            total_alkalinity=at["total-alkalinity"],
            cyanuric_acid=at["cyanuric-acid"],
            borate=at["borate"],
            salt=at["salt"],
            temperature=at["water-temperature"],
        )

    return _ends(given, ("total-alkalinity",), ("ph", "cyanuric-acid", "borate"), carbonate)


def _active_chlorine(given: Inputs) -> Interval:
    from saltriage.pool.water import Water

    def active(at: dict[str, float]) -> float:
        return Water(
            ph=at["ph"],
            total_alkalinity=100.0 + at["cyanuric-acid"],  # room for the cyanurate; hardly moves active chlorine
            calcium_hardness=200.0,
            cyanuric_acid=at["cyanuric-acid"],
            salt=at["salt"],
            temperature=at["water-temperature"],
            free_chlorine=at["free-chlorine"],
        ).active_chlorine()

    return _ends(given, ("free-chlorine",), ("ph", "cyanuric-acid"), active)


def _share_of_expected(now: str, before: str) -> Calculator:
    """Rise of a salt reading over the rise that the dose should give, percent; may be negative."""

    def compute(given: Inputs) -> Interval | None:
        rise, expected = given[now] - given[before], given["salt-rise-expected"]
        if expected.low <= 0:
            return None
        ends = [100.0 * top / bottom for top in (rise.low, rise.high) for bottom in (expected.low, expected.high)]
        return Interval(min(ends), max(ends))

    return Calculator((now, before, "salt-rise-expected"), compute)


CALCULATORS: dict[str, Calculator] = {
    "salt-rise-share": _share_of_expected("salt", "salt-earlier"),
    "salt-shown-rise-share": _share_of_expected("salt-shown", "salt-shown-earlier"),
    "combined-chlorine": _difference("total-chlorine", "free-chlorine"),
    "salt-shown-minus-salt": _difference("salt-shown", "salt"),
    "salt-drop": _difference("salt-earlier", "salt"),
    "cyanuric-drop": _difference("cyanuric-acid-earlier", "cyanuric-acid"),
    "ph-climb": _difference("ph", "ph-earlier"),
    "salt-tests-difference": _distance("salt", "salt-second-test"),
    "chlorine-tests-difference": _distance("free-chlorine", "free-chlorine-second-test"),
    "ph-tests-difference": _distance("ph", "ph-second-test"),
    "carbonate-alkalinity": Calculator(("ph", "total-alkalinity"), _carbonate_alkalinity, _WATER),
    "saturation-index": Calculator(("ph", "total-alkalinity", "calcium-hardness"), _saturation_index, _WATER),
    "handbook-index": Calculator(("ph", "total-alkalinity", "calcium-hardness"), _handbook_index, _WATER),
    "active-chlorine": Calculator(
        ("free-chlorine", "ph"), _active_chlorine, ("cyanuric-acid", "salt", "water-temperature")
    ),
    "free-chlorine-share-of-cyanuric": Calculator(("free-chlorine", "cyanuric-acid"), _share_of_cyanuric),
    "chlorine-loss-overnight": _difference("free-chlorine-dusk", "free-chlorine-dawn"),
    "chlorine-loss-by-day": _difference("free-chlorine-day-start", "free-chlorine-day-end"),
    "chlorine-rise-at-return": _difference("free-chlorine-at-return", "free-chlorine"),
    "chlorine-made-per-day": Calculator(("rated-output", "hours-per-day", "output-setting", "pool-volume"), _made),
    "chlorine-capacity-per-day": Calculator(("rated-output", "pool-volume"), _capacity),
    "filter-pressure-rise": _difference("filter-pressure", "clean-filter-pressure"),
    "current-share": _percent_of("cell-current", "rated-current"),
    "voltage-share": _percent_of("cell-voltage", "rated-voltage"),
    "current-polarity-difference": Calculator(("cell-current", "cell-current-reversed"), _polarity_difference),
    "supply-voltage-share": _percent_of("supply-voltage", "rated-supply-voltage"),
    "temperature-shown-minus-measured": _difference("water-temperature-shown", "water-temperature"),
    "leak-per-day": _difference("pool-loss-per-day", "bucket-loss-per-day"),
    "dissolved-solids-unexplained": _difference("dissolved-solids", "salt"),
    "turnover-hours": Calculator(
        ("pool-volume", "flow-rate"),
        lambda given: _ratio(given["pool-volume"], given["flow-rate"], 0.001),  # L to m3
    ),
}
