"""The lines that the reader of dangers learns from, read strictly: each mistake is a finding at its line.

A corpus is a folder with corpus.yaml (kinds, thresholds, weights, voices) and one <voice>.jsonl for each voice.
"""

from collections.abc import Iterator, Mapping
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

__all__ = ["DangerCorpus", "DangerLine", "read_corpus"]


@dataclass(frozen=True, slots=True)
class DangerLine:
    """One line.

    Args: danger: its kind; empty where it is harmless. mind: who wrote it. counts: in training. ordinary: from a call
    that nobody wrote to look like a danger. stands_for: so many lines, of which it is a sample.
    """

    id: str
    said: str
    danger: str
    severity: int
    what: str
    voice: str
    mind: str
    counts: float = 1.0
    ordinary: bool = False
    stands_for: float = 1.0


@dataclass(frozen=True, slots=True)
class DangerCorpus:
    """All lines in the order of their ids, and how they are to be learned.

    Args: harmless_that_stand, harmless_asked_back: shares that set the thresholds. handicap: of what is less than a
    whole text. weights: of a line, by severity. fingerprint: of its files.
    """

    lines: tuple[DangerLine, ...]
    kinds: tuple[str, ...]
    harmless_that_stand: float
    harmless_asked_back: float
    handicap: float
    weights: tuple[float, float, float, float]
    fingerprint: str

    @property
    def minds(self) -> tuple[str, ...]:
        """Those who wrote dangers, in the order of their lines; the others are no measure of hearing them."""
        return tuple(dict.fromkeys(line.mind for line in self.lines if line.danger))


def read_corpus(folder: Path) -> tuple[DangerCorpus | None, list[Finding]]:
    """The corpus in a folder, None where anything in it is wrong, and what is wrong."""
    about, findings = about_corpus(folder / ABOUT, "danger-corpus")
    if about is None:
        return None, findings
    lines: dict[str, tuple[DangerLine, Path, int]] = {}
    for path in sorted(folder.glob("*.jsonl")):
        voice = about["voices"].get(path.stem)
        if voice is None:
            told = f"{path.name} is no voice of {ABOUT}."
            findings.append(finding_at("R035", path.as_posix(), Place(1, 1), told, "Describe the voice there."))
            continue
        for number, text in enumerate(lines_of_file(path, findings), 1):
            line = _line(text, path, number, voice, findings)
            if line is None:
                continue
            findings += _wrong_in(line, about["kinds"], path, number, text)
            if line.id in lines:
                findings.append(_at("R036", path, number, f'"{line.id}" is also the id of another line.', text))
            lines[line.id] = (line, path, number)
    findings += lacking_files(folder, about["voices"], "voice")
    findings += _repeated(list(lines.values()))
    if any(finding.severity == "error" for finding in findings):
        return None, in_order(findings)
    return _corpus(about, [line for line, _, _ in lines.values()], files_fingerprint(folder)), in_order(findings)


def _corpus(about: Mapping[str, Any], lines: list[DangerLine], fingerprint: str) -> DangerCorpus:
    thresholds, weights = about["thresholds"], about["weights"]
    return DangerCorpus(
        tuple(sorted(lines, key=lambda line: line.id)),
        tuple(sorted(about["kinds"])),
        float(thresholds["harmless-that-stand"]),
        float(thresholds["harmless-asked-back"]),
        float(thresholds["handicap"]),
        (float(weights["harmless"]), *(float(weights[f"severity-{n}"]) for n in (1, 2, 3))),  # type: ignore[arg-type]
        fingerprint,
    )


def _line(text: str, path: Path, number: int, voice: Mapping[str, Any], findings: list[Finding]) -> DangerLine | None:
    data = line_of_corpus(text, path, number, "danger-line", findings)
    if data is None:
        return None
    return DangerLine(
        data["id"],
        data["said"],
        data["danger"] or "",
        data["severity"],
        data["what"],
        path.stem,
        voice["mind"],
        float(voice.get("counts", 1.0)),
        bool(voice.get("ordinary", False)),
        float(voice.get("stands-for", 1.0)),
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
    return wrong_at(code, path, number, message, mend=_MENDS[code], text=text)
