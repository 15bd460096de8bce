"""The accounts that are learned from, read strictly: each mistake is a finding at its line.

A corpus is a folder with corpus.yaml (how much an account counts, sets) and one <set>.jsonl for each set. A line names
the causes that its caller had; where it has no words, they are those of the call of that id in the corpus of sayings.
"""

import hashlib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.knowledge.findings import Finding, finding_at, in_order
from saltriage.knowledge.places import Place
from saltriage.knowledge.strict_json import read_json
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

__all__ = ["AccountCorpus", "AccountLine", "accounts_fingerprint", "read_accounts"]


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One account. Args: causes: that its caller had. voice: name of its set. written: for this corpus."""

    id: str
    said: str
    causes: tuple[str, ...]
    voice: str
    written: bool


@dataclass(frozen=True, slots=True)
class AccountCorpus:
    """All accounts in the order of their ids, and how they are learned; see corpus.yaml."""

    lines: tuple[AccountLine, ...]
    counts: float
    most: float
    fingerprint: str

    @property
    def voices(self) -> tuple[str, ...]:
        """The sets, in order."""
        return tuple(dict.fromkeys(line.voice for line in self.lines))


def accounts_fingerprint(folder: Path, sayings: Path) -> str:
    """Hash of the corpus and of the calls whose words it takes."""
    return hashlib.sha256(f"{files_fingerprint(folder)}\n{files_fingerprint(sayings)}".encode()).hexdigest()


def read_accounts(folder: Path, sayings: Path, causes: Collection[str]) -> tuple[AccountCorpus | None, list[Finding]]:
    """The corpus in a folder, None where anything in it is wrong, and what is wrong.

    Args: sayings: folder of the corpus of sayings. causes: ids that there are.
    """
    about, findings = about_corpus(folder / ABOUT, "account-corpus")
    if about is None:
        return None, findings
    calls = _calls(sayings)
    lines: dict[str, tuple[AccountLine, Path, int]] = {}
    for path in sorted(folder.glob("*.jsonl")):
        if path.stem not in about["sets"]:
            told = f"{path.name} is no set of {ABOUT}."
            findings.append(finding_at("R035", path.as_posix(), Place(1, 1), told, "Describe the set there."))
            continue
        for number, text in enumerate(lines_of_file(path, findings), 1):
            data = line_of_corpus(text, path, number, "account-line", findings)
            if data is None:
                continue
            line = _account(data, path.stem, calls)
            findings += _wrong_in(line, causes, path, number, text)
            if line.id in lines:
                findings.append(_at("R036", path, number, f'"{line.id}" is also the id of another line.', text))
            lines[line.id] = (line, path, number)
    findings += lacking_files(folder, about["sets"], "set")
    findings += _repeated(list(lines.values()))
    if any(finding.severity == "error" for finding in findings):
        return None, in_order(findings)
    read = tuple(sorted((line for line, _, _ in lines.values()), key=lambda line: line.id))
    fingerprint = accounts_fingerprint(folder, sayings)
    return AccountCorpus(read, float(about["counts"]), float(about["most"]), fingerprint), in_order(findings)


def _account(data: Mapping[str, Any], voice: str, calls: Mapping[str, str]) -> AccountLine:
    said = data.get("said") or calls.get(data["id"], "")
    return AccountLine(data["id"], said, tuple(data["causes"]), voice, "said" in data)


def _calls(sayings: Path) -> Mapping[str, str]:
    """Words of the calls in the corpus of sayings, which has a check of its own."""
    found: dict[str, str] = {}
    for path in sorted(sayings.glob("*.jsonl")):
        for text in lines_of_file(path, []):
            data: Any = read_json(text, path.as_posix(), places=False).data if '"said"' in text else None
            if isinstance(data, dict) and "said" in data:
                found[str(data["id"])] = str(data["said"])
    return found


def _wrong_in(line: AccountLine, causes: Collection[str], path: Path, number: int, text: str) -> Iterator[Finding]:
    if line.id.rpartition("-")[0] != path.stem:
        yield _at("R032", path, number, f'"{line.id}" does not begin with {path.stem}, the name of its file.', text)
    for each in line.causes:
        if each not in causes:
            yield _at("R040", path, number, f'"{each}" is no id of a cause that there is.', text)
    if not line.said:
        yield _at("R093", path, number, f"no words stand here, and no call {line.id} in the corpus of sayings.", text)


def _repeated(lines: list[tuple[AccountLine, Path, int]]) -> Iterator[Finding]:
    for first, second in alike([line.said for line, _, _ in lines]):
        line, path, number = lines[second]
        yield _at("R091", path, number, f"{line.id} says what {lines[first][0].id} says.", line.said)


_MENDS = {
    "R032": "Let ids begin with the name of their file.",
    "R036": "Give one of them another number.",
    "R040": "Take the id of a cause of the rules.",
    "R091": "Keep one of the two.",
    "R093": "Write what was said, or label the call there first.",
}


def _at(code: str, path: Path, number: int, message: str, text: str) -> Finding:
    return wrong_at(code, path, number, message, mend=_MENDS[code], text=text)
