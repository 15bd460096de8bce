"""A small set of rules to check cases against, so that these tests do not move with the shipped rules."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import pytest

from saltriage.knowledge.model import Allowed, Method


@dataclass(frozen=True, slots=True)
class ReadingRule:
    id: str
    quantity: str
    unit: str
    allowed: Allowed
    role: str = "measured"
    methods: Mapping[str, Method] = field(default_factory=dict)

    @property
    def is_tellable(self) -> bool:
        return self.role != "computed"


@dataclass(frozen=True, slots=True)
class SymptomRule:
    id: str
    kind: str = "seen"


@dataclass(frozen=True, slots=True)
class Number:
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Profile:
    settings: Mapping[str, Number]


@dataclass(frozen=True, slots=True)
class Rules:
    symptoms: Mapping[str, SymptomRule]
    readings: Mapping[str, ReadingRule]
    equipment: Mapping[str, Profile]
    targets: Mapping[str, object]
    retired: Mapping[str, object]


def believed(low: float, high: float, because: str = "Nothing outside can be a pool.") -> Allowed:
    return Allowed(low, high, because)


_STRIP = "Test strip"
_KIT = {
    "drop-test": Method("drop-test", "Drop-count kit", absolute=0.2),
    "test-strip": Method("test-strip", _STRIP, 0.1, 0.5),
}
_SALT_KIT = {
    "drop-test": Method("drop-test", "Drop-count kit", absolute=200.0),
    "test-strip": Method("test-strip", _STRIP, 0.1, 300.0),
}
_READINGS = (
    ReadingRule(
        "salt", "concentration", "mg/L", believed(0, 50000, "Sea water has about 35000 mg/L."), methods=_SALT_KIT
    ),
    ReadingRule("salt-shown", "concentration", "mg/L", believed(0, 50000), "shown"),
    ReadingRule("free-chlorine", "concentration", "mg/L", believed(0, 50), methods=_KIT),
    ReadingRule("total-chlorine", "concentration", "mg/L", believed(0, 50), methods=_KIT),
    ReadingRule("ph", "ph", "pH", believed(0, 14, "The scale of pool tests ends there."), methods=_KIT),
    ReadingRule(
        "water-temperature",
        "temperature",
        "degC",
        believed(-1, 60),
        methods={"thermometer": Method("thermometer", "Thermometer", absolute=0.5)},
    ),
    ReadingRule("filter-pressure", "pressure", "kPa", believed(-50, 600)),
    ReadingRule("cell-current", "current", "A", believed(0, 100), "shown"),
    ReadingRule("saturation-index", "none", "", believed(-9, 9), "computed"),
    ReadingRule("pool-volume", "volume", "L", believed(0, 5e6), "setting"),
    ReadingRule("salt-band-low", "concentration", "mg/L", believed(0, 50000), "setting"),
    ReadingRule("salt-band-high", "concentration", "mg/L", believed(0, 50000), "setting"),
    ReadingRule("rated-output", "rate-mass-per-time", "g/h", believed(0, 500), "setting"),
    ReadingRule("cell-age", "duration", "years", believed(0, 40), "setting"),
    ReadingRule("rated-voltage", "voltage", "V", believed(0, 500), "setting"),
    ReadingRule("hours-per-day", "duration", "h", believed(0, 24), "setting"),
    ReadingRule("output-setting", "percent", "%", believed(0, 100), "setting"),
    ReadingRule("cold-limit", "temperature", "degC", believed(-1, 40), "setting"),
    ReadingRule("clean-filter-pressure", "pressure", "kPa", believed(0, 600), "setting"),
)
_SYMPTOMS = (
    SymptomRule("low-salt-warning", "indicated"),
    SymptomRule("return-jets-weak"),
    SymptomRule("bubbles"),
    SymptomRule("salt-below-band", "derived"),
)
RULES = Rules(
    symptoms=MappingProxyType({each.id: each for each in _SYMPTOMS}),
    readings=MappingProxyType({each.id: each for each in _READINGS}),
    equipment=MappingProxyType(
        {
            "common-band": Profile(
                {
                    "salt-band-low": Number(2700.0, "mg/L"),
                    "salt-band-high": Number(3400.0, "mg/L"),
                    "cold-limit": Number(15.0, "degC"),
                }
            )
        }
    ),
    targets=MappingProxyType({"outdoor-plaster": object()}),
    retired=MappingProxyType({}),
)


@pytest.fixture(scope="session")
def rules() -> Rules:
    return RULES
