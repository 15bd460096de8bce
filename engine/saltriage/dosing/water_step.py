"""A change of water as a step: a third at most now, then a test; and how much in all, as rounds drain new water too."""

from saltriage.dosing.exchange import EXCHANGED, WaterChange, change_for
from saltriage.dosing.given import Given
from saltriage.dosing.law import StepLaw
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.model import WATER_CHANGE, DoseStep, NotGiven
from saltriage.errors import Contradiction

__all__ = ["largest_share", "too_much_water", "water_step"]


def largest_share(rule: StepLaw | None) -> float:
    """Largest share of the water that may be drained at once. Raises: Contradiction where no limit says it."""
    if rule is None or rule.share is None:
        raise Contradiction("no limit says how much water may be drained at once")
    return rule.share[0]


def too_much_water(change: WaterChange, rule: StepLaw, given: Given) -> NotGiven:
    """So many rounds are a new filling."""
    assert rule.most_steps is not None
    litres = change.litres_per_litre * given.volume.value
    text = (
        f"{100 * change.fraction:.0f} % of the water would have to be other water: about {change.rounds} rounds of a"
        f" third, {litres / 1000:,.0f} m³ in all. That is a new filling, not a correction: ask a pool technician, and"
        " first make sure that the reading is right"
    )
    return NotGiven(WATER_CHANGE, "refused", text, limits=(rule.most_steps[1],))


def water_step(change: WaterChange, rule: StepLaw, given: Given) -> DoseStep:
    """The first round, with the total of all rounds."""
    volume, total = given.volume, change.litres_per_litre
    names = " and ".join(reading.replace("-", " ") for reading in change.serves)
    low, high = _ends(change, given, largest_share(rule))
    middle = total * volume.value
    now = min(change.each * volume.low, middle)
    return DoseStep(
        purpose=WATER_CHANGE,
        reading=change.serves[0],
        unit="L",
        now=now,
        low=min(low, middle),
        middle=middle,
        high=max(high, middle),
        parts=_parts(now, middle, change.rounds),
        fraction=change.each,
        wait_h=rule.wait_h,
        test=tuple(dict.fromkeys((*change.serves, *rule.test))),
        hands=rule.hands,
        limits=rule.limits if change.rounds > 1 else (),
        how=rule.how,
        safety=rule.safety,
        why=f"only other water brings {names} down",
        arithmetic=_arithmetic(change, volume.value),
        side_effects=("salt, cyanuric acid, calcium and alkalinity all move towards the fill water",),
    )


def _parts(now: float, middle: float, rounds: int) -> tuple[float, ...]:
    rest = middle - now
    more = max(rounds - 1, 1 if rest > 1e-6 * middle else 0)
    return (now, *(rest / more for _ in range(more)))


def _ends(change: WaterChange, given: Given, largest: float) -> tuple[float, float]:
    reading, volume = change.serves[0], given.volume
    level = given.readings.get(reading)
    if level is None or len(change.serves) > 1 or change.rounds > 1 or reading not in EXCHANGED:
        return change.litres_per_litre * volume.low, change.litres_per_litre * volume.high
    ends = []
    for value, litres in ((level.low, volume.low), (level.high, volume.high)):
        found, _ = change_for([reading], {reading: MeasuredReading.exact(value)}, given.aims, given.fill, largest)
        ends.append(found.litres_per_litre * litres if found else 0.0)
    return ends[0], ends[1]


def _arithmetic(change: WaterChange, litres: float) -> tuple[str, ...]:
    whole = f"{100 * change.fraction:.0f} % other water"
    if change.rounds == 1:
        return (f"{whole} × {litres:,.0f} L = {change.fraction * litres:,.0f} L",)
    each, rounds = change.each, change.rounds
    return (
        f"{whole} takes {rounds} rounds of {100 * each:.0f} %, each filled up and mixed before the next:"
        f" 1 - {1 - each:.2f}^{rounds} = {100 * (1 - (1 - each) ** rounds):.0f} %",
        f"{rounds} × {100 * each:.0f} % × {litres:,.0f} L = {change.litres_per_litre * litres:,.0f} L",
    )
