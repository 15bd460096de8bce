"""Data -> Case: every field checked, every reason for refusing collected before anything is raised."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar, cast

from saltriage.case.contexts import (
    CHEMICALS,
    EQUIPMENT_CONTEXTS,
    EQUIPMENT_KEYS,
    EQUIPMENT_NUMBERS,
    EXPECTATIONS,
    POOL_CONTEXTS,
    POOL_KEYS,
    TOP_KEYS,
)
from saltriage.case.expectations import plain_copy
from saltriage.case.hints import HINTS, hints
from saltriage.case.ledger import CaseLedger, Path, nearest
from saltriage.case.numbers import reading_from_entry, takes_over
from saltriage.case.readable import Readable
from saltriage.case.reported import Origin, ProductAtHand, Reading, Reported, RetiredEntry, Told
from saltriage.errors import QuantityRefused
from saltriage.knowledge import ids
from saltriage.knowledge.load import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.places import Document
from saltriage.knowledge.retired import Fate, fate_of
from saltriage.pool.interval import Interval
from saltriage.pool.units import System, parse_quantity, shortened

__all__ = ["built"]

_Kind = TypeVar("_Kind", bound=Reported)

_ANSWERS: Mapping[object, bool | None] = {"yes": True, "no": False, "unknown": None}
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")
_LONGEST_TITLE = 90
_LONGEST_STORY = 4000
_LONGEST_GAP = 900


def built(kind: type[_Kind], data: object, knowledge: Knowledge | None, document: Document | None, name: str) -> _Kind:
    """What the data tells, as this kind of report; see `Case.from_data`."""
    ledger = CaseLedger(document, name)
    if not isinstance(data, Mapping):
        ledger.refuse((), shortened(data), "a mapping of keys such as symptoms, readings, pool, equipment")
        ledger.raise_all()
    rules = load_knowledge() if knowledge is None else knowledge
    case = _Builder(ledger.mapping(data, (), ""), rules, ledger).whole(kind, name)
    ledger.raise_if_any(Readable(case, rules))
    return case


class _Builder:
    """Works through the sections of one case; whatever is wrong goes into the ledger and is left out."""

    def __init__(self, data: Mapping[str, object], knowledge: Knowledge, ledger: CaseLedger) -> None:
        self.data = data
        self.knowledge = knowledge
        self.ledger = ledger
        self.system: System | None = None
        self.readings: dict[str, Reading] = {}
        self.paths: dict[str, Path] = {}
        self.contexts: dict[str, str] = {}
        self.retired: list[RetiredEntry] = []
        self.old_readings: list[tuple[Fate, object, Path]] = []

    def whole(self, kind: type[_Kind], name: str) -> _Kind:
        self.ledger.known_keys(self.data, (), TOP_KEYS)
        self._text("$schema", _LONGEST_TITLE * 2)
        self.system = cast(System | None, self._word("units", ("metric", "us")) or None)
        symptoms, unknown = self._symptoms()
        pool, equipment = self._section("pool", "the pool's facts"), self._section("equipment", "the equipment's facts")
        self._readings()
        self._pool(pool)
        self._equipment(equipment)
        self._renamed_readings()
        profile = self._chosen(equipment, ("equipment", "profile"), self.knowledge.equipment)
        targets = self._chosen(pool, ("pool", "targets"), self.knowledge.targets)
        self._profile_settings(profile)
        self._contradictions()
        return kind(
            id=self._id(name),
            title=self._text("title", _LONGEST_TITLE),
            story=self._text("story", _LONGEST_STORY),
            said=self._text("said", _LONGEST_STORY),
            heard=hints(self._section("heard", HINTS), {*symptoms, *unknown}, self.knowledge, self.ledger),
            told=cast(Told, self._word("told", ("volunteered", "asked")) or "asked"),
            symptoms=symptoms,
            unknown=unknown,
            readings=self.readings,
            contexts=self.contexts,
            products=self._products(),
            profile=profile,
            targets=targets,
            expect=self._expect(),
            known_gap=self._text("known-gap", _LONGEST_GAP),
            for_units=self.system,
            retired=tuple(self.retired),
        )

    def _section(self, key: str, expected: str) -> Mapping[str, object]:
        if key not in self.data:
            return {}
        return self.ledger.mapping(self.data[key], (key,), f"a mapping of {expected}")

    def _word(self, key: str, allowed: Sequence[str]) -> str:
        return self.ledger.word(self.data[key], (key,), allowed) if key in self.data else ""

    def _text(self, key: str, longest: int) -> str:
        return self.ledger.text(self.data[key], (key,), longest) if key in self.data else ""

    def _id(self, name: str) -> str:
        """The id that the case gives itself, else the name of its file."""
        if "case" in self.data:
            return self._name(self.data["case"], ("case",))
        stem = name.replace("\\", "/").rpartition("/")[2].partition(".")[0]
        return stem if _NAME.fullmatch(stem) else "unnamed"

    def _name(self, value: object, path: Path) -> str:
        if isinstance(value, str) and _NAME.fullmatch(value):
            return value
        self.ledger.refuse(path, shortened(value), "a name of letters, digits and hyphens, at most 60")
        return ""

    def _symptoms(self) -> tuple[dict[str, bool], frozenset[str]]:
        """Answers that were given, and the ids that were answered with 'unknown'."""
        known: dict[str, bool] = {}
        unknown: set[str] = set()
        told = self._section("symptoms", "symptom ids with yes, no or unknown")
        for path, symptom, answer in self._present_symptoms(told):
            rule = self.knowledge.symptoms.get(symptom)
            if rule is None:
                mend = nearest(symptom, self.knowledge.symptoms)
                self.ledger.refuse(path, f"the unknown symptom {shortened(symptom)}", "a symptom id", mend, at_key=True)
                continue
            if rule.kind == "derived":
                expected = "a symptom that can be asked for"
                self.ledger.refuse(path, f"{symptom}, which is worked out", expected, "Give the readings.", at_key=True)
                continue
            word = answer.strip().casefold() if isinstance(answer, str) else answer
            if isinstance(word, bool):
                known[symptom] = word
            elif isinstance(word, str) and word in _ANSWERS:
                present = _ANSWERS[word]
                if present is None:
                    unknown.add(symptom)
                else:
                    known[symptom] = present
            else:
                self.ledger.refuse(path, shortened(answer), "yes, no or unknown")
        return known, frozenset(unknown)

    def _present_symptoms(self, told: Mapping[str, object]) -> list[tuple[Path, str, object]]:
        """Path, id and answer of what counts; an answer under a retired id counts under the one that took its place."""
        found: dict[str, tuple[Path, str, object]] = {}
        fates = {symptom: fate_of("symptom", symptom, self.knowledge) for symptom in told}
        for symptom in sorted(told, key=lambda each: fates[each] is not None):  # what is told under its own id wins
            path, fate = ("symptoms", symptom), fates[symptom]
            if fate is None:
                found[symptom] = path, symptom, told[symptom]
                continue
            rule = self.knowledge.symptoms.get(fate.now)
            counts = rule is not None and rule.kind != "derived"
            self._note(path, told[symptom], fate, counts)
            if counts:
                found.setdefault(fate.now, (path, fate.now, told[symptom]))
        return list(found.values())

    def _note(self, path: tuple[str, ...], entry: object, fate: Fate, counts: bool) -> None:
        """Keeps what was told under a retired id, and says what became of it."""
        said = fate.said if counts or not fate.now else f"{fate.said}, which cannot be taken from it; it was left out"
        self.retired.append(RetiredEntry(path, entry, fate.now if counts else "", said))

    def _readings(self) -> None:
        for reading, entry in self._section("readings", "reading ids with a number and its unit").items():
            self._take(reading, entry, ("readings", reading))

    def _take(self, reading: str, entry: object, path: Path, spread: tuple[object, Path] | None = None) -> None:
        """One typed number into `readings`, if there is such a reading and it was not typed before."""
        rule = self.knowledge.readings.get(reading)
        if rule is None and (fate := fate_of("reading", reading, self.knowledge)) is not None:
            self.old_readings.append((fate, entry, path))
            return
        if rule is None or not rule.is_tellable:
            typed = [each for each, known in self.knowledge.readings.items() if known.is_tellable]
            found = f"the unknown reading {shortened(reading)}" if rule is None else f"{reading}, which is worked out"
            mend = "Give the readings that it is worked out from."
            if rule is None:
                mend = nearest(reading, typed)
            self.ledger.refuse(path, found, "a reading id", mend, at_key=True)
            return
        if reading in self.paths:
            first = ".".join(map(str, self.paths[reading]))
            self.ledger.refuse(path, f"{reading} a second time", f"it once; it stands under {first}", at_key=True)
            return
        self.paths[reading] = path
        origin: Origin = "setting" if rule.role == "setting" else "told"
        taken = reading_from_entry(entry, rule, path, self.ledger, system=self.system, origin=origin, spread=spread)
        if taken is not None:
            self.readings[reading] = taken

    def _renamed_readings(self) -> None:
        """Numbers under retired ids, once all others are taken: what is told under its own id wins."""
        for fate, entry, path in self.old_readings:
            rule = self.knowledge.readings.get(fate.now)
            counts = rule is not None and takes_over(rule, fate.rule, entry)
            self._note(tuple(map(str, path)), entry, fate, counts)
            if counts and fate.now not in self.paths:
                self._take(fate.now, entry, path)

    def _pool(self, pool: Mapping[str, object]) -> None:
        self.ledger.known_keys(pool, ("pool",), POOL_KEYS)
        spread = pool.get("volume-uncertainty"), ("pool", "volume-uncertainty")
        if "volume" in pool:
            self._take(
                ids.POOL_VOLUME, pool["volume"], ("pool", "volume"), spread if "volume-uncertainty" in pool else None
            )
        elif "volume-uncertainty" in pool:
            self.ledger.refuse(spread[1], shortened(spread[0]), "a volume beside it", "Give pool.volume.")
        self._take_contexts(pool, "pool", POOL_CONTEXTS)

    def _equipment(self, equipment: Mapping[str, object]) -> None:
        self.ledger.known_keys(equipment, ("equipment",), EQUIPMENT_KEYS)
        for reading in EQUIPMENT_NUMBERS:
            if reading in equipment:
                self._take(reading, equipment[reading], ("equipment", reading))
        if "salt-band" in equipment:
            self._salt_band(equipment["salt-band"], ("equipment", "salt-band"))
        self._take_contexts(equipment, "equipment", EQUIPMENT_CONTEXTS)

    def _salt_band(self, entry: object, path: Path) -> None:
        band = self.ledger.mapping(
            entry, path, "a mapping of low and high, such as {low: '2700 mg/L', high: '3400 mg/L'}"
        )
        self.ledger.known_keys(band, path, ("low", "high"))
        for end, reading in (("low", ids.SALT_BAND_LOW), ("high", ids.SALT_BAND_HIGH)):
            if end in band:
                self._take(reading, band[end], (*path, end))
            elif isinstance(entry, Mapping):
                self.ledger.refuse(path, f"no {end} end", "both ends of the band", f"Give salt-band.{end}.")

    def _take_contexts(self, section: Mapping[str, object], name: str, contexts: Mapping[str, tuple[str, ...]]) -> None:
        for context, words in contexts.items():
            if context in section:
                word = self.ledger.word(section[context], (name, context), words)
                if word:
                    self.contexts[context] = word

    def _chosen(self, section: Mapping[str, object], path: tuple[str, str], profiles: Mapping[str, object]) -> str:
        if path[1] not in section:
            return ""
        word, kind = section[path[1]], {"profile": "equipment", "targets": "target"}[path[1]]
        fate = fate_of(kind, word, self.knowledge) if isinstance(word, str) else None
        if fate is None:
            return self.ledger.word(word, path, tuple(profiles))
        self._note(path, word, fate, counts=fate.now in profiles)
        return fate.now

    def _profile_settings(self, profile: str) -> None:
        """Settings of the profile where the case gives none of its own."""
        if not profile:
            return
        for reading, number in self.knowledge.equipment[profile].settings.items():
            if reading not in self.paths:
                rule = self.knowledge.readings[reading]
                self.readings[reading] = Reading(
                    reading, Interval.exact(number.value), number.value, rule.unit, rule.quantity, number.value,
                    rule.unit, origin="profile",
                )  # fmt: skip

    def _contradictions(self) -> None:
        """What cannot be true of one pool; what a test can show falsely is left to the doubts."""
        low, high = self.readings.get(ids.SALT_BAND_LOW), self.readings.get(ids.SALT_BAND_HIGH)
        if low and high and low.value >= high.value:
            path = self.paths.get(ids.SALT_BAND_LOW) or self.paths.get(ids.SALT_BAND_HIGH) or ("equipment", "profile")
            found = f"a salt band from {low.typed} to {high.typed}"
            self.ledger.refuse(path, found, "a low end below the high end", "Copy both from the nameplate.")

    def _products(self) -> dict[str, ProductAtHand]:
        products: dict[str, ProductAtHand] = {}
        section = self._section("products", "chemicals with product and strength")
        self.ledger.known_keys(section, ("products",), CHEMICALS)
        for chemical in CHEMICALS:
            if chemical in section:
                product = self._product(section[chemical], ("products", chemical))
                if product is not None:
                    products[chemical] = product
        return products

    def _product(self, entry: object, path: Path) -> ProductAtHand | None:
        parts = self.ledger.mapping(entry, path, "product and strength")
        self.ledger.known_keys(parts, path, ("product", "strength"))
        if not isinstance(entry, Mapping):
            return None
        if "product" not in parts:
            self.ledger.refuse(path, "no product", "the product's id under product")
            return None
        product = self._name(parts["product"], (*path, "product"))
        strength = self._strength(parts["strength"], (*path, "strength")) if "strength" in parts else None
        return ProductAtHand(product, strength)

    def _strength(self, entry: object, path: Path) -> float | None:
        if not isinstance(entry, str):
            self.ledger.refuse(path, shortened(entry), "a strength with its unit, such as '31.45 %'")
            return None
        try:
            strength = parse_quantity(entry, "percent", "a strength").canonical
        except QuantityRefused as reason:
            self.ledger.refuse_quantity(path, reason)
            return None
        if not 0 < strength <= 100:
            self.ledger.refuse(path, shortened(entry), "a strength above 0 and up to 100 %", "Copy it from the label.")
            return None
        return strength

    def _expect(self) -> Mapping[str, object]:
        if "expect" not in self.data:
            return {}
        section = self._section("expect", "what must come out")
        self.ledger.known_keys(section, ("expect",), EXPECTATIONS)
        return {key: plain_copy(value, ("expect", key), self.ledger) for key, value in section.items()}
