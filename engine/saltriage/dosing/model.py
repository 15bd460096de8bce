"""What a plan of doses is made of: steps that each end in a test, and what is not given and why."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from saltriage.pool.water import Bundle, Product, Water
from saltriage.result import Wording

__all__ = ["WATER_CHANGE", "DosePlan", "DoseStep", "NotGiven"]

WATER_CHANGE, AIR = "water", "air"  # purposes that add no chemical


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseStep:
    """This much now; then wait and test; in all about so much.

    Args:
        purpose: the chemical, 'water' for a change of water, 'air' for aeration.    reading: what it serves.
        product: None where nothing is added.    unit: g or mL; L of water; '' for air.
        now, low, middle, high: what goes in now, and what the whole takes at the ends of readings and volume.
        parts: the whole as parts, the first of them now; about so many, each after its own test. Their sum is `middle`.
        mmol_per_l: of the reagent, now, in the volume as stated.    fraction: of the water replaced now.
        until_ph: what aeration ends at.
        starts_h: hours after the first step.    wait_h: least time to the test of what `test` names.
        hands: who doses.    limits: ids of the limits that made it smaller or gave it to others.
        how: how it goes in.    safety: ids of notes.    why, gas: sentences.
        after: the water it should leave; None without pH or alkalinity.
    """

    purpose: str
    reading: str
    product: Product | None = None
    unit: str = ""
    now: float = 0.0
    low: float = 0.0
    middle: float = 0.0
    high: float = 0.0
    parts: tuple[float, ...] = ()
    mmol_per_l: float = 0.0
    fraction: float = 0.0
    until_ph: float | None = None
    starts_h: float = 0.0
    wait_h: float = 0.0
    test: tuple[str, ...] = ()
    hands: str = "owner"
    limits: tuple[str, ...] = ()
    how: Wording | None = None
    safety: tuple[str, ...] = ()
    why: str = ""
    gas: str = ""
    arithmetic: tuple[str, ...] = ()
    side_effects: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    after: Water | None = None

    @property
    def rest(self) -> float:
        """About what is left of the whole after this part."""
        return max(0.0, self.middle - self.now)


@dataclass(frozen=True, slots=True)
class NotGiven:
    """Why a chemical is not given now.

    Args:
        state: refused (never, or the aim cannot be reached), later (something else comes first), missing (a reading),
            retest (the test is too coarse to tell), unlimited (no limit knows it) or fine (nothing is wanted).
        reason: a sentence, with the way out.    missing: readings.    limits: ids of limits.
    """

    purpose: str
    state: str
    reason: str
    missing: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DosePlan:
    """Steps in order, of each kind of reading only the first: what comes after is known only from its test.

    Args:
        start: the water as given, None without pH or alkalinity.    waters: with corners, before and after each step.
        not_given: by purpose.    assumptions, notes: sentences.    volume_known: False: amounts are for 1000 L.
        also: reading -> a step that serves it as well, as the first part of what that takes in all.
    """

    start: Water | None
    steps: tuple[DoseStep, ...]
    not_given: Mapping[str, NotGiven]
    waters: tuple[Bundle, ...] = ()
    assumptions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    volume_known: bool = True
    also: Mapping[str, DoseStep] = field(default_factory=dict)

    def step(self, purpose: str) -> DoseStep | None:
        """The step of a purpose, if there is one."""
        return next((step for step in self.steps if step.purpose == purpose), None)

    @property
    def end(self) -> Water | None:
        """The water as given after the last step."""
        return next((step.after for step in reversed(self.steps) if step.after is not None), self.start)
