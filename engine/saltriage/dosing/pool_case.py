"""One pool made ready for the planner, and its plan, worked out when it is first asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from saltriage.believe.situation import Aim, Situation
from saltriage.believe.tested_water import ARGUMENTS, FILL_ARGUMENTS, water_arguments
from saltriage.conditions import Facts
from saltriage.dosing.given import Given
from saltriage.dosing.law import DoseLaw
from saltriage.dosing.measured import MeasuredReading, measured_readings
from saltriage.dosing.model import DosePlan, NotGiven
from saltriage.dosing.planning import SERVED, Planner
from saltriage.errors import Contradiction, OutOfRange
from saltriage.find import Found
from saltriage.knowledge import ids
from saltriage.pool.interval import Interval
from saltriage.pool.water import ALLOWED, Bundle, Product, Water, find_product, ordinary_fill

__all__ = ["DosingCase"]

ONE_CUBIC_METRE = 1000.0  # what amounts are for where nobody told the volume
_NEEDED = (ids.PH, ids.TOTAL_ALKALINITY)


@dataclass(frozen=True)
class DosingCase:
    """Args:
    leave: readings that the plan is not to move.    asked: chemicals that only an action asks for.
    """

    found: Found
    leave: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()

    balancing = ("acid", "bicarbonate", "soda-ash")  # chemicals of pH and alkalinity: one of them at a time

    @property
    def situation(self) -> Situation:
        return self.found.believed.situation

    @cached_property
    def readings(self) -> Mapping[str, MeasuredReading]:
        """Believed readings as doses see them; what is told as a limit is missing here."""
        return measured_readings(self.found.numbers, self.situation.case.readings, self.situation.knowledge)

    @cached_property
    def law(self) -> DoseLaw:
        facts = self.found.facts
        seen = {key: each.interval for key, each in self.readings.items()}
        told = Facts({**facts.readings, **seen}, facts.symptoms, facts.doubts, facts.contexts)
        return DoseLaw(self.situation.knowledge, replace(told, readings=seen), told)

    @cached_property
    def levels(self) -> Mapping[str, MeasuredReading]:
        """The readings with those that a limit takes for what nobody tested."""
        levels = dict(self.readings)
        told = ids.SALT in self.found.facts.readings or not self._not_doubted(ids.SALT)
        limit = None if told else self.law.taken(ids.SALT)
        if limit is not None:
            low, high = limit.number("low") or 0.0, limit.number("high") or 0.0
            levels[ids.SALT] = MeasuredReading((low + high) / 2.0, Interval(low, high), limit.say.support)
        return levels

    def _not_doubted(self, reading: str) -> bool:
        return reading not in self.found.believed.settled.withdrawn

    @cached_property
    def aims(self) -> dict[str, Aim]:
        return self.situation.aims(self.found.facts.readings)

    @property
    def volume(self) -> MeasuredReading:
        return self.levels.get(ids.POOL_VOLUME, MeasuredReading.exact(ONE_CUBIC_METRE))

    @property
    def volume_known(self) -> bool:
        return ids.POOL_VOLUME in self.levels

    def product(self, chemical: str) -> tuple[Product, tuple[str, ...]]:
        """The product to dose with: the one at hand where it is right for this water, and what that assumes."""
        usual = find_product(self.situation.knowledge.dosing.products[chemical])
        own = self.situation.products.get(chemical)
        if own is None:
            return usual, (f"{usual.title}; another strength on the label needs another amount",)
        limit = self.law.never(chemical, own)
        if limit is None:
            return own, ()
        instead = find_product(limit.instead) if limit.instead else usual
        return instead, (f"not {own.title}, which you have: {limit.say.owner}",)

    @cached_property
    def usual(self) -> Mapping[str, float]:
        """Reading -> what stands in for it where there is no number."""
        return self.situation.taken(self.found.facts.readings)

    @cached_property
    def water(self) -> tuple[Water | None, NotGiven | None]:
        """The water as given; or why there is none."""
        missing = tuple(key for key in _NEEDED if key not in self.levels)
        if missing:
            return None, NotGiven("", "missing", "a reading is missing", missing)
        usual = self.usual
        if unknown := tuple(key for key in ARGUMENTS if key not in self.levels and key not in usual):
            return None, NotGiven("", "missing", "a reading is missing", unknown)
        taken = {key: self.levels[key].value if key in self.levels else usual[key] for key in ARGUMENTS}
        taken[ids.SALT] = min(taken[ids.SALT], ALLOWED["salt"][1])  # sea water: the index is not asked for there
        try:
            return Water(**water_arguments(taken)), None
        except (Contradiction, OutOfRange) as reason:
            return None, NotGiven("", "refused", str(reason))

    @cached_property
    def fill(self) -> Water:
        """The fill water as far as it was tested, the rest as ordinary."""
        temperature = self.levels[ids.WATER_TEMPERATURE].value if ids.WATER_TEMPERATURE in self.levels else 25.0
        usual = ordinary_fill(min(45.0, max(0.0, temperature)))
        tested = {name: self.levels[key].value for key, name in FILL_ARGUMENTS.items() if key in self.levels}
        if not tested:
            return usual
        arguments = ("ph", "total_alkalinity", *FILL_ARGUMENTS.values())
        tested = {name: min(tested[name], ALLOWED[name][1]) for name in tested}
        return Water(temperature=usual.temperature, **({each: getattr(usual, each) for each in arguments} | tested))

    @cached_property
    def plan(self) -> DosePlan:
        """The plan of this pool."""
        water, no_water = self.water
        volume = self.volume
        bundle = None
        if water is not None:
            ends = {ARGUMENTS[key]: each.interval for key, each in self.levels.items() if key in ARGUMENTS}
            shares = Interval(volume.value / volume.high, volume.value / volume.low)
            bundle = Bundle.of(water, ends, shares)
        given = Given(
            readings=self.levels,
            aims=self.aims,
            water=water,
            no_water=no_water,
            bundle=bundle,
            volume=volume,
            product=self.product,
            fill=self.fill,
            law=self.law,
            asked=self.asked,
        )
        plan = Planner(given).plan()
        # Planned with what is left to others, so that the rest comes out the same; told without it.
        kept = [number for number, step in enumerate(plan.steps) if step.reading not in self.leave]
        return DosePlan(
            start=plan.start,
            steps=tuple(plan.steps[number] for number in kept),
            not_given={key: each for key, each in plan.not_given.items() if SERVED.get(key) not in self.leave},
            waters=(*plan.waters[:1], *(plan.waters[number + 1] for number in kept)) if plan.waters else (),
            also=plan.also,
            assumptions=self.assumptions,
            notes=self.notes,
            volume_known=self.volume_known,
        )

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was taken for granted about the readings, in words."""
        said = [self.levels[key].note for key in (*ARGUMENTS, ids.POOL_VOLUME) if key in self.levels]
        return tuple(dict.fromkeys(note for note in said if note))

    @property
    def notes(self) -> tuple[str, ...]:
        """What belongs beside the plan."""
        free, aim = self.levels.get(ids.FREE_CHLORINE), self.aims.get(ids.FREE_CHLORINE)
        if free is not None and aim is not None and aim.high is not None and free.value > aim.high:
            return ("Free chlorine is above its range: nobody in the water until a test shows it in range.",)
        return ()

    def untested(self) -> tuple[str, ...]:
        """What stands in for readings of the water that were not tested, in words."""
        units, usual = {ids.WATER_TEMPERATURE: " °C"}, self.usual
        missing = [key for key in ARGUMENTS if key not in self.levels and key in usual and key != ids.FREE_CHLORINE]
        if not missing:
            return ()
        told = (f"{key.replace('-', ' ')} {usual[key]:g}{units.get(key, ' mg/L')}" for key in missing)
        return (f"not tested, taken as {', '.join(told)}",)
