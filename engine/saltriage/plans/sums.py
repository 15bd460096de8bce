"""What the steps of plans calculate: one function for each word of `work-out`."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, floor

from saltriage.advise.dose_inputs import DoseInputs, number
from saltriage.advise.doses import dose
from saltriage.believe.situation import DEFAULT_PROFILE
from saltriage.conditions.condition import Truth
from saltriage.explain import Explained
from saltriage.plans.model import Amount, SumLine, Worked
from saltriage.plans.run_time import PoolRun, worked_hours
from saltriage.plans.water_balance import water_balance
from saltriage.pool.interval import Interval

__all__ = ["DOSES", "SUMS", "PlanInputs"]

BAG_G = 20_000.0  # the usual bag where the case names none; common practice, no source
INSPECT_AFTER_H, INSPECT_AFTER_DAYS = 500.0, 91.0  # hours of running, or about three months; common practice, no source
# Freezing: 1.86 K kg/mol for water, two ions, osmotic coefficient 0.94 at 0.05 mol/kg (CRC Handbook, from memory).
CRYOSCOPIC, IONS, OSMOTIC, SALT_G_PER_MOL = 1.86, 2.0, 0.94, 58.44

DOSES = frozenset({"salt-in-bags", "water-balance", "acid-soak"})
"""Sums that end in adding something; a stop rule that does not allow it holds them back."""


@dataclass(frozen=True, slots=True)
class PlanInputs:
    """One pool after matching, as the sums see it; `run` is None where hours cannot be calculated."""

    examined: Explained
    run: PoolRun | None
    occasion: str

    @property
    def readings(self) -> Mapping[str, Interval]:
        return self.examined.found.facts.readings

    @property
    def doses(self) -> DoseInputs:
        situation = self.examined.found.believed.situation
        return DoseInputs(self.readings, situation.aims(self.readings), situation.products)

    @property
    def band_is_known(self) -> bool:
        """A stand-in for a unit that nobody named is too wide to dose by."""
        situation = self.examined.found.believed.situation
        stands_in = situation.profile == DEFAULT_PROFILE and "salt-band-low" in situation.from_profile
        return "salt-band-low" in self.readings and "salt-band-high" in self.readings and not stands_in


def _nothing(text: str, *missing: str) -> Worked:
    return Worked((SumLine(text),), missing=missing)


def _salt(given: PlanInputs) -> Worked:
    if not given.band_is_known:
        return _nothing(
            "No amount yet: read the salt band printed on the unit first.", "salt-band-low", "salt-band-high"
        )
    if given.examined.found.truths.get("action.add-salt.requires") is Truth.FALSE:
        return _nothing("The tested salt is in the band or above it: add none.")
    advice = dose("salt-to-add", given.doses)
    if not advice.computed:
        return _nothing(f"No amount yet: {advice.reason}.", *advice.missing)
    told = given.readings.get("salt-bag")
    bag = told.middle if told else BAG_G
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
        assumptions=(*advice.assumptions, *(() if told else ("bags of 20 kg, since no size was told",))),
    )


def _over_salt(given: PlanInputs) -> Worked:
    high, salt = given.readings.get("salt-band-high"), given.readings.get("salt")
    general = SumLine(
        "Over by a tenth: replace about a tenth of the water; over by a fifth: about a fifth; over by half: a third. At"
        " most a third at a time, and test again."
    )
    if high is None or salt is None or not given.band_is_known or salt.middle <= high.middle:
        return Worked((general,))
    advice = dose("water-to-replace-for-salt", given.doses)
    if not advice.computed:
        return Worked((SumLine(f"No amount yet: {advice.reason}."), general), missing=advice.missing)
    volume = given.readings["pool-volume"].middle
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
    missing = [key for key in ("rated-output", "pool-volume") if key not in given.readings]
    reason = (
        "No hours yet: they follow from rated output and volume." if missing else "The demand is too large to plan for."
    )
    return _nothing(reason, *missing)


def _balance(given: PlanInputs) -> Worked:
    situation = given.examined.found.believed.situation
    # Salt has a step of its own; a closed pool gets no chlorine for bathing.
    leave = {"salt"} | ({"free-chlorine"} if given.occasion in ("closing", "cell-cleaning") else set())
    balance = water_balance(situation.case, situation.knowledge, frozenset(leave))
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
    free = aims.get("free-chlorine")
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
    ("free-chlorine", "Free chlorine", "mg/L"),
    ("ph", "pH", ""),
    ("combined-chlorine", "Combined chlorine", "mg/L"),
)


def _verdict(now: Interval, low: float | None, high: float | None) -> str:
    if (low is not None and now.low < low) or (high is not None and now.high > high):
        return "not yet, or too close to tell"
    return "met"


_FIRST = (
    "salt", "ph", "total-alkalinity", "calcium-hardness", "cyanuric-acid", "free-chlorine", "water-temperature",
)  # fmt: skip


def _first_readings(given: PlanInputs) -> Worked:
    rules = given.examined.found.believed.situation.knowledge.readings
    open_ones = tuple(key for key in _FIRST if key in rules and key not in given.readings)
    said = ", ".join(rules[key].title for key in open_ones)
    text = f"Still to be measured: {said}." if open_ones else "All first readings are there."
    return Worked((SumLine(text),), missing=open_ones)


def _inspection(given: PlanInputs) -> Worked:
    hours = given.readings.get("hours-per-day")
    if hours is None or hours.middle <= 0:
        text = f"About every three months, or after {INSPECT_AFTER_H:.0f} hours of running, whichever comes first."
        usual = Amount.one(INSPECT_AFTER_DAYS, "duration", "days")
        return Worked((SumLine(text),), usual, ("hours-per-day",), every_days=INSPECT_AFTER_DAYS)
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
    salt = given.readings.get("salt", Interval.exact(3000.0)).middle
    lower = CRYOSCOPIC * IONS * OSMOTIC * salt / 1000 / SALT_G_PER_MOL
    taken = () if "salt" in given.readings else ("salt not tested, taken as 3,000 mg/L",)
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
