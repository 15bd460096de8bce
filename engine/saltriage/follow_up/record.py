"""The file that keeps one pool's story: the case, what was promised, done and seen. JSON, checked when read."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from pathlib import Path
from typing import Any

from saltriage.case import Case, case_to_data
from saltriage.errors import CaseRefused, QuantityRefused, Refusal, UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.whole_file import write_whole
from saltriage.pool.one_sided import Side
from saltriage.pool.units import shortened, to_canonical
from saltriage.result import Wording

__all__ = [
    "Entry", "HistoryReading", "LikelyCause", "Promise", "Record", "Verdict", "VolumeNow", "read_record",
    "record_data", "record_from", "record_text", "save_record",
]  # fmt: skip

FORMAT = 1
LEAST_PER_UNIT = 1e-6  # mg; a millionth of what one gram of anything brings, so that no division overflows
LARGEST = 4_000_000  # bytes; a pool's story over many years is far smaller


@dataclass(frozen=True, slots=True)
class Promise:
    """What an action should bring, and by when.

    Args:
        action: id.    title, see, if_not: for reports.    by_hours: after doing it.
        reading, moves, symptom: what shows it; may be empty.
        dose, unit: what to give first, 0 where the action has no dose; `raises` is the reading a weighed dose moves
            in proportion, and `mg_per_unit` what one unit of it brings into the pool (mg of that reading).
    """

    action: str
    title: str
    by_hours: float
    see: Wording
    if_not: Wording
    reading: str = ""
    moves: str = ""
    symptom: str = ""
    dose: float = 0.0
    unit: str = ""
    quantity: str = ""
    raises: str = ""
    mg_per_unit: float = 0.0


@dataclass(frozen=True, slots=True)
class HistoryReading:
    """A reading as it was used: middle and half width in the rule's unit, and its method's id.

    bound: below or above where `middle` is only a limit, which tells nothing of a change.
    """

    reading: str
    middle: float
    half_width: float
    unit: str
    method: str = ""
    bound: Side = ""


@dataclass(frozen=True, slots=True)
class LikelyCause:
    cause: str
    title: str
    probability: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of a promise: kept | less | more | unchanged | wrong way | not kept | not measured | too early.

    Args: share: rise over the expected one, where a weighed dose says that.    said: one sentence.
    """

    action: str
    title: str
    verdict: str
    said: str
    share: float | None = None


@dataclass(frozen=True, slots=True)
class VolumeNow:
    """The believed volume in litres; nine tenths lie between low and high."""

    volume_l: float
    low_l: float
    high_l: float


@dataclass(frozen=True, slots=True)
class Entry:
    """One moment: readings and answers as given, what had been done before it, verdicts, and what is promised next.

    Args: done: promise's action -> amount given, in the unit of the promise; 0 for actions without a dose.
    """

    when: str
    readings: tuple[HistoryReading, ...]
    answers: dict[str, bool]
    causes: tuple[LikelyCause, ...]
    promises: tuple[Promise, ...]
    done: dict[str, float] = field(default_factory=dict)
    verdicts: tuple[Verdict, ...] = ()
    volume: VolumeNow | None = None
    knowledge: str = ""

    @property
    def numbers(self) -> dict[str, HistoryReading]:
        """Readings by id, without those that are limits."""
        return {each.reading: each for each in self.readings if not each.bound}


@dataclass(frozen=True, slots=True)
class Record:
    """One pool's story; frozen: a follow-up makes a new one.

    Args: case: as it stands now.    stated_volume: (litres, half width) as first told, None where it never was.
    status: open | closed.    complaints: symptoms that the caller complained of at first.
    notes: what became of ids in it that the rules no longer use; not kept in the file.
    """

    case: Case
    status: str
    complaints: tuple[str, ...]
    stated_volume: tuple[float, float] | None
    entries: tuple[Entry, ...]
    notes: tuple[str, ...] = ()


def record_data(record: Record) -> dict[str, Any]:
    """The record as plain data, keys in kebab-case; schemas/record.schema.json describes it."""
    return {
        "saltriage-record": FORMAT,
        "status": record.status,
        "case": case_to_data(record.case),
        "complaints": list(record.complaints),
        "stated-volume": list(record.stated_volume) if record.stated_volume else None,
        "entries": [_plain(entry) for entry in record.entries],
    }


def record_text(record: Record) -> str:
    """The record as JSON, one line feed at the end."""
    return json.dumps(record_data(record), ensure_ascii=False, indent=1) + "\n"


def save_record(record: Record, path: Path) -> None:
    """Writes the whole file or, when that fails, leaves the old one as it was. Raises: OSError."""
    write_whole(path, record_text(record).encode())


def read_record(path: Path, knowledge: Knowledge) -> Record:
    """The record in a file, under the ids that it was written with.

    Raises: UsageRefused: no such file, or not a record.    CaseRefused: its case does not fit the rules any more.
    """
    return record_from(_checked(_read(path), path), knowledge)


def record_from(data: Mapping[str, Any], knowledge: Knowledge) -> Record:
    """The record of plain data that follows schemas/record.schema.json.

    Raises: CaseRefused: its case does not fit the rules, or a promise cannot be reckoned with.
    """
    refusals = [
        Refusal(f"entries.{place}.promises.{number}.{key}", shortened(promise[key]), expected)
        for place, entry in enumerate(data["entries"])
        for number, promise in enumerate(entry["promises"])
        for key, expected in _unfit(promise)
    ]
    if refusals:
        raise CaseRefused(refusals)
    return Record(
        case=Case.from_data(data["case"], knowledge),
        status=data["status"],
        complaints=tuple(data["complaints"]),
        stated_volume=tuple(data["stated-volume"]) if data["stated-volume"] else None,
        entries=tuple(_entry(each) for each in data["entries"]),
    )


def _unfit(promise: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Keys of a promise whose values cannot be reckoned with, and what belongs there."""
    if promise["unit"]:
        try:
            to_canonical(1.0, promise["unit"], promise["quantity"])
        except (KeyError, ValueError, QuantityRefused):
            yield "quantity", f"the quantity of the unit {shortened(promise['unit'])}"
    if promise["raises"] and promise["mg-per-unit"] < LEAST_PER_UNIT:
        yield "mg-per-unit", "more than nothing, since the dose raises a reading"


def _read(path: Path) -> Any:
    try:
        if path.stat().st_size > LARGEST:
            raise UsageRefused(f"{path}: larger than {LARGEST // 1_000_000} MB; that is no record of one pool")
        return json.loads(path.read_bytes().decode("utf-8"))
    except FileNotFoundError:
        raise UsageRefused(f"{path}: no such file; `saltriage diagnose CASE --save FILE` makes one") from None
    except (ValueError, RecursionError):
        raise UsageRefused(f"{path}: not a record; `saltriage diagnose CASE --save FILE` makes one") from None


def _checked(data: Any, path: Path) -> dict[str, Any]:
    """The data, once it follows schemas/record.schema.json."""
    from jsonschema import Draft202012Validator

    schema = json.loads((data_folder("schemas") / "record.schema.json").read_text(encoding="utf-8"))
    for error in Draft202012Validator(schema).iter_errors(data):
        place = "/".join(str(part) for part in error.absolute_path) or "the whole"
        raise UsageRefused(
            f"{path}: {place}: {_short(error.message)}; the file was changed by hand or is of another version"
        )
    found: dict[str, Any] = data
    return found


def _short(text: str) -> str:
    return text if len(text) <= 160 else f"{text[:120]} ... {text[-30:]}"


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {each.name.replace("_", "-"): _plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(each) for each in value]
    return round(value, 6) if isinstance(value, float) else value


def _entry(data: dict[str, Any]) -> Entry:
    volume = data["volume"]
    return Entry(
        when=data["when"],
        readings=tuple(HistoryReading(**_named(each)) for each in data["readings"]),
        answers=dict(data["answers"]),
        causes=tuple(LikelyCause(**_named(each)) for each in data["causes"]),
        promises=tuple(_promise(each) for each in data["promises"]),
        done={key: float(amount) for key, amount in data["done"].items()},
        verdicts=tuple(Verdict(**_named(each)) for each in data["verdicts"]),
        volume=VolumeNow(**_named(volume)) if volume else None,
        knowledge=data["knowledge"],
    )


def _promise(data: dict[str, Any]) -> Promise:
    named = _named(data)
    return Promise(**{**named, "see": Wording(**named["see"]), "if_not": Wording(**named["if_not"])})


def _named(data: dict[str, Any]) -> dict[str, Any]:
    return {key.replace("-", "_"): each for key, each in data.items()}
