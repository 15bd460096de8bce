"""What the steps of plans calculate: one function for each word of `work-out`."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, floor

from saltriage.advise.doses import dose
from saltriage.believe.tested_water import taken_as
from saltriage.conditions.condition import Truth
from saltriage.dosing import DosingCase
from saltriage.dosing.steps import number
from saltriage.explain import Explained
from saltriage.knowledge import ids
from saltriage.plans.model import Amount, SumLine, Worked
from saltriage.plans.run_time import PoolRun, worked_hours
from saltriage.plans.water_balance import water_balance
from saltriage.pool.interval import Interval

__all__ = ["DOSES", "SUMS", "PlanInputs"]

INSPECT_AFTER_H, INSPECT_AFTER_DAYS = 500.0, 91.0  # hours of running, or about three months; common practice, no source
# Freezing: 1.86 K kg/mol for water, two ions, osmotic coefficient 0.94 at 0.05 mol/kg (CRC Handbook, from memory).
CRYOSCOPIC, IONS, OSMOTIC, SALT_G_PER_MOL = 1.86, 2.0, 0.94, 58.44

DOSES = frozenset({"salt-in-bags", "water-balance", "acid-soak"})
"""Sums that end in adding something; a stop rule that does not allow it holds them back."""


@dataclass(frozen=True, slots=True)
class PlanInputs:
    """One pool after matching, as the sums see it; `run` is None where hours cannot be calculated.

    Args: do: action of the step, or ''.    leaves: readings that its water balance does not change.
    """

    examined: Explained
    run: PoolRun | None
    do: str = ""
    leaves: frozenset[str] = frozenset()

    @property
    def taken_as(self) -> Mapping[str, float]:
        """Reading -> what stands in for it where it was not tested."""
        return taken_as(self.examined.knowledge)

    @property
    def readings(self) -> Mapping[str, Interval]:
        return self.examined.found.numbers

    @property
    def doses(self) -> DosingCase:
        return DosingCase(self.examined.found)

    @property
    def band_is_known(self) -> bool:
        """A stand-in for a unit that nobody named is too wide to dose by."""
        situation = self.examined.found.believed.situation
        profile = situation.knowledge.equipment.get(situation.profile)
        stands_in = profile is not None and profile.stands_in and ids.SALT_BAND_LOW in situation.from_profile
        return ids.SALT_BAND_LOW in self.readings and ids.SALT_BAND_HIGH in self.readings and not stands_in


def _nothing(text: str, *missing: str) -> Worked:
    return Worked((SumLine(text),), missing=missing)


def _salt(given: PlanInputs) -> Worked:
    if not given.band_is_known:
        return _nothing(
            "No amount yet: read the salt band printed on the unit first.", ids.SALT_BAND_LOW, ids.SALT_BAND_HIGH
        )
    if given.examined.found.truths.get(f"action.{given.do}.requires") is Truth.FALSE:
        return _nothing("The tested salt is in the band or above it: add none.")
    advice = dose("salt-to-add", given.doses)
    if not advice.computed:
        return _nothing(f"No amount yet: {advice.reason}.", *advice.missing)
    told = given.readings.get(ids.SALT_BAG)
    bag = told.middle if told else given.taken_as[ids.SALT_BAG]
    bags = f"{floor(advice.low / bag)} to {ceil(advice.high / bag)} bags of {{2}}"
    first = floor(advice.first / bag)
    now = f"{first} bag{'s' if first != 1 else ''}" if first else "less than one bag"
    return Worked(
        (
            SumLine(
                f"In all {{0}} of {advice.product}, best estimate {{1}}: {bags}.",
                (
                    Amount(advice.low, advice.high, "mass", "g"),
                    Amount.one(advice.middle, "mass", "g"),
                    Amount.one(bag, "mass", "g"),
                ),
            ),
            SumLine(f"Now: {now}, at most {{0}}; the rest after the retest.", (Amount.one(advice.first, "mass", "g"),)),
            *(SumLine(line) for line in advice.arithmetic),
        ),
        Amount(advice.low, advice.high, "mass", "g"),
        assumptions=(
            *advice.assumptions,
            *(() if told else (f"bags of {number(bag / 1000)} kg, since no size was told",)),
        ),
    )


def _over_salt(given: PlanInputs) -> Worked:
    high, salt = given.readings.get(ids.SALT_BAND_HIGH), given.readings.get(ids.SALT)
    general = SumLine(
        "Over by a tenth: replace about a tenth of the water; over by a fifth: about a fifth; over by half: a third. At"
        " most a third at a time, and test again."
    )
    if high is None or salt is None or not given.band_is_known or salt.middle <= high.middle:
        return Worked((general,))
    advice = dose("water-to-replace-for-salt", given.doses)
    if not advice.computed:
        return Worked((SumLine(f"No amount yet: {advice.reason}."), general), missing=advice.missing)
    volume = given.readings[ids.POOL_VOLUME].middle
    share = 100 * advice.middle / volume
    return Worked(
        (
            SumLine(
                f"Replace {{0}} of water, best estimate {{1}} ({share:.0f} % of the pool).",
                (Amount(advice.low, advice.high, "volume", "L"), Amount.one(advice.middle, "volume", "L")),
            ),
            SumLine("Now: {0}, then test again.", (Amount.one(advice.first, "volume", "L"),)),
            *(SumLine(line) for line in advice.arithmetic),
            general,
        ),
        Amount(advice.low, advice.high, "volume", "L"),
        assumptions=advice.assumptions,
    )


def _hours(given: PlanInputs) -> Worked:
    if given.run is not None:
        return worked_hours(given.run)
    missing = [key for key in (ids.RATED_OUTPUT, ids.POOL_VOLUME) if key not in given.readings]
    reason = (
        "No hours yet: they follow from rated output and volume." if missing else "The demand is too large to plan for."
    )
    return _nothing(reason, *missing)


def _balance(given: PlanInputs) -> Worked:
    situation = given.examined.found.believed.situation
    balance = water_balance(situation.case, situation.knowledge, given.leaves)
    return Worked((), missing=balance.missing, balance=balance)


def _bathing(given: PlanInputs) -> Worked:
    aims = given.examined.found.believed.situation.aims(given.readings)
    lines = [SumLine("The bottom and its drain cover are clearly seen, and nothing was dosed within the waiting time.")]
    for key, title, unit in _LIMITS:
        aim = aims.get(key)
        if aim is None or (aim.low is None and aim.high is None):
            continue
        least = f"at least {number(aim.low)}" if aim.low is not None else ""
        most = f"at most {number(aim.high)}" if aim.high is not None else ""
        now = given.readings.get(key)
        verdict = "" if now is None else f"; now {number(now.middle)}: {_verdict(now, aim.low, aim.high)}"
        lines.append(SumLine(f"{title} {' and '.join(filter(None, (least, most)))} {unit}".rstrip() + verdict))
    free = aims.get(ids.FREE_CHLORINE)
    amount = None
    if free is not None and free.high is not None:
        lines.append(
            SumLine(
                f"Keep out above {number(free.high)} mg/L of free chlorine: that is the limit of the targets chosen."
            )
        )
        amount = Amount(free.low or 0.0, free.high, "concentration", "mg/L")
    return Worked(tuple(lines), amount)


_LIMITS = (
    (ids.FREE_CHLORINE, "Free chlorine", "mg/L"),
    (ids.PH, "pH", ""),
    (ids.COMBINED_CHLORINE, "Combined chlorine", "mg/L"),
)


def _verdict(now: Interval, low: float | None, high: float | None) -> str:
    if (low is not None and now.low < low) or (high is not None and now.high > high):
        return "not yet, or too close to tell"
    return "met"


def _first_readings(given: PlanInputs) -> Worked:
    knowledge = given.examined.knowledge
    rules = knowledge.readings
    open_ones = tuple(key for key in knowledge.forms.first_tests if key not in given.readings)
    said = ", ".join(rules[key].title for key in open_ones)
    text = f"Still to be measured: {said}." if open_ones else "All first readings are there."
    return Worked((SumLine(text),), missing=open_ones)


def _inspection(given: PlanInputs) -> Worked:
    hours = given.readings.get(ids.HOURS_PER_DAY)
    if hours is None or hours.middle <= 0:
        text = f"About every three months, or after {INSPECT_AFTER_H:.0f} hours of running, whichever comes first."
        usual = Amount.one(INSPECT_AFTER_DAYS, "duration", "days")
        return Worked((SumLine(text),), usual, (ids.HOURS_PER_DAY,), every_days=INSPECT_AFTER_DAYS)
    days = float(floor(min(INSPECT_AFTER_DAYS, INSPECT_AFTER_H / hours.middle)))
    return Worked(
        (
            SumLine(f"Every {days:.0f} days: {INSPECT_AFTER_H:.0f} h of running ÷ {number(hours.middle)} h a day ="
                    f" {number(INSPECT_AFTER_H / hours.middle)} days, and never more than about three months."),
        ),
        Amount.one(days, "duration", "days"),
        every_days=days,
    )  # fmt: skip


def _soak(given: PlanInputs) -> Worked:
    advice = dose("weak-acid-soak", given.doses)
    if not advice.computed:
        return _nothing(f"No acid: {advice.reason}.")
    return Worked(
        (
            SumLine(f"{{0}} of {advice.product}.", (Amount.one(advice.middle, "volume", "mL"),)),
            *(SumLine(line) for line in advice.arithmetic),
        ),
        Amount(advice.low, advice.high, "volume", "mL"),
        assumptions=advice.assumptions,
    )


def _freezing(given: PlanInputs) -> Worked:
    usual = given.taken_as[ids.SALT]
    salt = given.readings.get(ids.SALT, Interval.exact(usual)).middle
    lower = CRYOSCOPIC * IONS * OSMOTIC * salt / 1000 / SALT_G_PER_MOL
    taken = () if ids.SALT in given.readings else (f"salt not tested, taken as {number(usual)} mg/L",)
    text = f"With {number(salt)} mg/L of salt the water freezes at about -{lower:.1f} °C: hardly below fresh water."
    return Worked((SumLine(text),), Amount.one(-lower, "temperature", "degC"), assumptions=taken)


SUMS: Mapping[str, Callable[[PlanInputs], Worked]] = {
    "salt-in-bags": _salt,
    "over-salt": _over_salt,
    "run-time": _hours,
    "water-balance": _balance,
    "bathing": _bathing,
    "first-readings": _first_readings,
    "cell-inspection": _inspection,
    "acid-soak": _soak,
    "freezing-salt": _freezing,
}
