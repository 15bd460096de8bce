"""Fields of the owner's forms: what is offered for each reading, and what was typed turned into entries of a case."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.case.contexts import EQUIPMENT_CONTEXTS, POOL_CONTEXTS
from saltriage.errors import QuantityRefused, Refusal
from saltriage.knowledge.model import Knowledge, ReadingRule
from saltriage.knowledge.retired import asked_kind
from saltriage.pool.one_sided import SIGNS, one_sided, side_named
from saltriage.pool.unit_display import unit_sign
from saltriage.pool.unit_table import UNITS
from saltriage.pool.units import System, convert, find_unit
from saltriage.web.walk import Walk, case_path, entry_at

__all__ = ["Choice", "NumberField", "choices_of", "fields_of", "number_field", "plain_number", "symbol_of", "taken"]

_FIRST_UNIT = {
    ("concentration", "us"): "ppm",
    ("concentration", "metric"): "mg/L",
    ("volume", "us"): "US gal",
    ("volume", "metric"): "m3",
    ("temperature", "us"): "degF",
    ("temperature", "metric"): "degC",
    ("pressure", "us"): "psi",
    ("pressure", "metric"): "kPa",
    ("length", "us"): "in",
    ("length", "metric"): "mm",
    ("rate-mass-per-time", "us"): "lb/day",
}
_WITHOUT_UNIT = ("ph", "none")
FACTS = frozenset({*POOL_CONTEXTS, *EQUIPMENT_CONTEXTS, "profile", "targets", "volume-uncertainty", "title"})


@dataclass(frozen=True, slots=True)
class NumberField:
    """One reading as a form shows it. Args: value, unit, method, problem: as typed so far; problem: why refused."""

    reading: ReadingRule
    units: tuple[str, ...]
    value: str
    unit: str
    method: str
    problem: str = ""

    @property
    def path(self) -> str:
        """Where a case file holds it, for the script of the support desk."""
        return ".".join(case_path(self.reading.id))

    @property
    def is_filled(self) -> bool:
        return bool(self.value)

    @property
    def range(self) -> str:
        """What can be right at all, in the unit of the field: 'can be 2 to 12'."""
        allowed, unit = self.reading.allowed, self.unit or self.reading.unit
        ends = [_converted(end, self.reading.unit, unit, self.reading.quantity) for end in (allowed.low, allowed.high)]
        if None in ends:
            return ""
        low, high = sorted(float(end) for end in ends if end is not None)
        return f"can be {_round(low)} to {_round(high)} {unit_sign(self.unit)}".strip()

    @property
    def doubtful(self) -> str:
        """How far off a number counts for which nobody says how it was measured; '' for any other."""
        number = plain_number(self.value, self.reading, self.unit)
        if self.method or not self.reading.methods or number is None:
            return ""
        value = _converted(number, self.unit or self.reading.unit, self.reading.unit, self.reading.quantity)
        error = self.reading.widest_error(value) if value is not None else 0.0
        unit = "" if self.reading.quantity in _WITHOUT_UNIT else f" {unit_sign(self.reading.unit)}"
        return f"Not said how it was measured: counts as up to {error:.3g}{unit} off." if error else ""


@dataclass(frozen=True, slots=True)
class Choice:
    """One fact of pool or equipment with its words."""

    id: str
    title: str
    words: tuple[tuple[str, str], ...]
    chosen: str

    @property
    def path(self) -> str:
        return ".".join(case_path(self.id))


def _units(reading: ReadingRule, system: System) -> tuple[str, ...]:
    if reading.quantity in _WITHOUT_UNIT:
        return ()
    every = [unit.symbol for unit in UNITS if unit.quantity == reading.quantity]
    first = reading.asked_in or _FIRST_UNIT.get((reading.quantity, system)) or reading.unit
    return tuple(sorted(dict.fromkeys(every), key=lambda symbol: (symbol != first, every.index(symbol))))


def number_field(
    reading: ReadingRule, walk: Walk, typed: Mapping[str, str], refusals: Sequence[Refusal] = ()
) -> NumberField:
    """The field of one reading: what was typed just now, else what the case holds."""
    units = _units(reading, walk.units)
    path = case_path(reading.id)
    dotted = ".".join(path)
    told = [each for each in refusals if each.field == dotted or each.field.startswith(dotted + ".")]
    problem = " ".join(f"Found {each.found}; expected {each.expected}. {each.mend}".strip() for each in told)
    key = f"r.{reading.id}"
    if f"{key}.value" in typed:
        value, unit = typed[f"{key}.value"], typed.get(f"{key}.unit", "")
        return NumberField(reading, units, value, unit or first_of(units), typed.get(f"{key}.method", ""), problem)
    value, unit, method = _shown(entry_at(walk.case, path), reading)
    return NumberField(reading, units, value, unit or first_of(units), method, problem)


def first_of(units: Sequence[str]) -> str:
    return units[0] if units else ""


def _shown(entry: Any, reading: ReadingRule) -> tuple[str, str, str]:
    """Value, unit and method of an entry of the case, as fields show them."""
    if isinstance(entry, Mapping):
        unit = symbol_of(str(entry.get("unit", "")), reading.quantity)
        sign = SIGNS[side_named(entry.get("bound"))]
        return f"{sign}{entry.get('value', '')}", unit, str(entry.get("method", ""))
    if isinstance(entry, str):
        side, amount = one_sided(entry)
        number, _, unit = amount.strip().partition(" ")
        return f"{SIGNS[side]}{number}", symbol_of(unit, reading.quantity), ""
    return ("" if entry is None else str(entry)), "", ""


def symbol_of(word: str, quantity: str) -> str:
    """The unit as it stands in the list of a field; a word that is no unit as it is."""
    try:
        return find_unit(word, quantity).symbol if word and quantity not in _WITHOUT_UNIT else ""
    except QuantityRefused:
        return word


def fields_of(
    knowledge: Knowledge, ids: Sequence[str], walk: Walk, typed: Mapping[str, str], refusals: Sequence[Refusal] = ()
) -> list[NumberField]:
    """The fields of these readings, those that the knowledge has."""
    return [number_field(knowledge.readings[each], walk, typed, refusals) for each in ids if each in knowledge.readings]


def more_readings(knowledge: Knowledge) -> list[str]:
    """Readings that stand under 'more': every test, display and setting that has no place on the first lists."""
    first = {*knowledge.forms.owner_first, *knowledge.forms.settings}
    return [each.id for each in knowledge.readings.values() if each.is_tellable and each.id not in first]


_TITLES = {
    "surface": "Surface of the pool", "setting": "Where it stands", "cover": "Cover on it", "kind": "Kind of pool",
    "use": "Whose pool", "region": "Where in the world", "heater": "Heater", "source-water": "Water it is filled with",
    "pump": "Pump", "filter": "Filter", "flow-sensor": "Flow sensor", "polarity": "Changing of polarity",
    "controller": "Outer control", "acid-feed": "Acid or carbon dioxide feed", "chlorinator-place": "Place of the cell",
    "profile": "Kind of unit", "targets": "Wished ranges",
}  # fmt: skip


def choices_of(knowledge: Knowledge, walk: Walk) -> list[Choice]:
    """Facts of pool and equipment with what can be chosen."""
    words: dict[str, tuple[tuple[str, str], ...]] = {
        key: tuple((word, word.replace("-", " ")) for word in each)
        for key, each in {**POOL_CONTEXTS, **EQUIPMENT_CONTEXTS}.items()
    }
    words["profile"] = tuple((each.id, each.title) for each in knowledge.equipment.values())
    words["targets"] = tuple((each.id, each.title) for each in knowledge.targets.values())
    return [
        Choice(key, _TITLES.get(key, key), each, str(entry_at(walk.case, case_path(key)) or ""))
        for key, each in words.items()
    ]


def taken(walk: Walk, knowledge: Knowledge, typed: Mapping[str, str]) -> Walk:
    """The walk with every field of a form that was sent; what is not a known field is left aside."""
    for key, value in typed.items():
        kind, _, rest = key.partition(".")
        if kind == "s" and asked_kind(rest, knowledge) == "symptom" and value in ("yes", "no", "unknown", ""):
            walk = walk.answered(rest, value)
        elif kind == "c" and rest in FACTS:
            walk = walk.with_entry(case_path(rest), value)
        elif kind == "r" and rest.endswith(".value") and rest.removesuffix(".value") in knowledge.readings:
            walk = _with_number(walk, knowledge.readings[rest.removesuffix(".value")], typed)
    return walk


def _with_number(walk: Walk, reading: ReadingRule, typed: Mapping[str, str]) -> Walk:
    """The walk with one typed number; a field that was left as it was changes nothing, not even what it cannot show."""
    key, path = f"r.{reading.id}", case_path(reading.id)
    before = _shown(entry_at(walk.case, path), reading)
    now = tuple(typed.get(f"{key}.{part}", "").strip() for part in ("value", "unit", "method"))
    if now[0] == before[0] and (not now[0] or now[1:] == before[1:]):
        return walk
    return walk.with_entry(path, _entry(reading, typed))


def _entry(reading: ReadingRule, typed: Mapping[str, str]) -> object:
    """What the case says of one reading: number, unit and method, or the text as typed where it is no number."""
    key = f"r.{reading.id}"
    value = typed.get(f"{key}.value", "").strip()[:60]
    unit = "" if reading.quantity in _WITHOUT_UNIT else typed.get(f"{key}.unit", "")[:30]
    method = typed.get(f"{key}.method", "")[:60]
    if not value:
        return None
    side, amount = one_sided(value)
    number = plain_number(amount, reading, unit)
    if number is None or case_path(reading.id)[0] != "readings":
        return f"{value if number is None else f'{SIGNS[side]}{number:.12g}'} {unit}".strip()
    if not method:
        return f"{SIGNS[side]}{number:.12g} {unit}".strip() if unit or side else number
    more = {key: each for key, each in (("unit", unit), ("bound", side)) if each}
    return {"value": number, **more, "method": method}


_WHOLE = re.compile(r"[0-9]{1,15}")
_PARTED = re.compile(r"([0-9]{0,15})[.,]([0-9]{1,12})")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")


def plain_number(text: str, reading: ReadingRule, unit: str) -> int | float | None:
    """The number, where it is written plainly, with comma or point; the reader of cases says what is wrong with others.

    '3,200' is three thousand and two hundred where that can be right for the reading in its unit, else three and a bit.
    """
    word = text.strip()
    if _WHOLE.fullmatch(word):
        return int(word)
    if _THOUSANDS.fullmatch(word):
        number = float(word.replace(",", ""))
        value = _converted(number, unit or reading.unit, reading.unit, reading.quantity)
        if value is not None and reading.allowed.low <= value <= reading.allowed.high:
            return int(number) if number.is_integer() else number
    found = _PARTED.fullmatch(word)
    return float(f"{found[1] or 0}.{found[2]}") if found else None


def _round(number: float) -> str:
    return f"{number:,.0f}" if number >= 1000 else f"{number:.4g}"


def _converted(number: float, unit: str, wanted: str, quantity: str) -> float | None:
    """In the wanted unit; None for a unit that is not one of the quantity."""
    if unit == wanted or quantity in _WITHOUT_UNIT:
        return number
    try:
        return convert(number, unit, wanted, quantity)
    except QuantityRefused:
        return None
