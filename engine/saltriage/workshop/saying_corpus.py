"""The lines that the reader of sayings learns from, read strictly: each mistake is a finding at its line.

A corpus is a folder with corpus.yaml (joints, thresholds, sets) and one <set>.jsonl for each set.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.knowledge.findings import Finding, finding_at, in_order
from saltriage.knowledge.places import Place
from saltriage.workshop.corpus_files import (
    ABOUT,
    about_corpus,
    files_fingerprint,
    lacking_files,
    line_of_corpus,
    lines_of_file,
    wrong_at,
)
from saltriage.workshop.danger_alike import alike

__all__ = ["CallLine", "FindingSaid", "SayingCorpus", "SayingLine", "read_sayings_corpus"]


@dataclass(frozen=True, slots=True)
class SayingLine:
    """A saying. Args: finding: id of the symptom, '' where it tells a number. polarity: see the schema."""

    id: str
    say: str
    finding: str
    polarity: str


@dataclass(frozen=True, slots=True)
class FindingSaid:
    """What some words of a call say, from `start` to `end`."""

    finding: str
    polarity: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class CallLine:
    """A call. Args: voice: name of its set. judges: labelled whole. idle: words that say nothing."""

    id: str
    said: str
    says: tuple[FindingSaid, ...]
    idle: tuple[str, ...]
    voice: str
    judges: bool


@dataclass(frozen=True, slots=True)
class SayingCorpus:
    """All lines in the order of their sets, and how they are to be learned; see corpus.yaml."""

    sayings: tuple[SayingLine, ...]
    calls: tuple[CallLine, ...]
    joints: tuple[str, ...]
    sure_right: float
    likely_right: float
    clause_counts: float
    fingerprint: str

    @property
    def voices(self) -> tuple[str, ...]:
        """Sets whose calls are labelled whole, in order."""
        return tuple(dict.fromkeys(call.voice for call in self.calls if call.judges))


def read_sayings_corpus(
    folder: Path, symptoms: Collection[str], readings: Collection[str]
) -> tuple[SayingCorpus | None, list[Finding]]:
    """The corpus in a folder, None where anything in it is wrong, and what is wrong.

    Args: symptoms, readings: ids that there are.
    """
    about, findings = about_corpus(folder / ABOUT, "saying-corpus")
    if about is None:
        return None, findings
    lines: dict[str, tuple[Mapping[str, Any], Path, int]] = {}
    for path in sorted(folder.glob("*.jsonl")):
        if path.stem not in about["sets"]:
            told = f"{path.name} is no set of {ABOUT}."
            findings.append(finding_at("R035", path.as_posix(), Place(1, 1), told, "Describe the set there."))
            continue
        for number, text in enumerate(lines_of_file(path, findings), 1):
            data = line_of_corpus(text, path, number, "saying-line", findings)
            if data is None:
                continue
            findings += _wrong_in(data, path, number, text, (symptoms, readings))
            if data["id"] in lines:
                findings.append(_at("R036", path, number, f'"{data["id"]}" is also the id of another line.', text))
            lines[data["id"]] = (data, path, number)
    findings += lacking_files(folder, about["sets"], "set")
    findings += _repeated(list(lines.values()))
    if any(finding.severity == "error" for finding in findings):
        return None, in_order(findings)
    read = [(data, path.stem) for data, path, _ in lines.values()]
    return _corpus(about, read, files_fingerprint(folder)), in_order(findings)


def _corpus(about: Mapping[str, Any], lines: list[tuple[Mapping[str, Any], str]], fingerprint: str) -> SayingCorpus:
    sayings = [
        SayingLine(data["id"], data["say"], data.get("finding", ""), data["polarity"])
        for data, _ in lines
        if "say" in data
    ]
    calls = [
        CallLine(
            data["id"],
            data["said"],
            tuple(_said(data["said"], each) for each in data["says"] if "finding" in each),
            tuple(data.get("idle", ())),
            name,
            about["sets"][name].get("judges", False),
        )
        for data, name in lines
        if "said" in data
    ]
    thresholds = about["thresholds"]
    return SayingCorpus(
        tuple(sorted(sayings, key=lambda line: line.id)),
        tuple(sorted(calls, key=lambda line: line.id)),
        tuple(about["joints"]),
        float(thresholds["sure-right"]),
        float(thresholds["likely-right"]),
        float(about["clause-counts"]),
        fingerprint,
    )


def _said(call: str, data: Mapping[str, Any]) -> FindingSaid:
    start = call.index(data["words"])
    return FindingSaid(data["finding"], data["polarity"], start, start + len(data["words"]))


def _wrong_in(
    data: Mapping[str, Any], path: Path, number: int, text: str, ids: tuple[Collection[str], Collection[str]]
) -> Iterator[Finding]:
    if data["id"].rpartition("-")[0] != path.stem:
        told = f'"{data["id"]}" does not begin with {path.stem}, the name of its file.'
        yield _at("R032", path, number, told, text)
    for each in data.get("says", [data]):
        for key, known in zip(("finding", "reading"), ids, strict=True):
            if key in each and each[key] not in known:
                yield _at("R040", path, number, f'"{each[key]}" is no id of a {key} that there is.', text)
    words = [each["words"] for each in data.get("says", ())] + list(data.get("idle", ()))
    for each in words:
        if each not in data["said"]:
            yield _at("R093", path, number, f'"{each}" does not stand in what was said.', text)


def _repeated(lines: list[tuple[Mapping[str, Any], Path, int]]) -> Iterator[Finding]:
    for first, second in alike([data.get("say") or data["said"] for data, _, _ in lines]):
        data, path, number = lines[second]
        told = f"{data['id']} says what {lines[first][0]['id']} says."
        yield _at("R091", path, number, told, data.get("say") or data["said"])


_MENDS = {
    "R032": "Let ids begin with the name of their file.",
    "R036": "Give one of them another number.",
    "R040": "Take the id of a symptom or reading of the rules.",
    "R091": "Keep one of the two.",
    "R093": "Copy the words to the letter.",
}


def _at(code: str, path: Path, number: int, message: str, text: str) -> Finding:
    return wrong_at(code, path, number, message, mend=_MENDS[code], text=text)
