"""Tables that a person expects, printed for his pool: salt by reading, and hours a day by warmth and sun."""

from dataclasses import dataclass

from saltriage.dosing.pool_case import DosingCase
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval

__all__ = ["HoursRow", "SaltRow", "hours_table", "salt_table"]

_STEP = 500.0  # mg/L between two rows
_WARMTH = (18.0, 24.0, 30.0)  # °C
_MOST = 24.0


@dataclass(frozen=True, slots=True)
class SaltRow:
    """Salt that is missing at one reading: mg/L tested, grams in all and grams of the first part."""

    tested: float
    in_all: float
    first: float


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Hours a day at full output at one water temperature: in the sun without a cover, and shaded or covered."""

    temperature: float
    in_sun: Interval
    covered: Interval


def salt_table(dosing: DosingCase) -> tuple[SaltRow, ...]:
    """Rows from no salt to the lower end of the band; none without a volume, or where the band is not the unit's own.

    The first part is what the limits leave of it, by the volume as stated.
    """
    aim = dosing.aims.get(ids.SALT)
    known = ids.SALT_BAND_LOW not in dosing.situation.from_profile
    if not dosing.volume_known or not known or aim is None or aim.low is None or aim.middle is None:
        return ()
    product, _ = dosing.product("salt")
    rule = dosing.law.step("salt", product)
    if rule is None or dosing.law.never("salt") is not None:
        return ()
    rows, tested = [], 0.0
    while tested < aim.low:
        whole = product.amount((aim.middle - tested) / _SALT_MG_PER_MMOL, dosing.volume.value)
        caps = [whole * rule.share[0] if rule.share else whole]
        if rule.hands == "owner" and rule.at_once is not None:
            caps.append(rule.at_once[0])
        rows.append(SaltRow(tested, whole, min(caps)))
        tested += _STEP
    return tuple(rows)


_SALT_MG_PER_MMOL = 58.44  # sodium chloride, g/mol: IUPAC standard atomic weights


def hours_table(dosing: DosingCase) -> tuple[HoursRow, ...]:
    """Rows by water temperature; none without volume, rated output or a range of free chlorine.

    Use of chlorine is the usual one of the forecast's rules (common practice), to hold the middle of the range.
    """
    aim, factors = dosing.aims.get(ids.FREE_CHLORINE), dosing.situation.knowledge.forecast
    output = dosing.levels.get(ids.RATED_OUTPUT)
    if not dosing.volume_known or output is None or aim is None or aim.middle is None or output.value <= 0:
        return ()
    hold, volume = aim.middle, dosing.volume
    stabiliser = dosing.aims.get(ids.CYANURIC_ACID)
    cyanuric = stabiliser.middle if stabiliser is not None and stabiliser.middle is not None else 0.0
    made = factors.output_range(output.interval)
    outdoor = dosing.situation.contexts.get("setting", "outdoor") == "outdoor"
    rows = []
    for warmth in _WARMTH:
        demand = factors.demand_per_day(warmth, bathers_per_day=0.0, volume_l=volume.value, free_chlorine=hold)
        hours = []
        for cover in ("none", "mostly"):
            use = (factors.sun_per_day(cyanuric, outdoor=outdoor, cover=cover) + demand) * hold
            low, high = use.low * volume.low / 1000 / made.high, use.high * volume.high / 1000 / made.low
            hours.append(Interval(min(_MOST, low), min(_MOST, high)))
        rows.append(HoursRow(warmth, hours[0], hours[1]))
    return tuple(rows)
