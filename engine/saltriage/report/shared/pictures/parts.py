"""Which part of the plant a cause sits in: by the cause, else by its area. Data."""

from collections.abc import Mapping

__all__ = ["AREA_PARTS", "CAUSE_PARTS", "PART_NAMES", "part_of"]

PART_NAMES: Mapping[str, str] = {
    "pool": "the water in the pool",
    "skimmer": "skimmer and its basket",
    "suction": "suction pipe",
    "pump": "pump",
    "pump-lid": "pump lid",
    "pressure": "pipe after the pump",
    "filter": "filter",
    "gauge": "filter gauge",
    "heater": "heater",
    "flow-sensor": "flow sensor",
    "cell": "cell",
    "plug": "plug and lead of the cell",
    "control-box": "control box",
    "supply": "power supply",
    "returns": "return nozzles",
}

# '' means that no single part can be shown.
AREA_PARTS: Mapping[str, str] = {
    "power": "supply",
    "control": "control-box",
    "wiring": "plug",
    "flow": "pump",
    "sensor": "flow-sensor",
    "salt": "pool",
    "temperature": "pool",
    "cell": "cell",
    "operation": "control-box",
    "demand": "pool",
    "test": "",
    "balance": "pool",
    "stain": "pool",
    "corrosion": "",
    "startup": "pool",
    "clarity": "pool",
    "season": "",
    "chemical": "",
    "electrical": "supply",
}

CAUSE_PARTS: Mapping[str, str] = {
    "air-not-bled": "filter",
    "baskets-full": "skimmer",
    "cell-clogged": "cell",
    "equipment-order-wrong": "cell",
    "filter-broken-inside": "filter",
    "filter-clogged": "filter",
    "filter-media-old": "filter",
    "filter-over-pressure": "filter",
    "gas-pocket": "cell",
    "gauge-failed": "gauge",
    "hose-kinked": "pressure",
    "hoses-swapped": "pressure",
    "pool-or-pipe-leak": "pool",
    "poor-circulation": "returns",
    "pump-lid-leaks-air": "pump-lid",
    "returns-shut": "returns",
    "skimmer-flap-jammed": "skimmer",
    "start-up-delay": "control-box",
    "suction-air-leak": "suction",
    "valve-gasket-leaks": "filter",
    "valve-in-wrong-place": "pressure",
    "water-level-too-low": "skimmer",
    "salt-sensor-drift": "cell",
    "salt-sensor-fouled": "cell",
    "temperature-probe-fault": "cell",
    "cell-in-wrong-place": "cell",
    "heater-corroding": "heater",
    "nothing-wrong": "",
    "gas-mist-normal": "returns",
    "too-little-filtration": "filter",
    "box-wired-constant": "control-box",
    "slime-in-pipes": "pressure",
    "frost-damage": "",
    "winter-plug-left": "returns",
}


def part_of(cause: str, area: str) -> str:
    """Key of PART_NAMES, or '' where no single part can be shown."""
    return CAUSE_PARTS.get(cause, AREA_PARTS.get(area, ""))
