"""Sheets, forms and keys of an exam, read from files of JSON lines that keep to schemas/exam-*.schema.json."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.case.numbers import takes_over
from saltriage.errors import UsageRefused
from saltriage.exam.json_lines import JsonLine, json_lines, mistake, refuse
from saltriage.exam.naming import Namer
from saltriage.knowledge.model import Knowledge

__all__ = [
    "CallSheet", "ClerkFact", "ClerkForm", "Excluded", "Paper", "PaperFiles", "Papers", "TruthKey", "files_of",
    "read_papers",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class CallSheet:
    """One call. Args: said: the opening words. danger: whether somebody can be hurt. voice: first part of the id."""

    id: str
    kind: str
    level: int
    said: str
    danger: bool

    @property
    def voice(self) -> str:
        return self.id.rpartition("-")[0] or self.id


@dataclass(frozen=True, slots=True)
class ClerkFact:
    """One fact of a form. Args: source: said, asked, readings or pool. entry: as a case file has it."""

    source: str
    kind: str  # symptom | reading
    id: str
    entry: object


@dataclass(frozen=True, slots=True)
class ClerkForm:
    """A call as a clerk filled it in. Args: facts: of two on one id the later counts. pool, equipment: as in a case."""

    facts: tuple[ClerkFact, ...]
    pool: Mapping[str, Any]
    equipment: Mapping[str, Any]

    def told(self, kind: str, *sources: str) -> dict[str, object]:
        """Id -> entry of the symptoms or readings. Args: sources: all where none is named."""
        return {
            fact.id: fact.entry for fact in self.facts if fact.kind == kind and (not sources or fact.source in sources)
        }


@dataclass(frozen=True, slots=True)
class TruthKey:
    """What was really wrong. Args: also_ok: causes that an expert could name first as well. answer: as in the file.

    doubt: why it is shaky.

    forbidden, needed: ids of what must not be advised and of what must; None where the key says nothing of it.
    """

    truth: tuple[str, ...]
    also_ok: tuple[str, ...]
    answer: str
    doubt: str
    forbidden: tuple[str, ...] | None = None
    needed: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet with its form and key."""

    sheet: CallSheet
    form: ClerkForm
    key: TruthKey


@dataclass(frozen=True, slots=True)
class Excluded:
    """A sheet that is not scored, and why."""

    sheet: str
    reason: str


@dataclass(frozen=True, slots=True)
class PaperFiles:
    """Where the papers of one exam stand."""

    sheets: Path
    form: Path
    key: Path


@dataclass(frozen=True, slots=True)
class Papers:
    """Args: scored: in the order of the files. excluded: the others. notes: what became of retired ids."""

    scored: tuple[Paper, ...]
    excluded: tuple[Excluded, ...]
    notes: tuple[str, ...]


def files_of(sheets: Sequence[Path], form: Path | None = None, key: Path | None = None) -> tuple[PaperFiles, ...]:
    """Where forms and keys stand.

    Args: form, key: a file, or a folder that holds a file named as that of the sheets; where left out, the folders
        `form` and `key` beside the sheets.
    Raises: UsageRefused: one file is named for the forms or keys of several files of sheets.
    """
    for named in (form, key):
        if named is not None and len(sheets) > 1 and not named.is_dir():
            raise UsageRefused(f"{named}: not a folder; name one that holds a file for each of the {len(sheets)}")
    return tuple(PaperFiles(each, _beside(each, form, "form"), _beside(each, key, "key")) for each in sheets)


def _beside(sheets: Path, named: Path | None, folder: str) -> Path:
    if named is None:
        return sheets.parent / folder / sheets.name
    return named / sheets.name if named.is_dir() else named


def read_papers(
    files: Sequence[PaperFiles], knowledge: Knowledge, without: Path | None = None, *, doubtful: bool = False
) -> Papers:
    """All sheets with their forms and keys; forms and keys of other sheets are passed over.

    Args: without: ids of sheets that are not scored, with reasons.    doubtful: score sheets in doubt as well.
    Raises: UsageRefused: with every mistake found, each with file, line and field.
    """
    mistakes: list[str] = []
    namer = Namer(knowledge, mistakes)
    read = [_papers_of(each, namer) for each in files]
    left_out = _left_out(without, mistakes)
    papers: dict[str, Paper] = {}
    for each, found in zip(files, read, strict=True):
        for paper in found:
            if paper.sheet.id in papers:
                mistakes.append(f'{each.sheets}: the sheet "{paper.sheet.id}" stands in another file as well')
            papers[paper.sheet.id] = paper
    mistakes += [f'{without}: there is no sheet "{id}"' for id in left_out if id not in papers and not mistakes]
    refuse(mistakes)
    reasons = {id: paper.key.doubt for id, paper in papers.items() if paper.key.doubt and not doubtful} | left_out
    return Papers(
        tuple(paper for id, paper in papers.items() if id not in reasons),
        tuple(Excluded(id, reasons[id]) for id in papers if id in reasons),
        tuple(dict.fromkeys(namer.notes)),
    )


def _left_out(path: Path | None, mistakes: list[str]) -> dict[str, str]:
    lines = [] if path is None else json_lines(path, "exam-without", mistakes)
    return {line.data["id"]: line.data["reason"] for line in lines}


def _papers_of(files: PaperFiles, namer: Namer) -> list[Paper]:
    mistakes = namer.mistakes
    sheets = {line.data["id"]: line for line in json_lines(files.sheets, "exam-sheet", mistakes)}
    forms = {line.data["id"]: line for line in json_lines(files.form, "exam-form", mistakes)}
    keys = {line.data["id"]: line for line in json_lines(files.key, "exam-key", mistakes)}
    if mistakes:
        return []
    for path, found in ((files.form, forms), (files.key, keys)):
        mistakes += [
            mistake(line.file, line.number, "id", f'nothing for "{id}" stands in {path}')
            for id, line in sheets.items()
            if id not in found
        ]
    return [
        Paper(_sheet(line.data), _form(forms[id], namer), _key(keys[id], namer))
        for id, line in sheets.items()
        if id in forms and id in keys
    ]


def _sheet(data: Mapping[str, Any]) -> CallSheet:
    return CallSheet(data["id"], data["kind"], data["level"], data["said"], data["danger"] is not None)


def _form(line: JsonLine, namer: Namer) -> ClerkForm:
    facts = (_fact(line, place, data, namer) for place, data in enumerate(line.data["facts"]))
    data = line.data
    return ClerkForm(tuple(fact for fact in facts if fact is not None), data["pool"], data.get("equipment", {}))


def _fact(line: JsonLine, place: int, data: Mapping[str, Any], namer: Namer) -> ClerkFact | None:
    kind = "symptom" if "symptom" in data else "reading"
    entry: object = data["answer"] if kind == "symptom" else _entry(data)
    named, knowledge = data[kind], namer.knowledge
    now = namer.fact(line, f"facts.{place}.{kind}", named, kind)
    if now != named and kind == "reading":
        rule = knowledge.readings.get(now)
        now = now if rule and takes_over(rule, knowledge.retired.get(f"reading/{named}"), entry) else ""
    return ClerkFact(data["from"], kind, now, entry) if now else None


def _entry(data: Mapping[str, Any]) -> dict[str, object]:
    return {"value": data["value"], **{key: data[key] for key in ("unit", "method") if data.get(key)}}


def _key(line: JsonLine, namer: Namer) -> TruthKey:
    return TruthKey(
        namer.answers(line, "truth"),
        namer.answers(line, "also_ok"),
        line.data["answer"],
        line.data.get("doubt", ""),
        namer.advice(line, "forbidden_actions"),
        namer.advice(line, "needed"),
    )
