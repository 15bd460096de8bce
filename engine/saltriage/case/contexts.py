"""The facts of pool and equipment that rules may ask for, and the chemicals that may be at hand. Data only."""

from collections.abc import Mapping

from saltriage.knowledge import ids
from saltriage.knowledge.ids import CHEMICALS

__all__ = ["CHEMICALS", "EQUIPMENT_CONTEXTS", "EQUIPMENT_NUMBERS", "POOL_CONTEXTS"]

POOL_CONTEXTS: Mapping[str, tuple[str, ...]] = {
    "surface": ("vinyl", "plaster", "fibreglass", "tile", "painted"),
    "setting": ("outdoor", "indoor"),
    "cover": ("none", "sometimes", "mostly"),
    "kind": ("above-ground", "in-ground"),
    "use": ("private-pool", "public-pool"),
    "heater": ("none", "gas", "heat-pump", "solar", "electric"),
    "source-water": ("mains", "well", "rain-tank"),
}
EQUIPMENT_CONTEXTS: Mapping[str, tuple[str, ...]] = {
    "pump": ("single-speed", "two-speed", "variable-speed"),
    "filter": ("sand", "cartridge", "diatomite"),
    "flow-sensor": ("paddle", "pressure", "gas-trap", "none"),
    "polarity": ("self-reversing", "fixed"),
    "controller": ("none", "external"),
    "acid-feed": ("none", "acid", "carbon-dioxide"),
    "chlorinator-place": ("in-line", "bypass"),
}
# Settings with a field of their own under equipment; any other setting stands among the readings.
EQUIPMENT_NUMBERS: tuple[str, ...] = (
    ids.RATED_OUTPUT, ids.CELL_AGE, ids.HOURS_PER_DAY, ids.OUTPUT_SETTING, ids.COLD_LIMIT, ids.CLEAN_FILTER_PRESSURE,
)  # fmt: skip
