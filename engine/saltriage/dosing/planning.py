"""The planner: what goes into the water now, in which order, each followed by its wait and its test.

Of each kind of reading only the first step is given, since the next is known only from the test after it. Kinds that do
not wait for each other (chlorine, balance, stabiliser, salt) follow one another with their waits; each is worked out in
the water that the ones before it leave, in a closed system, at every corner of the readings and of the volume.
"""

from dataclasses import replace

from saltriage.believe.limit_aims import Aim
from saltriage.dosing.balance import BalanceAims, Keeps, Turn, next_turn
from saltriage.dosing.chlorine import chlorine_turn
from saltriage.dosing.exchange import EXCHANGED, WaterChange, change_for
from saltriage.dosing.given import Given
from saltriage.dosing.law import StepLaw
from saltriage.dosing.linear import raised
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.model import AIR, WATER_CHANGE, DosePlan, DoseStep, NotGiven
from saltriage.dosing.pool_state import PoolState
from saltriage.dosing.steps import Whole, as_part_of, cut_to_law, effect_words
from saltriage.dosing.water_step import largest_share, too_much_water, water_step
from saltriage.dosing.way_out import way_out
from saltriage.knowledge import ids
from saltriage.pool.water import Bundle, Product, as_water, side_effects

__all__ = ["SERVED", "Planner"]

SERVED = {
    "salt": ids.SALT, "chlorine": ids.FREE_CHLORINE, "cyanuric-acid": ids.CYANURIC_ACID,
    "calcium-chloride": ids.CALCIUM_HARDNESS, "borate": ids.BORATE,
}  # fmt: skip
_BALANCE = ("acid", "bicarbonate", "soda-ash")


class Planner:
    """Collects steps while the water moves from one to the next."""

    def __init__(self, given: Given) -> None:
        self.given, self.law = given, given.law
        self.state = PoolState(given.readings, given.volume, given.bundle)
        self.steps: list[DoseStep] = []
        self.rules: list[StepLaw | None] = []
        self.not_given: dict[str, NotGiven] = {}
        self.waters: list[Bundle] = [given.bundle] if given.bundle else []
        self.changed = False
        self.also: dict[str, DoseStep] = {}

    def plan(self) -> DosePlan:
        tiny = self.law.never("any")
        if tiny is not None:
            self.not_given["any"] = NotGiven("any", "refused", tiny.say.owner, limits=(tiny.id,))
            return self._done()
        self._balance_is_off = self._turn()
        change = self._exchange()
        for chemical in self._order():
            if chemical == "balance":
                self._balance(waits=bool(change and change.fraction >= self.law.habits.much_new_water))
            elif chemical == "chlorine":
                self._chlorine()
            elif (change and change.fraction >= self.law.habits.much_new_water) or self.changed:
                self._later(chemical, "after the change of water and a new test of everything")
            elif chemical == "calcium-chloride" and self._balance_is_off:
                self._later(chemical, "when pH and alkalinity are in range; before that it clouds the water")
            else:
                self._raise(chemical)
        if change:
            self._change_water(change)
        return self._done()

    def _done(self) -> DosePlan:
        return DosePlan(
            start=self.given.water,
            steps=tuple(self.steps),
            not_given=self.not_given,
            waters=tuple(self.waters),
            also=self.also,
        )

    def _order(self) -> list[str]:
        places: dict[str, int] = {}
        for chemical in ("chlorine", "cyanuric-acid", "calcium-chloride", "salt", "borate"):
            rule = self.law.step(chemical)
            places[chemical] = rule.order if rule else 99
        rule = self.law.step("acid")
        places["balance"] = rule.order if rule else 99
        return sorted(places, key=lambda chemical: (places[chemical], chemical))

    # What each kind needs

    def _exchange(self) -> WaterChange | None:
        rule = self.law.step(WATER_CHANGE)
        if rule is None or rule.share is None:
            return None
        left = list(EXCHANGED)
        change, not_by_it = change_for(left, self.state.levels, self.given.aims, self.given.fill, largest_share(rule))
        for reading, why in not_by_it.items():
            state = "retest" if "repeat" in why else "refused"
            self.not_given[f"{WATER_CHANGE}-{reading}"] = NotGiven(WATER_CHANGE, state, why)
        if change is None:
            return None
        if rule is not None and rule.most_steps is not None and change.rounds > rule.most_steps[0]:
            self.not_given[WATER_CHANGE] = too_much_water(change, rule, self.given)
            return None
        return change

    def _turn(self) -> bool:
        aims = self._balance_aims()
        if aims is None or self.state.bundle is None:
            return self.given.water is None and aims is not None and self.given.no_water is None
        ph, alkalinity = (self.given.readings[key] for key in (ids.PH, ids.TOTAL_ALKALINITY))
        inside = [_inside(ph, aims.ph), _inside(alkalinity, aims.alkalinity)]
        return not all(inside)

    def _balance_aims(self) -> BalanceAims | None:
        wished = [self.given.aims.get(reading) for reading in (ids.PH, ids.TOTAL_ALKALINITY)]
        if any(aim is None or aim.low is None or aim.high is None for aim in wished):
            return None
        ph, alkalinity = (aim for aim in wished if aim is not None)
        index = self.given.aims.get(ids.SATURATION_INDEX)
        return BalanceAims(ph, alkalinity, index, self.law.habits.sour_below_ph)

    def _balance(self, waits: bool) -> None:
        aims = self._balance_aims()
        if aims is None:
            for chemical in _BALANCE:
                reason = "the chosen targets give no range for pH or alkalinity"
                self.not_given[chemical] = NotGiven(chemical, "refused", reason)
            return
        if self.given.bundle is None:
            for chemical in _BALANCE:
                told = self.given.no_water
                self.not_given[chemical] = replace(told, purpose=chemical) if told else NotGiven(chemical, "fine", "")
            return
        if waits:
            for chemical in _BALANCE:
                self._later(chemical, "after the change of water and a new test of everything")
            return
        turn = next_turn(self.state, aims, self._take_product)
        for chemical in _BALANCE:
            if turn is None or chemical != turn.chemical:
                self.not_given[chemical] = self._not_its_turn(chemical, turn)
        if turn is not None:
            self._take(turn, aims)

    def _not_its_turn(self, chemical: str, turn: Turn | None) -> NotGiven:
        if turn is None:
            return NotGiven(chemical, "fine", "pH and alkalinity are in range")
        names = {"acid": "acid", "bicarbonate": "bicarbonate", "soda-ash": "soda ash", AIR: "air alone"}
        return NotGiven(chemical, "later", f"not now: first {names[turn.chemical]}, then a test; that decides")

    def _take_product(self, chemical: str) -> tuple[Product, Keeps]:
        product, _ = self.given.product(chemical)
        rule = self.law.step(chemical, product)
        return product, rule.keeps if rule else {}

    def _take(self, turn: Turn, aims: BalanceAims) -> None:
        if turn.retest:
            self.not_given[turn.chemical] = NotGiven(turn.chemical, "retest", turn.retest)
        elif turn.refused:
            self._other_water(NotGiven(turn.chemical, "refused", turn.refused), aims)
        elif turn.aerate is not None:
            until, rule = turn.aerate.until_ph, self.law.step(AIR) or self.law.step("any")
            air = turn.aerate.air_ph
            self._add(
                DoseStep(
                    purpose=AIR,
                    reading=ids.PH,
                    until_ph=until,
                    test=(ids.PH, ids.TOTAL_ALKALINITY),
                    wait_h=self.law.habits.air_hours,
                    why=turn.aerate.why,
                    gas=f"carbon dioxide leaves; air alone would bring the pH to {air:.1f}; how long it takes depends"
                    " on the pool, so test every few hours",
                ),
                rule,
                self.state.aerated(until),
            )
        else:
            assert turn.whole is not None
            refused = self._give(turn.chemical, turn.whole)
            step = self.steps[-1] if refused is None else None
            if step is not None and turn.also is not None:
                self.also[turn.also.reading] = as_part_of(step, turn.also, self.given.volume.value)
            if refused is not None and refused.state == "refused" and refused.limits:
                self._other_water(refused, aims)

    def _other_water(self, refused: NotGiven, aims: BalanceAims) -> None:
        rule = self.law.step(WATER_CHANGE)
        if rule is None:
            return
        told, change = way_out(refused, rule, aims, (self.given, self.state, self._take_product))
        self.not_given[refused.purpose] = told
        if change is not None:
            self.changed = True
            self._change_water(change)

    def _chlorine(self) -> None:
        turn = chlorine_turn(self.given, self.state, self.changed)
        self.not_given.update(turn.not_given)
        if turn.whole is not None:
            self._give("chlorine", turn.whole)
        elif turn.aim is not None:
            self._raise_to("chlorine", ids.FREE_CHLORINE, turn.aim, turn.purpose)

    def _raise(self, chemical: str) -> None:
        reading = SERVED[chemical]
        if chemical == "borate" and chemical not in self.given.asked:
            return
        aim = self.given.aims.get(reading)
        if aim is not None and chemical == "borate" and aim.low is None:
            aim = Aim(aim.high, aim.high)
        if aim is None or aim.low is None:
            reason = f"the chosen targets say nothing about {reading.replace('-', ' ')}"
            self.not_given[chemical] = NotGiven(chemical, "refused", reason)
            return
        aim = self.law.aim(reading, Aim(aim.low, aim.high if aim.high is not None else aim.low), chemical)
        forbidden = self.law.never(chemical)
        if forbidden is not None:
            if reading not in self.state.levels or self.state.levels[reading].value < (aim.low or 0.0):
                self.not_given[chemical] = NotGiven(chemical, "refused", forbidden.say.owner, limits=(forbidden.id,))
            return
        if reading not in self.state.levels:
            self.not_given[chemical] = NotGiven(chemical, "missing", "a reading is missing", (reading,))
            return
        self._raise_to(chemical, reading, self._into_goal(reading, aim), "")

    def _into_goal(self, reading: str, aim: Aim) -> Aim:
        """The range to raise a reading into; the index widens when it is called for, never how far."""
        goal, now = self.law.goal(reading), self.state.levels[reading]
        if goal is None or goal.low is None or goal.high is None or aim.low is None or aim.high is None:
            return aim
        low, high = (min(aim.high, max(aim.low, end)) for end in (goal.low, goal.high))
        index, bundle = self.given.aims.get(ids.SATURATION_INDEX), self.state.bundle
        hungry = (
            bundle is not None and index is not None and index.low is not None
            and bundle.middle.readings()["saturation_index"] < index.low
        )  # fmt: skip
        wanted = now.value < aim.low or (hungry and now.value < low)
        return Aim(low, high) if wanted else aim

    def _raise_to(self, chemical: str, reading: str, aim: Aim, purpose: str) -> None:
        product, _ = self.given.product(chemical)
        rule = self.law.step(chemical, product, purpose)
        whole = raised(reading, aim, product, self.state, rule=rule, purpose=purpose)
        if whole is None:
            self.not_given[chemical] = NotGiven(chemical, "fine", _in_range(reading, aim))
            return
        self._give(chemical, whole)

    # Steps

    def _give(self, chemical: str, whole: Whole) -> NotGiven | None:
        product, assumed = self.given.product(chemical)
        found = cut_to_law(chemical, product, whole, self.state, self.law)
        if isinstance(found, NotGiven):
            self.not_given[chemical] = found
            return found
        step, rule = found
        moved = self.state.added(product, step.mmol_per_l)
        effects = side_effects(product, step.mmol_per_l)
        changes = {name: getattr(effects, name) for name in _EFFECTS}
        gas = ""
        lines = list(effect_words(changes, (whole.reading.replace("-", "_"),)))
        if moved.bundle is not None and chemical in _BALANCE:
            after = as_water(moved.bundle.middle)
            gas = (
                f"pH about {after.ph:.1f} when it is mixed in, with no gas lost; air then moves it toward"
                f" {after.air_equilibrium_ph():.1f}"
            )
            lines.append(gas)
        self._add(replace(step, assumptions=assumed, side_effects=tuple(lines), gas=gas), rule, moved)
        return None

    def _change_water(self, change: WaterChange) -> None:
        rule = self.law.step(WATER_CHANGE)
        assert rule is not None
        self._add(water_step(change, rule, self.given), rule, self.state.exchanged(change.each, self.given.fill))

    def _later(self, chemical: str, why: str) -> None:
        reading = SERVED.get(chemical)
        aim = self.given.aims.get(reading or "")
        if reading is not None:
            level = self.state.levels.get(reading)
            if level is None or aim is None or aim.low is None or level.value >= aim.low:
                if level is not None and aim is not None and aim.low is not None:
                    self.not_given.setdefault(chemical, NotGiven(chemical, "fine", _in_range(reading, aim)))
                return
            forbidden = self.law.never(chemical)
            if forbidden is not None:
                self.not_given[chemical] = NotGiven(chemical, "refused", forbidden.say.owner, limits=(forbidden.id,))
                return
        self.not_given.setdefault(chemical, NotGiven(chemical, "later", f"not now: {why}"))

    def _add(self, step: DoseStep, rule: StepLaw | None, moved: PoolState) -> None:
        starts = 0.0
        for before, its in zip(self.steps, self.rules, strict=True):
            apart = max(
                its.apart.get(step.purpose, 0.0) if its else 0.0, rule.apart.get(before.purpose, 0.0) if rule else 0.0
            )
            starts = max(starts, before.starts_h + max(before.wait_h if step.purpose != before.purpose else 0.0, apart))
        self.state = moved
        after = as_water(moved.bundle.middle) if moved.bundle is not None else None
        self.steps.append(replace(step, starts_h=starts, after=after))
        self.rules.append(rule)
        self.not_given.pop(step.purpose, None)
        if moved.bundle is not None:
            self.waters.append(moved.bundle)


_EFFECTS = ("total_alkalinity", "calcium_hardness", "cyanuric_acid", "borate", "salt", "free_chlorine")


def _inside(level: MeasuredReading, aim: Aim) -> bool:
    return (aim.low is None or level.value >= aim.low) and (aim.high is None or level.value <= aim.high)


def _in_range(reading: str, aim: Aim) -> str:
    return f"{reading.replace('-', ' ')} is at or above {aim.low:g} mg/L"
