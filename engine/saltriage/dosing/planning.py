"""The planner: what goes into the water now, in which order, each followed by its wait and its test.

Of each kind of reading only the first step is given, since the next is known only from the test after it. Kinds that do
not wait for each other (chlorine, balance, stabiliser, salt) follow one another with their waits; each is worked out in
the water that the ones before it leave, in a closed system, at every corner of the readings and of the volume.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from saltriage.believe.situation import Aim
from saltriage.dosing.balance import BalanceAims, Keeps, Turn, next_turn
from saltriage.dosing.exchange import EXCHANGED, WaterChange, change_for, change_until
from saltriage.dosing.law import DoseLaw, StepLaw
from saltriage.dosing.linear import breakpoint_whole, raised
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.model import AIR, WATER_CHANGE, DosePlan, DoseStep, NotGiven
from saltriage.dosing.pool_state import PoolState
from saltriage.dosing.steps import Whole, cut_to_law, effect_words, parts_of
from saltriage.errors import Contradiction
from saltriage.knowledge import ids
from saltriage.pool.water import Bundle, Product, Water, as_water, side_effects

__all__ = ["Planner"]

BREAKPOINT, HOLD, TOP_UP = "breakpoint", "hold", "top-up"
_SERVED = {
    "salt": ids.SALT, "chlorine": ids.FREE_CHLORINE, "cyanuric-acid": ids.CYANURIC_ACID,
    "calcium-chloride": ids.CALCIUM_HARDNESS, "borate": ids.BORATE,
}  # fmt: skip
SMALL_CHANGE = 0.2  # less other water than this takes little of what was added before: own judgement
_BALANCE = ("acid", "bicarbonate", "soda-ash")


@dataclass(frozen=True, slots=True)
class Given:
    """What a plan is made from.

    Args:
        readings: believed, as doses see them.    aims: ranges of the chosen targets.    water: None without pH or
        alkalinity, or where they contradict each other; then `no_water` says why.    bundle: the same at its corners.
        product: chemical -> product to dose with.    fill: the fill water.    leave: readings that something else moves.
        asked: chemicals that only an action asks for.    rounds: largest share of water and most rounds.
    """

    readings: Mapping[str, MeasuredReading]
    aims: Mapping[str, Aim]
    water: Water | None
    no_water: NotGiven | None
    bundle: Bundle | None
    volume: MeasuredReading
    product: Callable[[str], tuple[Product, tuple[str, ...]]]
    fill: Water
    law: DoseLaw
    leave: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()


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
                self._balance(waits=bool(change and change.fraction >= SMALL_CHANGE))
            elif chemical == "chlorine":
                self._chlorine()
            elif (change and change.fraction >= SMALL_CHANGE) or self.changed:
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
        left = [reading for reading in EXCHANGED if reading not in self.given.leave]
        change, not_by_it = change_for(left, self.state.levels, self.given.aims, self.given.fill, _largest(rule))
        for reading, why in not_by_it.items():
            state = "retest" if "repeat" in why else "refused"
            self.not_given[f"{WATER_CHANGE}-{reading}"] = NotGiven(WATER_CHANGE, state, why)
        if change is None:
            return None
        if rule is not None and rule.most_steps is not None and change.rounds > rule.most_steps[0]:
            self.not_given[WATER_CHANGE] = self._too_much_water(change, rule)
            return None
        return change

    def _too_much_water(self, change: WaterChange, rule: StepLaw) -> NotGiven:
        assert rule.most_steps is not None
        litres = change.litres_per_litre * self.given.volume.value
        text = (
            f"{100 * change.fraction:.0f} % of the water would have to be other water: about {change.rounds} rounds of a"
            f" third, {litres / 1000:,.0f} m³ in all. That is a new filling, not a correction: ask a pool technician,"
            " and first make sure that the reading is right"
        )
        return NotGiven(WATER_CHANGE, "refused", text, limits=(rule.most_steps[1],))

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
        return BalanceAims(ph, alkalinity, self.given.aims.get(ids.SATURATION_INDEX))

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
            gas = f"carbon dioxide leaves; air alone would bring the pH to {turn.aerate.air_ph:.1f}. How long depends on"
            self._add(
                DoseStep(
                    purpose=AIR,
                    reading=ids.PH,
                    until_ph=until,
                    test=(ids.PH, ids.TOTAL_ALKALINITY),
                    wait_h=24.0,
                    why=turn.aerate.why,
                    gas=f"{gas} the pool: test every few hours",
                ),
                rule,
                self.state.aerated(until),
            )
        else:
            assert turn.whole is not None
            refused = self._give(turn.chemical, turn.whole)
            step = self.steps[-1] if refused is None else None
            if step is not None and turn.also is not None:
                self.also[turn.also.reading] = self._whole_for(step, turn.also)
            if refused is not None and refused.state == "refused" and refused.limits:
                self._other_water(refused, aims)

    def _whole_for(self, step: DoseStep, whole: Whole) -> DoseStep:
        """The same step as the first part of another whole."""
        assert step.product is not None
        product, litres = step.product, self.given.volume.value
        low, middle, high = (product.amount(each, litres) for each in (whole.low, whole.middle, whole.high))
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

    def _other_water(self, refused: NotGiven, aims: BalanceAims) -> None:
        """The way out where a chemical is none: as much other water as makes the rest a matter of a few steps."""
        rule = self.law.step(WATER_CHANGE)
        chemical = refused.purpose
        if rule is None:
            return
        product, _ = self.given.product(chemical)

        def fits(fraction: float) -> bool:
            state = self.state.exchanged(fraction, self.given.fill)
            assert state.bundle is not None
            now = as_water(state.bundle.middle)
            moved = {**state.levels, ids.PH: MeasuredReading.exact(now.ph)}
            turn = next_turn(replace(state, levels=moved), aims, self._take_product)
            if turn is None or turn.whole is None or turn.chemical != chemical:
                return turn is None or not turn.refused
            return not isinstance(found := cut_to_law(chemical, product, turn.whole, state, self.law), NotGiven) or (
                found.state != "refused"
            )

        most = int(rule.most_steps[0]) if rule.most_steps else 1
        change = change_until(fits, _largest(rule), most, (ids.TOTAL_ALKALINITY,))
        if change is None:
            text = f"{refused.reason}; but even {most} rounds of other water would not be enough: ask a pool technician"
            self.not_given[chemical] = replace(refused, reason=text)
            return
        litres = change.litres_per_litre * self.given.volume.value
        text = (
            f"{refused.reason}: replace a third of the water, test, and again; in all about {change.rounds}"
            f" round{'s' if change.rounds > 1 else ''}, {litres / 1000:,.3g} m³, one a day"
        )
        self.not_given[chemical] = replace(refused, reason=text)
        self.changed = True
        self._change_water(change)

    def _chlorine(self) -> None:
        reading = ids.FREE_CHLORINE
        wanted = self.law.purposes()
        levels, aims = self.state.levels, self.given.aims
        product, _ = self.given.product("chlorine")
        purpose = next((each for each in (HOLD, BREAKPOINT) if each in wanted), TOP_UP)
        forbidden = self.law.never("chlorine", None, purpose)
        if forbidden is not None and purpose == HOLD:
            self.not_given[HOLD] = NotGiven("chlorine", "refused", forbidden.say.owner, limits=(forbidden.id,))
            purpose = TOP_UP
        if purpose == BREAKPOINT:
            whole = breakpoint_whole(product, self.state, dict(self.given.readings))
            if whole is not None:
                self._give("chlorine", whole)
                return
            purpose = TOP_UP
        if reading not in levels:
            self.not_given["chlorine"] = NotGiven("chlorine", "missing", "a reading is missing", (reading,))
            return
        aim = self._chlorine_aim(aims.get(reading), purpose)
        if aim is None:
            return
        if self.changed and purpose == TOP_UP and self.given.readings[reading].value >= (aim.low or 0.0):
            return  # what a change of water takes is made up after the test
        self._raise_to("chlorine", reading, aim, purpose)

    def _chlorine_aim(self, wished: Aim | None, purpose: str) -> Aim | None:
        if wished is None or wished.low is None:
            reason = "the chosen targets say nothing about free chlorine"
            self.not_given["chlorine"] = NotGiven("chlorine", "refused", reason)
            return None
        high = wished.high if wished.high is not None else 2.0 * wished.low
        if purpose == TOP_UP:
            return Aim(wished.low, max(high, wished.low))
        held = self.law.aim(ids.FREE_CHLORINE, Aim(wished.low, high), purpose)
        return Aim(held.low, held.high if held.high is not None and held.low is not None and held.high > held.low else held.low)

    def _raise(self, chemical: str) -> None:
        reading = _SERVED[chemical]
        if reading in self.given.leave:
            return
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
        rule, volume = self.law.step(WATER_CHANGE), self.given.volume
        assert rule is not None
        total = change.litres_per_litre
        names = " and ".join(reading.replace("-", " ") for reading in change.serves)
        now = change.each * volume.low
        level = self.given.readings.get(change.serves[0])
        low, high = total * volume.low, total * volume.high
        if level is not None and len(change.serves) == 1 and change.rounds == 1 and change.serves[0] in EXCHANGED:
            low, high = self._ends_of_change(change.serves[0], level)
        middle = total * volume.value
        self._add(
            DoseStep(
                purpose=WATER_CHANGE,
                reading=change.serves[0],
                unit="L",
                now=min(now, middle),
                low=min(low, middle),
                middle=middle,
                high=max(high, middle),
                parts=tuple([min(now, middle), *([middle - min(now, middle)] if middle > now else [])]),
                fraction=change.each,
                wait_h=rule.wait_h,
                test=tuple(dict.fromkeys((*change.serves, *rule.test))),
                hands=rule.hands,
                limits=rule.limits if change.rounds > 1 else (),
                how=rule.how,
                safety=rule.safety,
                why=f"only other water brings {names} down",
                arithmetic=self._change_arithmetic(change),
                side_effects=("salt, cyanuric acid, calcium and alkalinity all move towards the fill water",),
            ),
            rule,
            self.state.exchanged(change.each, self.given.fill),
        )

    def _ends_of_change(self, reading: str, level: MeasuredReading) -> tuple[float, float]:
        ends = []
        for value, litres in ((level.low, self.given.volume.low), (level.high, self.given.volume.high)):
            exact = {reading: MeasuredReading.exact(value)}
            change, _ = change_for([reading], exact, self.given.aims, self.given.fill, _largest(self.law.step(WATER_CHANGE)))
            ends.append(change.litres_per_litre * litres if change else 0.0)
        return ends[0], ends[1]

    def _change_arithmetic(self, change: WaterChange) -> tuple[str, ...]:
        whole, volume = f"{100 * change.fraction:.0f} % other water", self.given.volume.value
        if change.rounds == 1:
            return (f"{whole} × {volume:,.0f} L = {change.fraction * volume:,.0f} L",)
        return (
            f"{whole} takes {change.rounds} rounds of {100 * change.each:.0f} %, each filled up and mixed before the"
            f" next: 1 - {1 - change.each:.2f}^{change.rounds} = {100 * (1 - (1 - change.each) ** change.rounds):.0f} %",
            f"{change.rounds} × {100 * change.each:.0f} % × {volume:,.0f} L = {change.litres_per_litre * volume:,.0f} L",
        )

    def _later(self, chemical: str, why: str) -> None:
        reading = _SERVED.get(chemical)
        aim = self.given.aims.get(reading or "")
        if reading is not None:
            level = self.state.levels.get(reading)
            if reading in self.given.leave or level is None or aim is None or aim.low is None or level.value >= aim.low:
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


def _largest(rule: StepLaw | None) -> float:
    """Largest share of the water that may be drained at once."""
    if rule is None or rule.share is None:
        raise Contradiction("no limit says how much water may be drained at once")
    return rule.share[0]


def _inside(level: MeasuredReading, aim: Aim) -> bool:
    return (aim.low is None or level.value >= aim.low) and (aim.high is None or level.value <= aim.high)


def _in_range(reading: str, aim: Aim) -> str:
    return f"{reading.replace('-', ' ')} is at or above {aim.low:g} mg/L"
