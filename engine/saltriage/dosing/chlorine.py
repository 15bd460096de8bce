"""What chlorine is wanted for: to hold a level against algae, to burn off what binds it, or to be in its range."""

from dataclasses import dataclass, field

from saltriage.believe.limit_aims import Aim
from saltriage.dosing.given import Given
from saltriage.dosing.linear import breakpoint_whole
from saltriage.dosing.model import NotGiven
from saltriage.dosing.pool_state import PoolState
from saltriage.dosing.steps import Whole
from saltriage.knowledge import ids

__all__ = ["BREAKPOINT", "HOLD", "TOP_UP", "ChlorineTurn", "chlorine_turn"]

BREAKPOINT, HOLD, TOP_UP = "breakpoint", "hold", "top-up"
_CHLORINE = "chlorine"


@dataclass(frozen=True, slots=True)
class ChlorineTurn:
    """A whole to give, or an aim to raise to, or neither; and what is not given, by purpose."""

    purpose: str
    whole: Whole | None = None
    aim: Aim | None = None
    not_given: dict[str, NotGiven] = field(default_factory=dict)


def chlorine_turn(given: Given, state: PoolState, changed: bool) -> ChlorineTurn:
    """What comes next of chlorine.

    Args: changed: other water went in before, so what it took is made up after the test.
    """
    wanted, told = given.law.purposes(), dict[str, NotGiven]()
    purpose = next((each for each in (HOLD, BREAKPOINT) if each in wanted), TOP_UP)
    forbidden = given.law.never(_CHLORINE, None, purpose)
    if forbidden is not None and purpose == HOLD:
        told[HOLD] = NotGiven(_CHLORINE, "refused", forbidden.say.owner, limits=(forbidden.id,))
        purpose = TOP_UP
    if purpose == BREAKPOINT:
        product, _ = given.product(_CHLORINE)
        whole = breakpoint_whole(product, state, dict(given.readings))
        if whole is not None:
            return ChlorineTurn(purpose, whole, not_given=told)
        purpose = TOP_UP
    reading = ids.FREE_CHLORINE
    if reading not in state.levels:
        return ChlorineTurn(
            purpose, not_given=told | {_CHLORINE: NotGiven(_CHLORINE, "missing", "a reading is missing", (reading,))}
        )
    wished = given.aims.get(reading)
    if wished is None or wished.low is None:
        reason = "the chosen targets say nothing about free chlorine"
        return ChlorineTurn(purpose, not_given=told | {_CHLORINE: NotGiven(_CHLORINE, "refused", reason)})
    high = wished.high if wished.high is not None else 2.0 * wished.low
    if purpose == TOP_UP:
        made_up_later = changed and given.readings[reading].value >= wished.low
        aim = None if made_up_later else Aim(wished.low, max(high, wished.low))
        return ChlorineTurn(purpose, aim=aim, not_given=told)
    held = given.law.aim(reading, Aim(wished.low, high), purpose)
    assert held.low is not None
    return ChlorineTurn(purpose, aim=Aim(held.low, max(held.low, held.high or 0.0)), not_given=told)
