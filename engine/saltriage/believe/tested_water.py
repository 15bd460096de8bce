"""From readings to a water: which reading is which argument of `Water`, and what stands in for what was not tested."""

from collections.abc import Mapping
from types import MappingProxyType

from saltriage.knowledge import ids
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge

__all__ = ["ARGUMENTS", "FILL_ARGUMENTS", "taken_as", "water_arguments"]

ARGUMENTS: Mapping[str, str] = MappingProxyType(
    {
        ids.PH: "ph",
        ids.TOTAL_ALKALINITY: "total_alkalinity",
        ids.CALCIUM_HARDNESS: "calcium_hardness",
        ids.CYANURIC_ACID: "cyanuric_acid",
        ids.BORATE: "borate",
        ids.SALT: "salt",
        ids.WATER_TEMPERATURE: "temperature",
        ids.FREE_CHLORINE: "free_chlorine",
    }
)
"""Reading -> argument of Water."""
FILL_ARGUMENTS: Mapping[str, str] = MappingProxyType(
    {ids.FILL_CALCIUM_HARDNESS: "calcium_hardness", ids.FILL_SALT: "salt"}
)
"""Reading of the fill water -> argument of Water."""


def water_arguments(numbers: Mapping[str, float]) -> dict[str, float]:
    """Numbers by reading -> by argument of Water; other readings are left out."""
    return {argument: numbers[reading] for reading, argument in ARGUMENTS.items() if reading in numbers}


@of_knowledge
def taken_as(knowledge: Knowledge) -> Mapping[str, float]:
    """Reading -> what stands in for it where it was not tested, in its unit; only those whose rule says so."""
    return {rule.id: rule.taken_as for rule in knowledge.readings.values() if rule.taken_as is not None}
