"""Taking chlorine out, and burning combined chlorine off: both are ranges, dosed in steps with a test between."""

from dataclasses import dataclass

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval
from saltriage.pool.water.constants import CHLORINE_GAS, NITROGEN

FIELD_SOURCE = (
    "low end: full oxidation by stoichiometry; field dose: Disinfection of Pipelines and Storage Facilities"
    " Field Guide,"
    " table 7-2 (mg per mg of chlorine, pH 7)"
)


@dataclass(frozen=True, slots=True)
class Reducer:
    """mg of product per mg of chlorine: least (full oxidation), as used in the field, and the most it can take."""

    name: str
    title: str
    least: float
    field: float
    most: float
    alkalinity_equivalents_per_chlorine: float


REDUCERS: dict[str, Reducer] = {
    each.name: each
    for each in (
        Reducer("sodium_sulfite", "sodium sulfite", 126.04 / CHLORINE_GAS, 1.96, 1.96, -1.0),
        Reducer("sodium_bisulfite", "sodium bisulfite", 104.06 / CHLORINE_GAS, 1.61, 1.61, -2.0),
        Reducer("sodium_metabisulfite", "sodium metabisulfite", 190.10 / (2 * CHLORINE_GAS), 1.47, 1.47, -2.0),
        # 1 mol takes 4 mol of chlorine to sulfate, but at pool pH part stops at tetrathionate (2 mol take 1 mol)
        Reducer(
            "sodium_thiosulfate",
            "sodium thiosulfate pentahydrate",
            248.17 / (4 * CHLORINE_GAS),
            1.9,
            2 * 248.17 / CHLORINE_GAS,
            -1.5,
        ),
    )
}
"""Every reducer, by name. The source is `FIELD_SOURCE`."""


@dataclass(frozen=True, slots=True)
class NeutralisingDose:
    """Grams of a reducer as a range; add `first_g`, mix for `wait_h`, test, and repeat for what is left."""

    reducer: Reducer
    whole_g: Interval
    field_g: float
    first_g: float
    wait_h: float
    alkalinity_change_mg_per_l: float
    source: str


def neutralising_dose(
    free_chlorine: Interval | float, target_mg_per_l: float, volume_l: float, reducer: str = "sodium_thiosulfate"
) -> NeutralisingDose:
    """Reducer to bring free chlorine (mg/L, a number or an interval) down to a target.

    The first part is what the lower end of the reading needs at full oxidation, so it cannot take more than was meant.
    Raises: OutOfRange for an unknown reducer or a negative target. All zero when the chlorine is at or under the
    target.
    """
    if reducer not in REDUCERS:
        raise OutOfRange(name="reducer", value=reducer, allowed=", ".join(REDUCERS))
    if target_mg_per_l < 0.0 or volume_l <= 0.0:
        raise OutOfRange(name="target and volume", value=(target_mg_per_l, volume_l), allowed="0 and more; above 0")
    reading = free_chlorine if isinstance(free_chlorine, Interval) else Interval.exact(free_chlorine)
    least_mg = max(0.0, reading.low - target_mg_per_l)
    most_mg = max(0.0, reading.high - target_mg_per_l)
    found = REDUCERS[reducer]
    grams = volume_l / 1000.0
    middle_mg = max(0.0, reading.middle - target_mg_per_l)
    return NeutralisingDose(
        reducer=found,
        whole_g=Interval(least_mg * found.least * grams, most_mg * found.most * grams),
        field_g=middle_mg * found.field * grams,
        first_g=least_mg * found.least * grams,
        wait_h=1.0,  # common practice, no source: a turn or two of the return jets, then test
        alkalinity_change_mg_per_l=found.alkalinity_equivalents_per_chlorine * middle_mg / CHLORINE_GAS * 50.04345,
        source=FIELD_SOURCE,
    )


BREAKPOINT_MASS_RATIO = 3 * CHLORINE_GAS / (2 * NITROGEN)
"""mg of chlorine per mg of ammonia nitrogen: 2 NH3 + 3 HOCl -> N2, 7.6 (Weiner, Applications of Environmental Aquatic
Chemistry, 3rd ed., ch. 4)."""
MONOCHLORAMINE_MASS_RATIO = CHLORINE_GAS / NITROGEN
"""mg of chlorine per mg of nitrogen at the monochloramine limit, 5:1 (Wisconsin DNR breakpoint booklet)."""
BREAKPOINT_PRACTICE = Interval(10.0, 15.0)
"""mg of chlorine per mg of ammonia nitrogen in practice (Weiner, same chapter)."""
TIMES_COMBINED_PRACTICE = 10.0  # times the combined chlorine: common practice, no source
BREAKPOINT_LIMITS = (
    "The least holds for monochloramine alone; urea and organic chloramines do not follow it, and ten times the"
    " combined"
    " chlorine is a rule of thumb with a wide margin. With much cyanuric acid the chlorine acts slowly: bring it down"
    " first. A reading under about 0.2 mg/L of combined chlorine is within the error of most kits. Good air exchange,"
    " nobody in the water until free chlorine is back in range."
)


@dataclass(frozen=True, slots=True)
class BreakpointDose:
    """Free chlorine to add, mg/L: least by stoichiometry, most by the rule of thumb; `limits` belongs beside it."""

    add_mg_per_l: Interval
    limits: str = BREAKPOINT_LIMITS


def breakpoint_dose(combined_chlorine_mg_per_l: float, free_chlorine_mg_per_l: float = 0.0) -> BreakpointDose:
    """Chlorine to oxidise combined chlorine (as Cl2), counting the free chlorine already there.

    Monochloramine needs half a mol more per mol bound: 0.5 mg per mg; the rule of thumb is 10 mg per mg.
    """
    if combined_chlorine_mg_per_l < 0.0 or free_chlorine_mg_per_l < 0.0:
        raise OutOfRange(
            name="combined and free chlorine",
            value=(combined_chlorine_mg_per_l, free_chlorine_mg_per_l),
            unit="mg/L",
            allowed="0 and more",
        )
    least = max(0.0, 0.5 * combined_chlorine_mg_per_l - free_chlorine_mg_per_l)
    most = max(0.0, TIMES_COMBINED_PRACTICE * combined_chlorine_mg_per_l - free_chlorine_mg_per_l)
    return BreakpointDose(Interval(least, most))


def breakpoint_dose_for_ammonia(ammonia_nitrogen_mg_per_l: float) -> BreakpointDose:
    """Chlorine (mg/L) for measured ammonia nitrogen (mg/L as N): 7.6 times by theory, up to 15 times in practice."""
    if ammonia_nitrogen_mg_per_l < 0.0:
        raise OutOfRange(name="ammonia nitrogen", value=ammonia_nitrogen_mg_per_l, unit="mg/L", allowed="0 and more")
    least = BREAKPOINT_MASS_RATIO * ammonia_nitrogen_mg_per_l
    return BreakpointDose(Interval(least, BREAKPOINT_PRACTICE.high * ammonia_nitrogen_mg_per_l))
