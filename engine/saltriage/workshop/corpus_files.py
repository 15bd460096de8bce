"""What the readers of all corpora share: a folder with corpus.yaml and files of JSON lines, read strictly."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from saltriage.knowledge.findings import Finding, NotReadable, finding_at
from saltriage.knowledge.places import Place
from saltriage.knowledge.schema_check import schema_findings
from saltriage.knowledge.strict_json import read_json
from saltriage.knowledge.strict_yaml import read_yaml

__all__ = ["ABOUT", "about_corpus", "files_fingerprint", "lacking_files", "line_of_corpus", "lines_of_file", "wrong_at"]

ABOUT = "corpus.yaml"


def files_fingerprint(folder: Path) -> str:
    """Hash of all files of a corpus; the same however they were checked out.

    Weights that carry it were trained with these very lines, which passed the check then.
    """
    whole = hashlib.sha256()
    for path in sorted((folder / ABOUT, *folder.glob("*.jsonl"))):
        content = path.read_bytes().replace(b"\r\n", b"\n") if path.is_file() else b""
        whole.update(f"{path.name}\0{hashlib.sha256(content).hexdigest()}\n".encode())
    return whole.hexdigest()


def lines_of_file(path: Path, findings: list[Finding]) -> list[str]:
    """The lines of a file; none where it is not UTF-8, which is then among the findings."""
    try:
        return path.read_text(encoding="utf-8").removesuffix("\n").split("\n")
    except UnicodeDecodeError:
        findings.append(finding_at("R002", path.as_posix(), Place(1, 1), "The file is not UTF-8.", "Save it as UTF-8."))
        return []


def about_corpus(path: Path, schema: str) -> tuple[dict[str, Any] | None, list[Finding]]:
    """What corpus.yaml says, None where anything in it is wrong, and what is wrong."""
    try:
        document = read_yaml(path.read_bytes(), path.as_posix())
    except OSError as reason:
        told = f"{reason.strerror or 'it cannot be read'}."
        return None, [finding_at("R001", path.as_posix(), Place(1, 1), told, "Check the path and its permissions.")]
    except NotReadable as reason:
        return None, [reason.finding]
    findings = schema_findings(schema, document, path.as_posix())
    return (document.data if isinstance(document.data, dict) and not findings else None), findings


def line_of_corpus(
    text: str, path: Path, number: int, schema: str, findings: list[Finding]
) -> Mapping[str, Any] | None:
    """One line; None where it breaks its schema, which is then among the findings."""
    try:
        document = read_json(text, path.as_posix(), places=False)
    except NotReadable as reason:
        findings.append(replace(reason.finding, line=number))
        return None
    wrong = schema_findings(schema, document, path.as_posix())
    findings += [replace(finding, line=number) for finding in wrong]
    return document.data if isinstance(document.data, dict) and not wrong else None


def lacking_files(folder: Path, sets: Iterable[str], noun: str) -> list[Finding]:
    """Sets that corpus.yaml describes and that have no file. Args: noun: what a set is called there."""
    place = (folder / ABOUT).as_posix()
    return [
        finding_at(
            "R001", place, Place(1, 1), f"The file {name}.jsonl of a {noun} is missing.", "Add it, or take it out."
        )
        for name in sets
        if not (folder / f"{name}.jsonl").is_file()
    ]


def wrong_at(code: str, path: Path, number: int, message: str, *, mend: str, text: str) -> Finding:
    """A finding of one line. Args: text: of the line."""
    return replace(finding_at(code, path.as_posix(), Place(1, 1), message, mend, lines=(text,)), line=number)
