"""The way out where a chemical is none: so much other water that the rest is a matter of a few steps."""

from dataclasses import replace

from saltriage.dosing.balance import BalanceAims, Take, next_turn
from saltriage.dosing.exchange import WaterChange, change_until
from saltriage.dosing.given import Given
from saltriage.dosing.law import StepLaw
from saltriage.dosing.measured import MeasuredReading
from saltriage.dosing.model import NotGiven
from saltriage.dosing.pool_state import PoolState
from saltriage.dosing.steps import cut_to_law
from saltriage.dosing.water_step import largest_share
from saltriage.knowledge import ids
from saltriage.pool.water import as_water

__all__ = ["way_out"]


def way_out(
    refused: NotGiven, rule: StepLaw, aims: BalanceAims, pool: tuple[Given, PoolState, Take]
) -> tuple[NotGiven, WaterChange | None]:
    """Why the chemical is not given with what to do instead, and the change of water; None where even that is none.

    Each number of rounds is replayed in the equilibrium: the first after which the chemical is no longer refused.

    Args: rule: of changes of water.
    """
    given, state, take = pool
    chemical = refused.purpose
    product, _ = given.product(chemical)

    def fits(fraction: float) -> bool:
        mixed = state.exchanged(fraction, given.fill)
        assert mixed.bundle is not None
        levels = {**mixed.levels, ids.PH: MeasuredReading.exact(as_water(mixed.bundle.middle).ph)}
        turn = next_turn(replace(mixed, levels=levels), aims, take)
        if turn is None or turn.whole is None or turn.chemical != chemical:
            return turn is None or not turn.refused
        found = cut_to_law(chemical, product, turn.whole, mixed, given.law)
        return not isinstance(found, NotGiven) or found.state != "refused"

    most = int(rule.most_steps[0]) if rule.most_steps else 1
    change = change_until(fits, largest_share(rule), most, (ids.TOTAL_ALKALINITY,))
    if change is None:
        text = f"{refused.reason}; but even {most} rounds of other water would not be enough: ask a pool technician"
        return replace(refused, reason=text), None
    litres = change.litres_per_litre * given.volume.value
    text = (
        f"{refused.reason}: replace a third of the water, test, and again; in all about {change.rounds}"
        f" round{'s' if change.rounds > 1 else ''}, {litres / 1000:,.3g} m³, one a day"
    )
    return replace(refused, reason=text), change
