"""Readings computed from other readings: the saturation index, what the cell makes in a day, what was lost overnight.

A calculator takes intervals and gives an interval; where an input is missing or out of the range in which its
calculation holds there is no result (missing in, missing out). Nothing is guessed: what stands in for a rare test is
said by the rule of its reading and named in the report.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from saltriage.believe.tested_water import water_arguments
from saltriage.errors import Contradiction, OutOfRange
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import Water, carbonate_alkalinity_from_readings

__all__ = ["CALCULATORS", "Calculator", "computed_readings"]

Inputs = Mapping[str, Interval]


@dataclass(frozen=True, slots=True)
class Calculator:
    """How one computed reading comes about.

    Args:
        needs: readings without which there is no result.
        uses: readings that are used when known, else as their rules say what they are taken for.
        compute: intervals of `needs` and `uses` -> interval; None where it does not hold.
    """

    needs: tuple[str, ...]
    compute: Callable[[Inputs], Interval | None]
    uses: tuple[str, ...] = ()


def computed_readings(
    given: Mapping[str, Interval], wanted: Mapping[str, str], taken: Mapping[str, float]
) -> dict[str, Interval]:
    """The computed readings that the given ones allow.

    Args:
        given: reading id -> interval in canonical units; computed readings among them are kept as given.
        wanted: computed reading id -> calculator name; a name without a calculator here is somebody else's to fill.
        taken: reading id -> what stands in for it where it was not tested.

    Returns:
        reading id -> interval, for those with all inputs, in the order of `wanted`.
    """
    results: dict[str, Interval] = {}
    for reading, name in wanted.items():
        calculator = CALCULATORS.get(name)
        if calculator is None or reading in given or any(need not in given for need in calculator.needs):
            continue
        inputs = {key: given[key] for key in calculator.needs}
        if any(key not in given and key not in taken for key in calculator.uses):
            continue
        inputs |= {key: given[key] if key in given else Interval.exact(taken[key]) for key in calculator.uses}
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
    cyanuric = given[ids.CYANURIC_ACID]
    return None if cyanuric.low < _LEAST_CYANURIC_ACID else _ratio(given[ids.FREE_CHLORINE], cyanuric, 100.0)


def _chlorine_per_day(given: Inputs, hours: Interval, share: Interval) -> Interval | None:
    grams = Interval(
        given[ids.RATED_OUTPUT].low * hours.low * share.low, given[ids.RATED_OUTPUT].high * hours.high * share.high
    )
    return _ratio(grams, given[ids.POOL_VOLUME], 1000.0)  # g to mg


def _made(given: Inputs) -> Interval | None:
    return _chlorine_per_day(given, given[ids.HOURS_PER_DAY], given[ids.OUTPUT_SETTING] * 0.01)


def _capacity(given: Inputs) -> Interval | None:
    return _chlorine_per_day(given, Interval.exact(24.0), Interval.exact(1.0))


def _polarity_difference(given: Inputs) -> Interval | None:
    forward, backward = given[ids.CELL_CURRENT].middle, given[ids.CELL_CURRENT_REVERSED].middle
    largest = max(forward, backward)
    return None if largest <= 0 else Interval.exact(100.0 * abs(forward - backward) / largest)


_WATER = (ids.SALT, ids.WATER_TEMPERATURE, ids.CYANURIC_ACID, ids.BORATE)


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
    rises = (ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS, ids.WATER_TEMPERATURE)
    return _ends(
        given,
        rises,
        (ids.CYANURIC_ACID, ids.BORATE, ids.SALT),
        lambda at: Water(**water_arguments(at)).saturation_index(),
    )


def _handbook_index(given: Inputs) -> Interval:
    rises = (ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS, ids.WATER_TEMPERATURE)
    return _ends(
        given, rises, (ids.CYANURIC_ACID, ids.BORATE), lambda at: Water(**water_arguments(at)).handbook_index()
    )


def _carbonate_alkalinity(given: Inputs) -> Interval:
    return _ends(
        given,
        (ids.TOTAL_ALKALINITY,),
        (ids.PH, ids.CYANURIC_ACID, ids.BORATE),
        lambda at: carbonate_alkalinity_from_readings(**water_arguments(at)),
    )


def _active_chlorine(given: Inputs) -> Interval:
    def active(at: dict[str, float]) -> float:
        # Room for the cyanurate; neither of the two hardly moves active chlorine.
        room = {"total_alkalinity": 100.0 + at[ids.CYANURIC_ACID], "calcium_hardness": 200.0}
        return Water(**water_arguments(at), **room).active_chlorine()

    return _ends(given, (ids.FREE_CHLORINE,), (ids.PH, ids.CYANURIC_ACID), active)


def _share_of_expected(now: str, before: str) -> Calculator:
    """Rise of a salt reading over the rise that the dose should give, percent; may be negative."""

    def compute(given: Inputs) -> Interval | None:
        rise, expected = given[now] - given[before], given[ids.SALT_RISE_EXPECTED]
        if expected.low <= 0:
            return None
        ends = [100.0 * top / bottom for top in (rise.low, rise.high) for bottom in (expected.low, expected.high)]
        return Interval(min(ends), max(ends))

    return Calculator((now, before, ids.SALT_RISE_EXPECTED), compute)


CALCULATORS: dict[str, Calculator] = {
    ids.SALT_RISE_SHARE: _share_of_expected(ids.SALT, ids.SALT_EARLIER),
    ids.SALT_SHOWN_RISE_SHARE: _share_of_expected(ids.SALT_SHOWN, ids.SALT_SHOWN_EARLIER),
    ids.COMBINED_CHLORINE: _difference(ids.TOTAL_CHLORINE, ids.FREE_CHLORINE),
    ids.SALT_SHOWN_MINUS_SALT: _difference(ids.SALT_SHOWN, ids.SALT),
    ids.SALT_DROP: _difference(ids.SALT_EARLIER, ids.SALT),
    ids.CYANURIC_DROP: _difference(ids.CYANURIC_ACID_EARLIER, ids.CYANURIC_ACID),
    ids.PH_CLIMB: _difference(ids.PH, ids.PH_EARLIER),
    ids.SALT_TESTS_DIFFERENCE: _distance(ids.SALT, ids.SALT_SECOND_TEST),
    ids.CHLORINE_TESTS_DIFFERENCE: _distance(ids.FREE_CHLORINE, ids.FREE_CHLORINE_SECOND_TEST),
    ids.PH_TESTS_DIFFERENCE: _distance(ids.PH, ids.PH_SECOND_TEST),
    ids.CARBONATE_ALKALINITY: Calculator((ids.PH, ids.TOTAL_ALKALINITY), _carbonate_alkalinity, _WATER),
    ids.SATURATION_INDEX: Calculator((ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS), _saturation_index, _WATER),
    ids.HANDBOOK_INDEX: Calculator((ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS), _handbook_index, _WATER),
    ids.ACTIVE_CHLORINE: Calculator(
        (ids.FREE_CHLORINE, ids.PH), _active_chlorine, (ids.CYANURIC_ACID, ids.SALT, ids.WATER_TEMPERATURE)
    ),
    ids.FREE_CHLORINE_SHARE_OF_CYANURIC: Calculator((ids.FREE_CHLORINE, ids.CYANURIC_ACID), _share_of_cyanuric),
    ids.CHLORINE_LOSS_OVERNIGHT: _difference(ids.FREE_CHLORINE_DUSK, ids.FREE_CHLORINE_DAWN),
    ids.CHLORINE_LOSS_BY_DAY: _difference(ids.FREE_CHLORINE_DAY_START, ids.FREE_CHLORINE_DAY_END),
    ids.CHLORINE_RISE_AT_RETURN: _difference(ids.FREE_CHLORINE_AT_RETURN, ids.FREE_CHLORINE),
    ids.CHLORINE_MADE_PER_DAY: Calculator(
        (ids.RATED_OUTPUT, ids.HOURS_PER_DAY, ids.OUTPUT_SETTING, ids.POOL_VOLUME), _made
    ),
    ids.CHLORINE_CAPACITY_PER_DAY: Calculator((ids.RATED_OUTPUT, ids.POOL_VOLUME), _capacity),
    ids.FILTER_PRESSURE_RISE: _difference(ids.FILTER_PRESSURE, ids.CLEAN_FILTER_PRESSURE),
    ids.CURRENT_SHARE: _percent_of(ids.CELL_CURRENT, ids.RATED_CURRENT),
    ids.VOLTAGE_SHARE: _percent_of(ids.CELL_VOLTAGE, ids.RATED_VOLTAGE),
    ids.CURRENT_POLARITY_DIFFERENCE: Calculator((ids.CELL_CURRENT, ids.CELL_CURRENT_REVERSED), _polarity_difference),
    ids.SUPPLY_VOLTAGE_SHARE: _percent_of(ids.SUPPLY_VOLTAGE, ids.RATED_SUPPLY_VOLTAGE),
    ids.TEMPERATURE_SHOWN_MINUS_MEASURED: _difference(ids.WATER_TEMPERATURE_SHOWN, ids.WATER_TEMPERATURE),
    ids.LEAK_PER_DAY: _difference(ids.POOL_LOSS_PER_DAY, ids.BUCKET_LOSS_PER_DAY),
    ids.DISSOLVED_SOLIDS_UNEXPLAINED: _difference(ids.DISSOLVED_SOLIDS, ids.SALT),
    ids.TURNOVER_HOURS: Calculator(
        (ids.POOL_VOLUME, ids.FLOW_RATE),
        lambda given: _ratio(given[ids.POOL_VOLUME], given[ids.FLOW_RATE], 0.001),  # L to m3
    ),
}
