"""How far a water may be aerated before its saturation index passes the upper limit."""

from saltriage.pool.water.plan_state import Bundle, Corner
from saltriage.pool.water.targets import Targets

INDEX_MARGIN = 0.02  # kept from the limit: what the corners leave out
PH_TOLERANCE = 1e-3
MOST_STEPS = 10


def highest_ph(corner: Corner, most_index: float, wish: float) -> float:
    """The highest pH read, not above the wish, to which aeration keeps the index of a corner at or below the most."""

    def over(ph: float) -> float:
        return corner.at_ph(ph).readings()["saturation_index"] - most_index

    ph = wish
    # the index follows pH about one to one, which makes these steps settle
    for _ in range(MOST_STEPS):
        excess = over(ph)
        if excess <= 0.0:
            break
        ph -= excess + PH_TOLERANCE
    return ph


def aeration_limit(bundle: Bundle, targets: Targets, wish: float) -> float:
    """The highest pH read, not above the wish, to which this water may be aerated.

    No corner whose index is inside its range may leave it on the upper side.
    """
    wished = targets.saturation_index
    if wished is None:
        return wish
    margin = min(INDEX_MARGIN, 0.25 * (wished.high - wished.low))
    for corner in bundle.smallest_pool:  # the volume makes no difference here
        readings = corner.readings()
        index = readings["saturation_index"]
        most = max(index, wished.high - margin)
        # at constant alkalinity carbonate rises tenfold for one pH at most: the index by 1
        if index <= wished.high and index + wish + corner.ph_error - readings["ph"] > most:
            wish = highest_ph(corner, most, wish)
    return wish
