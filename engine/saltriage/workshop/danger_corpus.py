"""The lines that the reader of dangers learns from, read strictly: each mistake is a finding at its line.

A corpus is a folder with corpus.yaml (kinds, thresholds, weights, voices) and one <voice>.jsonl for each voice.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from saltriage.knowledge.findings import Finding, NotReadable, finding_at, in_order
from saltriage.knowledge.places import Place
from saltriage.knowledge.schema_check import schema_findings
from saltriage.knowledge.strict_json import read_json
from saltriage.knowledge.strict_yaml import read_yaml
from saltriage.workshop.danger_alike import alike

__all__ = ["DangerCorpus", "DangerLine", "fingerprint_of", "read_corpus"]

_ABOUT = "corpus.yaml"


@dataclass(frozen=True, slots=True)
class DangerLine:
    """One line. Args: danger: its kind; empty where it is harmless. mind: who wrote it. counts: in training."""

    id: str
    said: str
    danger: str
    severity: int
    what: str
    voice: str
    mind: str
    counts: float = 1.0


@dataclass(frozen=True, slots=True)
class DangerCorpus:
    """All lines in the order of their ids, and how they are to be learned.

    Args: harmless_that_stand, harmless_asked_back: shares that set the thresholds. weights: of a line, by severity.
    fingerprint: of its files.
    """

    lines: tuple[DangerLine, ...]
    kinds: tuple[str, ...]
    harmless_that_stand: float
    harmless_asked_back: float
    weights: tuple[float, float, float, float]
    fingerprint: str

    @property
    def minds(self) -> tuple[str, ...]:
        """Those who wrote dangers, in the order of their lines; the others are no measure of hearing them."""
        return tuple(dict.fromkeys(line.mind for line in self.lines if line.danger))


def fingerprint_of(folder: Path) -> str:
    """Hash of all files of a corpus; the same however they were checked out.

    Weights that carry it were trained with these very lines, which passed the check then.
    """
    whole = hashlib.sha256()
    for path in sorted((folder / _ABOUT, *folder.glob("*.jsonl"))):
        content = path.read_bytes().replace(b"\r\n", b"\n") if path.is_file() else b""
        whole.update(f"{path.name}\0{hashlib.sha256(content).hexdigest()}\n".encode())
    return whole.hexdigest()


def read_corpus(folder: Path) -> tuple[DangerCorpus | None, list[Finding]]:
    """The corpus in a folder, None where anything in it is wrong, and what is wrong."""
    about, findings = _about(folder / _ABOUT)
    if about is None:
        return None, findings
    lines: dict[str, tuple[DangerLine, Path, int]] = {}
    for path in sorted(folder.glob("*.jsonl")):
        voice = about["voices"].get(path.stem)
        if voice is None:
            told = f"{path.name} is no voice of {_ABOUT}."
            findings.append(finding_at("R035", path.as_posix(), Place(1, 1), told, "Describe the voice there."))
            continue
        for number, text in enumerate(_lines_of(path, findings), 1):
            line = _line(text, path, number, voice, findings)
            if line is None:
                continue
            findings += _wrong_in(line, about["kinds"], path, number, text)
            if line.id in lines:
                findings.append(_at("R036", path, number, f'"{line.id}" is also the id of another line.', text))
            lines[line.id] = (line, path, number)
    for voice in about["voices"]:
        if not (folder / f"{voice}.jsonl").is_file():
            told = f"The file {voice}.jsonl of a voice is missing."
            findings.append(
                finding_at("R001", (folder / _ABOUT).as_posix(), Place(1, 1), told, "Add it, or take it out.")
            )
    findings += _repeated(list(lines.values()))
    if any(finding.severity == "error" for finding in findings):
        return None, in_order(findings)
    return _corpus(about, [line for line, _, _ in lines.values()], fingerprint_of(folder)), in_order(findings)


def _corpus(about: Mapping[str, Any], lines: list[DangerLine], fingerprint: str) -> DangerCorpus:
    thresholds, weights = about["thresholds"], about["weights"]
    return DangerCorpus(
        tuple(sorted(lines, key=lambda line: line.id)),
        tuple(sorted(about["kinds"])),
        float(thresholds["harmless-that-stand"]),
        float(thresholds["harmless-asked-back"]),
        (float(weights["harmless"]), *(float(weights[f"severity-{n}"]) for n in (1, 2, 3))),  # type: ignore[arg-type]
        fingerprint,
    )


def _about(path: Path) -> tuple[dict[str, Any] | None, list[Finding]]:
    try:
        document = read_yaml(path.read_bytes(), path.as_posix())
    except OSError as reason:
        told = f"{reason.strerror or 'it cannot be read'}."
        return None, [finding_at("R001", path.as_posix(), Place(1, 1), told, "Check the path and its permissions.")]
    except NotReadable as reason:
        return None, [reason.finding]
    findings = schema_findings("danger-corpus", document, path.as_posix())
    return (document.data if isinstance(document.data, dict) and not findings else None), findings


def _lines_of(path: Path, findings: list[Finding]) -> list[str]:
    try:
        return path.read_text(encoding="utf-8").removesuffix("\n").split("\n")
    except UnicodeDecodeError:
        findings.append(finding_at("R002", path.as_posix(), Place(1, 1), "The file is not UTF-8.", "Save it as UTF-8."))
        return []


def _line(text: str, path: Path, number: int, voice: Mapping[str, Any], findings: list[Finding]) -> DangerLine | None:
    try:
        document = read_json(text, path.as_posix(), places=False)
    except NotReadable as reason:
        findings.append(replace(reason.finding, line=number))
        return None
    wrong = schema_findings("danger-line", document, path.as_posix())
    findings += [replace(finding, line=number) for finding in wrong]
    if wrong or not isinstance(document.data, dict):
        return None
    data = document.data
    return DangerLine(
        data["id"],
        data["said"],
        data["danger"] or "",
        data["severity"],
        data["what"],
        path.stem,
        voice["mind"],
        float(voice.get("counts", 1.0)),
    )


def _wrong_in(line: DangerLine, kinds: Mapping[str, str], path: Path, number: int, text: str) -> Iterator[Finding]:
    if line.id.rpartition("-")[0] != path.stem:
        yield _at("R032", path, number, f'"{line.id}" does not begin with {path.stem}, the name of its file.', text)
    if line.danger and line.danger not in kinds:
        yield _at("R040", path, number, f'"{line.danger}" is no kind of danger; kinds: {", ".join(kinds)}.', text)
    if bool(line.danger) != bool(line.severity):
        yield _at("R090", path, number, f"danger is {line.danger or 'null'}, severity {line.severity}.", text)


def _repeated(lines: list[tuple[DangerLine, Path, int]]) -> Iterator[Finding]:
    for first, second in alike([line.said for line, _, _ in lines]):
        line, path, number = lines[second]
        yield _at("R091", path, number, f"{line.id} says what {lines[first][0].id} says.", line.said)


_MENDS = {
    "R032": "Let ids begin with the name of their file.",
    "R036": "Give one of them another number.",
    "R040": "Take one of the kinds, or describe a new one in corpus.yaml.",
    "R090": "Give a danger its kind and a severity of 1 to 3, and what is harmless null and 0.",
    "R091": "Keep one of the two.",
}


def _at(code: str, path: Path, number: int, message: str, text: str) -> Finding:
    return replace(finding_at(code, path.as_posix(), Place(1, 1), message, _MENDS[code], lines=(text,)), line=number)
