"""A case made ready for the rules: profile settings, contexts, targets, products, and computed readings."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from saltriage.believe.calculators import computed_readings
from saltriage.believe.limit_aims import Aim, moved_aims
from saltriage.believe.tested_water import taken_as
from saltriage.case import Case
from saltriage.conditions.condition import Facts, Number, Truth, evaluate
from saltriage.errors import CaseRefused, OutOfRange, Refusal
from saltriage.knowledge.model import Knowledge, Range, Target
from saltriage.pool.interval import Interval
from saltriage.pool.water import PRODUCTS, Product, find_product

__all__ = ["TARGET_ENDS", "Aim", "Situation", "prepared"]

TARGET_ENDS = ("upper-target", "closing-low", "closing-high")
"""Names of the calculators of readings that are an end of the targets of another one."""


@dataclass(frozen=True)
class Situation:
    """One case with all that its profile and targets add.

    Args:
        readings: id -> interval, canonical; told, settings and profile settings; nothing computed yet.
        from_profile: ids among `readings` that the equipment profile supplied.
        targets: the chosen target profile.    assumptions: what was taken for granted, in words.
    """

    case: Case
    knowledge: Knowledge
    readings: Mapping[str, Interval]
    from_profile: frozenset[str]
    contexts: Mapping[str, str]
    profile: str
    targets: Target
    products: Mapping[str, Product]
    assumptions: tuple[str, ...]

    @cached_property
    def wanted(self) -> dict[str, str]:
        """Computed reading id -> calculator name."""
        return {reading.id: reading.computed for reading in self.knowledge.readings.values() if reading.computed}

    @cached_property
    def one_sided(self) -> frozenset[str]:
        """Readings told as a limit: conditions may compare them, and nothing is calculated from them."""
        return frozenset(key for key, reading in self.case.readings.items() if reading.bound)

    def numbers(self, readings: Mapping[str, Interval]) -> dict[str, Interval]:
        """Those readings that may be calculated with."""
        return {key: interval for key, interval in readings.items() if key not in self.one_sided}

    def taken(self, readings: Mapping[str, Interval]) -> dict[str, float]:
        """Reading -> what stands in for it where it was not tested; without what a told limit rules out."""
        told = {key: readings[key] for key in self.one_sided & readings.keys()}
        usual = taken_as(self.knowledge)
        return {key: value for key, value in usual.items() if key not in told or told[key].holds(value)}

    def recompute(self, readings: Mapping[str, Interval]) -> dict[str, Interval]:
        """The readings with every computed one that they allow; computed ones given before are made anew.

        One that was told as it is stays, even beside what it could be computed from.
        """
        told = self.case.readings
        given = {key: interval for key, interval in readings.items() if key not in self.wanted or key in told}
        given |= self._limits(given)
        return given | computed_readings(self.numbers(given), self.wanted, self.taken(given))

    def _limits(self, given: Mapping[str, Interval]) -> dict[str, Interval]:
        """The ends of target ranges that rules may compare with."""
        aims = self.aims(given)
        ends = {key: self._end(name, self.knowledge.readings[key].target_of, aims) for key, name in self.wanted.items()}
        return {key: Interval.exact(end) for key, end in ends.items() if end is not None}

    def _end(self, name: str, target: str, aims: Mapping[str, Aim]) -> float | None:
        """Upper target; or where the profile closes a pool, else the end of its range."""
        if name not in TARGET_ENDS or target not in aims:
            return None
        aim, closes = aims[target], self.targets.closes.get(target, Range())
        if name == "upper-target":
            return aim.high
        bound, plain = (closes.low, aim.low) if name == "closing-low" else (closes.high, aim.high)
        return bound.value if isinstance(bound, Number) else plain

    @cached_property
    def facts(self) -> Facts:
        """What the matcher starts from."""
        return Facts(
            readings=self.recompute(self.readings), symptoms=dict(self.case.symptoms), doubts={}, contexts=self.contexts
        )

    def aims(self, readings: Mapping[str, Interval]) -> dict[str, Aim]:
        """Target ranges as numbers; an end that stands for a reading without a number stays open."""
        readings = self.numbers(readings)
        aims = {
            key: Aim(_end(span.low, readings), _end(span.high, readings)) for key, span in self.targets.ranges.items()
        }
        return moved_aims(self.knowledge, aims, readings, self.contexts)


def _end(bound: object, readings: Mapping[str, Interval]) -> float | None:
    if bound is None:
        return None
    if isinstance(bound, Number):
        return bound.value
    reading = readings.get(bound.reading)  # type: ignore[attr-defined]  # a ReadingBound
    return None if reading is None else reading.middle + bound.offset  # type: ignore[attr-defined]


def prepared(case: Case, knowledge: Knowledge) -> Situation:
    """The case with profile, targets and products chosen.

    Raises: CaseRefused for a product that is not known or a strength that cannot be.
    """
    assumptions: list[str] = []
    contexts = dict(case.contexts)
    contexts.setdefault("use", "private-pool")
    readings = {key: reading.compared for key, reading in case.readings.items()}
    from_profile = {key for key, reading in case.readings.items() if reading.origin == "profile"}
    profile = case.profile
    stand_in = next((each for each in knowledge.equipment.values() if each.stands_in), None)
    if not profile and stand_in is not None:
        profile, settings = stand_in.id, stand_in.settings
        taken = {key: number for key, number in settings.items() if key not in readings}
        readings |= {key: Interval.exact(setting.value) for key, setting in taken.items()}
        from_profile |= set(taken)
        if taken:
            shown = ", ".join(
                f"{key.replace('-', ' ')} {setting.value:g} {setting.unit}" for key, setting in taken.items()
            )
            assumptions.append(f"unit not named, so {shown}; the band printed for the unit wins")
    targets, assumed = _targets(case, knowledge, contexts)
    return Situation(
        case,
        knowledge,
        dict(sorted(readings.items())),
        frozenset(from_profile),
        contexts,
        profile,
        targets,
        _products(case),
        (*(each.said for each in case.retired), *assumptions, *assumed),
    )


# What a private pool is taken for where nobody said: what most are, and what a caller would have named otherwise.
_ORDINARY = {"setting": "outdoor", "kind": "in-ground", "source-water": "mains"}


def _targets(case: Case, knowledge: Knowledge, contexts: Mapping[str, str]) -> tuple[Target, tuple[str, ...]]:
    if case.targets:
        return knowledge.targets[case.targets], ()
    is_private = contexts["use"] == "private-pool"
    supposed = {**_ORDINARY, **contexts} if is_private else contexts
    facts = Facts(readings={}, symptoms={}, doubts={}, contexts=supposed)
    for target in knowledge.targets.values():
        fits = target.applies is not None and evaluate(target.applies, facts) is Truth.TRUE
        if target.use == contexts["use"] and fits:
            outdoors = () if "setting" in contexts else ("the pool stands outdoors",)
            return target, outdoors if is_private else (f"targets of {target.cited}, since none were chosen",)
    return next(iter(knowledge.targets.values())), ()


# Chemical a case names -> reagents that do its work; what is not named here takes any product.
_REAGENTS = {
    "salt": {"sodium_chloride"},
    "chlorine": {"sodium_hypochlorite", "calcium_hypochlorite", "dichlor", "trichlor"},
    "acid": {"hydrochloric_acid", "sulfuric_acid", "sodium_bisulfate", "carbon_dioxide"},
    "bicarbonate": {"sodium_bicarbonate"},
    "soda-ash": {"sodium_carbonate", "sodium_hydroxide"},
    "cyanuric-acid": {"cyanuric_acid"},
    "calcium-chloride": {"calcium_chloride"},
    "reducer": {"sodium_sulfite", "sodium_bisulfite", "sodium_metabisulfite", "sodium_thiosulfate"},
    "borate": {"borax", "boric_acid"},
}


def _fits(product: Product, chemical: str) -> bool:
    """Whether a product is of the chemical it was named for: bicarbonate as 'acid' would be dosed the wrong way."""
    return chemical not in _REAGENTS or product.reagent in _REAGENTS[chemical]


def _products(case: Case) -> dict[str, Product]:
    found: dict[str, Product] = {}
    refusals: list[Refusal] = []
    for chemical, product in case.products.items():
        fitting = [each.name.replace("_", "-") for each in PRODUCTS.values() if _fits(each, chemical)]
        place, typed = f"products.{chemical}", repr(product.product)
        try:
            known = find_product(product.product, product.strength_percent)
        except OutOfRange as reason:
            if product.product.replace("-", "_") in PRODUCTS:
                refusals.append(Refusal(place, typed, str(reason).replace("_", "-")))
                continue
            near = difflib.get_close_matches(product.product, fitting, 1)
            mend = f"Did you mean {near[0]}?" if near else ""
            refusals.append(Refusal(place, typed, f"one of {', '.join(fitting)}", mend))
            continue
        if _fits(known, chemical):
            found[chemical] = known
        else:
            refusals.append(Refusal(place, f"{typed}, which is another chemical", f"one of {', '.join(fitting)}"))
    if refusals:
        raise CaseRefused(refusals)
    return found
