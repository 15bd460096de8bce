"""The files of a knowledge base: which there are, of which kind, and what each holds.

Reading goes on past bad files: each gives its findings, and the others are still checked against its id.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any

from saltriage.knowledge.bundle import bundle_file, contents_of, read_bundle
from saltriage.knowledge.findings import Finding, NotReadable, finding_at
from saltriage.knowledge.places import Document, Path, Place
from saltriage.knowledge.schema_check import schema_findings
from saltriage.knowledge.schemas import FOLDERS
from saltriage.knowledge.strict_yaml import read_yaml

__all__ = ["Base", "RuleFile", "read_base", "read_file", "rule_paths"]

SINGLE = {f"{kind}.yaml": kind for kind in ("knowledge", "sources", "pictures", "forms", "forecast")}
LOCK = "versions.lock"  # generated; see saltriage.workshop.versions


@dataclass(frozen=True, slots=True)
class RuleFile:
    """One file of rules or one case.

    Args:
        file: its path as shown in findings.
        kind: kind of its folder (`cause`, ...), `knowledge`, `sources` or `case`.
        id: name of the file without its ending.
        area: folder below that of the kind, for causes and cases; else empty.
        document: data and places; None where the file could not be read, or was taken from a bundle.
        data: the mapping in it; empty where it is not sound.
        is_sound: it follows its schema, so that its data can be relied on.
    """

    file: str
    kind: str
    id: str
    area: str
    document: Document | None
    data: dict[str, Any]
    is_sound: bool

    def finding(self, code: str, path: Path, message: str, mend: str = "", *, at_key: bool = False) -> Finding:
        """A finding at the value of a path, or at its key."""
        if self.document is None:
            return finding_at(code, self.file, Place(1, 1), message, mend)
        place = self.document.key_place(path) if at_key else self.document.place(path)
        return finding_at(code, self.file, place, message, mend, self.document.lines)


@dataclass(slots=True)
class Base:
    """All files of a knowledge base by kind and id.

    Args:
        rules: kind -> id -> file, in the order of ids; also files that are not sound.
        cases: reference cases by id; None where cases are not looked at.
        calculators: names of registered calculators; None where they are not known.
        findings: found while reading.
    """

    rules: dict[str, dict[str, RuleFile]] = field(default_factory=dict)
    cases: dict[str, RuleFile] | None = None
    calculators: frozenset[str] | None = None
    findings: list[Finding] = field(default_factory=list)

    def of(self, kind: str) -> dict[str, RuleFile]:
        """Files of a kind by id."""
        return self.rules.get(kind, {})

    def sound(self, kind: str) -> Iterator[RuleFile]:
        """Files of a kind that follow their schema."""
        return (rule for rule in self.of(kind).values() if rule.is_sound)

    def all_sound(self) -> Iterator[RuleFile]:
        """Every rule that follows its schema, without knowledge.yaml and sources.yaml."""
        for kind in FOLDERS.values():
            yield from self.sound(kind)

    def singles(self) -> Iterator[RuleFile]:
        """The files of which there is one each, that follow their schema; sources.yaml is left out."""
        for kind in SINGLE.values():
            yield from (() if kind == "sources" else self.sound(kind))

    def data(self, kind: str, id: str) -> dict[str, Any] | None:
        """Data of one rule; None where there is none, or it is not sound."""
        rule = self.of(kind).get(id)
        return rule.data if rule and rule.is_sound else None


def rule_paths(folder: FilePath) -> list[FilePath]:
    """Every file below a folder, sorted by name; hidden ones and editors' copies are left out."""
    return sorted(
        path
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith("~") and path != folder / LOCK
        and not any(part.startswith(".") or part == "__pycache__" for part in path.relative_to(folder).parts)
    )  # fmt: skip


def read_base(
    folder: FilePath,
    cases: FilePath | None,
    calculators: frozenset[str] | None = None,
    only: FilePath | None = None,
) -> Base:
    """Reads all rules below a folder and, where given, all reference cases below another.

    Args:
        only: the one file whose findings are wanted. Other files are taken from the bundle where they have not changed
            since it was written, and of other cases no more than the name is looked at.
    """
    base = Base(calculators=calculators)
    unchanged = _unchanged(folder) if only else {}
    seen = 0
    for path in rule_paths(folder):
        data = unchanged.get(path.relative_to(folder).as_posix()) if path.resolve() != only else None
        rule = _rule(path, folder, base, data)
        if rule is None:
            continue
        seen += 1
        _add(rule, base.rules.setdefault(rule.kind, {}), base)
    if not seen:
        message = "No rules were found here."
        base.findings.append(
            finding_at("R034", str(folder), Place(1, 1), message, "Name a folder with knowledge.yaml in it.")
        )
    for kind in SINGLE.values():
        if seen and not base.of(kind):
            message = f"{kind}.yaml is missing."
            base.findings.append(
                finding_at(
                    "R020", str(folder / f"{kind}.yaml"), Place(1, 1), message, f"Every rule set has a {kind}.yaml."
                )
            )
    if cases is not None:
        base.cases = {}
        for path in rule_paths(cases):
            if path.suffix in (".yaml", ".yml", ".json"):
                area = path.relative_to(cases).parent.as_posix().removeprefix(".")
                is_wanted = only is None or path.resolve() == only
                unread = RuleFile(path.as_posix(), "case", path.stem, area, None, {}, False)
                _add(read_file(path, "case", base.findings, area) if is_wanted else unread, base.cases, base)
    return base


def _unchanged(folder: FilePath) -> dict[str, dict[str, Any]]:
    """Data of the files that are still as they were when the bundle was written: those have passed the check."""
    bundle = read_bundle(bundle_file(folder))
    if bundle is None:
        return {}
    now = contents_of(folder).files
    return {name: data for name, data in bundle.data.items() if now.get(name) == bundle.hashes.get(name)}


def _rule(path: FilePath, folder: FilePath, base: Base, known: dict[str, Any] | None) -> RuleFile | None:
    parts = path.relative_to(folder).parts
    if known is not None:
        kind = SINGLE.get(path.name) if len(parts) == 1 else FOLDERS[parts[0]]
        return RuleFile(path.as_posix(), str(kind), path.stem, parts[1] if len(parts) == 3 else "", None, known, True)
    if len(parts) == 1 and path.name in SINGLE:
        return read_file(path, SINGLE[path.name], base.findings)
    kind = FOLDERS.get(parts[0])
    deep = 3 if kind == "cause" else 2
    if kind is None or path.suffix != ".yaml" or len(parts) != deep:
        where = (
            f"Rules lie in {', '.join(f'{name}/' for name in FOLDERS)} as <id>.yaml, causes in causes/<area>/<id>.yaml."
        )
        code = "R033" if kind is not None and path.suffix == ".yaml" else "R035"
        base.findings.append(finding_at(code, str(path), Place(1, 1), f"{path.name} does not belong here.", where))
        if code == "R035" or kind is None:
            return None
    return read_file(path, kind, base.findings, area=parts[1] if len(parts) == 3 else "")


def _add(rule: RuleFile, into: dict[str, RuleFile], base: Base) -> None:
    if rule.id in into:
        other = into[rule.id].file
        base.findings.append(
            rule.finding(
                "R036", ("id",), f'"{rule.id}" is also the id in {other}.', "Give one of them another id and file name."
            )
        )
    else:
        into[rule.id] = rule


def read_file(path: FilePath, kind: str, findings: list[Finding], area: str = "") -> RuleFile:
    """One file, read strictly and checked against the schema of its kind; what is found is added to `findings`."""
    shown = path.as_posix()
    rule = RuleFile(shown, kind, path.stem, area, None, {}, False)
    try:
        document = _document(path, shown)
    except NotReadable as reason:
        findings.append(reason.finding)
        return rule
    errors = schema_findings(kind, document, shown)
    if kind != "case":  # callers and agents write yes and no; rules are read by editors that take them for truth values
        errors += _quotes_needed(document, shown, {(error.line, error.column) for error in errors})
    findings += errors
    sound = not errors and isinstance(document.data, dict)
    data = document.data if isinstance(document.data, dict) and sound else {}
    return RuleFile(shown, kind, path.stem, area, document, data, sound)


def _quotes_needed(document: Document, shown: str, complained_of: set[tuple[int, int]]) -> list[Finding]:
    return [
        finding_at(
            "R015",
            shown,
            text.place,
            f"{text.text} without quotes is not text for every YAML reader.",
            f'Write "{text.text}", or true or false if that is meant.',
            document.lines,
        )
        for text in document.quotable
        if (text.place.line, text.place.column) not in complained_of
    ]


def _document(path: FilePath, shown: str) -> Document:
    try:
        raw = path.read_bytes()
    except OSError as reason:
        told = reason.strerror or "it cannot be read"
        raise NotReadable(
            finding_at("R001", shown, Place(1, 1), f"{told}.", "Check the path and its permissions.")
        ) from None
    if path.suffix == ".json":
        from saltriage.knowledge.strict_json import read_json

        return read_json(raw, shown)
    return read_yaml(raw, shown)
