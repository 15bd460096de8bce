"""One step out of what a whole correction takes: as much as is sure, safe and within the law, no more."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil, floor, log10

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.dosing.law import OWNER, TECHNICIAN, DoseLaw, StepLaw
from saltriage.dosing.model import DoseStep, NotGiven
from saltriage.dosing.pool_state import PoolState
from saltriage.pool.water import Product, change_per_mmol

__all__ = ["Whole", "as_part_of", "cut_to_law", "effect_words", "number"]


@dataclass(frozen=True, slots=True)
class Whole:
    """What a whole correction takes, mmol/L as meant for the volume as stated: low <= middle <= high, and what is safe.

    Args: safe: what takes no corner past a limit.    reading: what it serves.    purpose: of chlorine.
    """

    reading: str
    low: float
    middle: float
    high: float
    safe: float
    why: str
    arithmetic: tuple[str, ...] = ()
    purpose: str = ""
    per_step: float | None = None  # of a cycle: what one round takes, mmol/L


NEGLIGIBLE = 0.001  # of the whole: less is left over from rounding, and no dose (own judgement)


def cut_to_law(
    chemical: str, product: Product, whole: Whole, state: PoolState, law: DoseLaw
) -> tuple[DoseStep, StepLaw] | NotGiven:
    """The step now, or why there is none."""
    rule = law.step(chemical, product, whole.purpose)
    if rule is None:
        return NotGiven(chemical, "unlimited", "no limit is known for it, so no amount is given")
    volume, changes = state.volume, change_per_mmol(product.per_mol)
    now = min(max(whole.low, law.habits.least_part * whole.middle), whole.middle)
    bound: list[str] = []
    caps = [(whole.safe, "")]
    for reading, (most, limit) in rule.most.items():
        per_mmol = abs(changes.get(ARGUMENTS.get(reading, ""), 0.0))
        if per_mmol > 0.0:  # at the small end of the volume, where the dose counts most
            caps.append((most / per_mmol * volume.low / volume.value, limit))
    by_change = min((cap for cap, limit in caps if limit), default=None)
    if rule.share is not None:
        caps.append((rule.share[0] * whole.middle, rule.share[1]))
    hands, in_all = rule.hands, product.amount(whole.middle, volume.value)
    if hands == OWNER and rule.in_all is not None and in_all > rule.in_all[0]:
        hands = TECHNICIAN
        bound.append(rule.in_all[1])
    elif hands != OWNER and rule.hands_by:
        bound.append(rule.hands_by)
    if hands == OWNER and rule.at_once is not None:
        caps.append((rule.at_once[0] / product.amount(1.0, volume.value), rule.at_once[1]))
    for cap, limit in caps:
        if cap < now:
            now = max(0.0, cap)
            bound += [limit] if limit else []
    too_many = _too_many(rule, whole, by_change)
    if too_many:
        return NotGiven(chemical, "refused", too_many[0], limits=(too_many[1],))
    if now <= NEGLIGIBLE * whole.middle or _not_worth_it(rule, now, changes):
        reason = "the test is too coarse to tell whether any is needed: test again, with a better method"
        return NotGiven(chemical, "retest", reason)
    amounts = [product.amount(each, volume.value) for each in (now, whole.low, whole.middle, whole.high)]
    step = DoseStep(
        purpose=chemical,
        reading=whole.reading,
        product=product,
        unit=product.unit,
        now=amounts[0],
        low=min(amounts[1], amounts[2]),
        middle=amounts[2],
        high=max(amounts[2], amounts[3]),
        parts=parts_of(amounts[0], amounts[2]),
        mmol_per_l=now,
        wait_h=rule.wait_h,
        test=rule.test or (whole.reading,),
        hands=hands,
        limits=tuple(dict.fromkeys(bound)),
        how=rule.how,
        safety=rule.safety,
        why=whole.why,
        arithmetic=whole.arithmetic,
    )
    return step, rule


def as_part_of(step: DoseStep, whole: Whole, volume_l: float) -> DoseStep:
    """The same step as the first part of another whole."""
    assert step.product is not None
    low, middle, high = (step.product.amount(each, volume_l) for each in (whole.low, whole.middle, whole.high))
    middle = max(middle, step.now)
    return replace(
        step,
        reading=whole.reading,
        low=min(low, middle),
        middle=middle,
        high=max(high, middle),
        parts=parts_of(step.now, middle),
        why=whole.why,
        arithmetic=whole.arithmetic,
    )


def _too_many(rule: StepLaw, whole: Whole, by_change: float | None) -> tuple[str, str] | None:
    """Why so many steps are no way, and the limit that says so."""
    each = min((cap for cap in (by_change, whole.per_step) if cap is not None), default=None)
    if rule.most_steps is None or each is None:
        return None
    steps = ceil(whole.middle / each - 1e-9) if each > 0.0 else None
    if steps is not None and steps <= rule.most_steps[0]:
        return None
    told = "no step of it is safe in this water" if steps is None else f"it would take about {steps} additions"
    return f"{told}, more than {rule.most_steps[0]:.0f}: other water is the way", rule.most_steps[1]


def _not_worth_it(rule: StepLaw, now: float, changes: dict[str, float]) -> bool:
    if rule.least is None:
        return False
    reading, by = rule.least
    return abs(changes.get(ARGUMENTS.get(reading, ""), 0.0)) * now < by


def parts_of(now: float, whole: float) -> tuple[float, ...]:
    """The whole as parts of which the first goes in now; the others about as large, and none larger."""
    rest = max(0.0, whole - now)
    if rest <= 1e-6 * now:
        return (now,)
    count = ceil(rest / now - 1e-6)
    return (now, *([rest / count] * count))


_NAMES = {
    "total_alkalinity": "total alkalinity",
    "calcium_hardness": "calcium hardness",
    "cyanuric_acid": "cyanuric acid",
    "borate": "borate",
    "salt": "salt",
    "free_chlorine": "free chlorine",
}
_WORTH_SAYING = 0.5  # mg/L; less is lost in every test


def effect_words(changes: dict[str, float], leave_out: Iterable[str] = ()) -> tuple[str, ...]:
    """'salt +12 mg/L' for every change worth saying."""
    left_out = set(leave_out)
    return tuple(
        f"{_NAMES[name]} {'+' if change > 0 else '-'}{number(abs(change))} mg/L"
        for name, change in changes.items()
        if abs(change) >= _WORTH_SAYING and name not in left_out
    )


def number(amount: float) -> str:
    """A number for the arithmetic line, three figures, no exponent.

    >>> number(0.0123456), number(45000.0), number(7.5)
    ('0.0123', '45,000', '7.5')
    """
    if amount == 0:
        return "0"
    decimals = 2 - floor(log10(abs(amount)))
    rounded = round(amount, decimals)
    return f"{rounded:,.0f}" if decimals <= 0 else f"{rounded:.{decimals}f}".rstrip("0").rstrip(".")
