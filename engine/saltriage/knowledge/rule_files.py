"""The files of a knowledge base: which there are, of which kind, and what each holds.

Reading goes on past bad files: each gives its findings, and the others are still checked against its id.
"""

import os
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Any

from saltriage.knowledge.bundle import bundle_file, contents_of, read_bundle
from saltriage.knowledge.edits import in_quotes
from saltriage.knowledge.findings import Finding, NotReadable, finding_at
from saltriage.knowledge.home import NO_RULES, schemas_beside
from saltriage.knowledge.places import Document, Path, Place
from saltriage.knowledge.schema_check import schema_findings
from saltriage.knowledge.schemas import FOLDERS
from saltriage.knowledge.sound_part import sound_part
from saltriage.knowledge.strict_json import read_json
from saltriage.knowledge.strict_yaml import read_yaml

__all__ = ["FOR_MAINTAINERS", "Base", "RuleFile", "case_paths", "read_base", "read_file", "rule_paths"]

SINGLE = {
    f"{kind}.yaml": kind
    for kind in ("knowledge", "sources", "pictures", "forms", "forecast", "emergency", "wording", "waivers")
}
FOR_MAINTAINERS = frozenset({"wording", "waivers"})
"""Kinds that say nothing to a diagnosis: what the check goes by."""
REFERENCE = "reference"  # the folder of the cases that rules are tied to
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
        data: the mapping in it, as far as it follows its schema.
        is_sound: it follows its schema altogether, so that every key it must have is there.
        cut: keys at the top that are missing or have lost something that does not follow the schema.
    """

    file: str
    kind: str
    id: str
    area: str
    document: Document | None
    data: dict[str, Any]
    is_sound: bool
    cut: frozenset[str] = frozenset()

    def finding(self, code: str, path: Path, message: str, mend: str = "", *, at_key: bool = False) -> Finding:
        """A finding at the value of a path, or at its key."""
        if self.document is None:
            return finding_at(code, self.file, Place(1, 1), message, mend)
        place = self.document.key_place(path) if at_key else self.document.place(path)
        return finding_at(code, self.file, place, message, mend, lines=self.document.lines)


@dataclass(slots=True)
class Base:
    """All files of a knowledge base by kind and id.

    Args:
        rules: kind -> id -> file, in the order of ids; also files that are not sound.
        cases: reference cases by id; None where cases are not looked at.
        others: cases beside them, published and demo ones, by path below the folder of cases.
        calculators: names of registered calculators; None where they are not known.
        findings: found while reading.
        schemas: folder of the schemas that the files are held against; those that came with the program if None.
    """

    rules: dict[str, dict[str, RuleFile]] = field(default_factory=dict)
    cases: dict[str, RuleFile] | None = None
    others: dict[str, RuleFile] = field(default_factory=dict)
    calculators: frozenset[str] | None = None
    findings: list[Finding] = field(default_factory=list)
    schemas: FilePath | None = None

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

    def kept(self, kind: str) -> Iterator[RuleFile]:
        """Files of a kind, of those that do not follow their schema the part that does."""
        return (rule for rule in self.of(kind).values() if rule.data)

    def all_kept(self) -> Iterator[RuleFile]:
        """As `all_sound`, with the parts of others that follow their schema."""
        for kind in FOLDERS.values():
            yield from self.kept(kind)

    def singles(self) -> Iterator[RuleFile]:
        """The files of which there is one each, or the part that follows its schema; sources.yaml is left out."""
        for kind in SINGLE.values():
            yield from (() if kind == "sources" else self.kept(kind))

    def all_cases(self) -> Iterator[RuleFile]:
        """Reference cases, published and demo ones."""
        yield from (self.cases or {}).values()
        yield from self.others.values()

    def everything(self) -> Iterator[RuleFile]:
        """Every file that was read."""
        for rules in self.rules.values():
            yield from rules.values()
        yield from self.all_cases()

    def data(self, kind: str, id: str) -> dict[str, Any] | None:
        """Data of one rule; None where there is none, or it is not sound."""
        rule = self.of(kind).get(id)
        return rule.data if rule and rule.is_sound else None


def rule_paths(folder: FilePath) -> list[FilePath]:
    """Every rule file below a folder, sorted by name; hidden ones, editors' copies and the corpus are left out."""
    found: list[FilePath] = []
    for at, folders, files in os.walk(folder):
        aside = {"__pycache__", *(NO_RULES if FilePath(at) == folder else ())}
        folders[:] = [name for name in folders if not name.startswith(".") and name not in aside]
        found += [FilePath(at, name) for name in files if not name.startswith(".") and not name.endswith("~")]
    return sorted(path for path in found if path != folder / LOCK)


def read_base(
    folder: FilePath,
    cases: FilePath | None,
    calculators: frozenset[str] | None = None,
    only: FilePath | None = None,
) -> Base:
    """Reads all rules below a folder and, where given, all cases below another.

    Args:
        only: the one file whose findings are wanted. Other files are taken from the bundle where they have not changed
            since it was written, and of other cases no more than the name is looked at.
    """
    base = Base(calculators=calculators, schemas=schemas_beside(folder))
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
        _read_cases(cases, base, only)
    return base


def _read_cases(cases: FilePath, base: Base, only: FilePath | None) -> None:
    """All cases below a folder: those below reference/ by id, the others by path."""
    base.cases = {}
    for path in case_paths(cases):
        folder, _, area = path.relative_to(cases).parent.as_posix().partition("/")
        is_wanted = only is None or path.resolve() == only
        case = RuleFile(path.as_posix(), "case", path.stem, area, None, {}, False)
        if is_wanted:
            case = read_file(path, "case", base.findings, area, base.schemas)
        if folder == REFERENCE:
            _add(case, base.cases, base)
        else:
            base.others[path.relative_to(cases).as_posix()] = case


def case_paths(cases: FilePath) -> list[FilePath]:
    """Every case file below a folder of cases, sorted by name."""
    return [path for path in rule_paths(cases) if path.suffix in (".yaml", ".yml", ".json")]


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
        return read_file(path, SINGLE[path.name], base.findings, schemas=base.schemas)
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
    return read_file(path, kind, base.findings, parts[1] if len(parts) == 3 else "", base.schemas)


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


def read_file(
    path: FilePath, kind: str, findings: list[Finding], area: str = "", schemas: FilePath | None = None
) -> RuleFile:
    """One file, read strictly and checked against the schema of its kind; what is found is added to `findings`."""
    shown = path.as_posix()
    rule = RuleFile(shown, kind, path.stem, area, None, {}, False)
    try:
        document = _document(path, shown)
    except NotReadable as reason:
        findings.append(reason.finding)
        return rule
    errors = schema_findings(kind, document, shown, schemas)
    if kind != "case":  # callers and agents write yes and no; rules are read by editors that take them for truth values
        errors += _quotes_needed(document, shown, {(error.line, error.column) for error in errors})
    findings += errors
    cut = frozenset[str]()
    if errors:
        document, cut = sound_part(kind, document, schemas)
    data = document.data if isinstance(document.data, dict) else {}
    return RuleFile(shown, kind, path.stem, area, document, data, not errors, cut)


def _quotes_needed(document: Document, shown: str, complained_of: set[tuple[int, int]]) -> list[Finding]:
    return [
        replace(
            finding_at(
                "R015",
                shown,
                text.place,
                f"{text.text} without quotes is not text for every YAML reader.",
                f'Write "{text.text}", or true or false if that is meant.',
                lines=document.lines,
            ),
            edit=in_quotes(text.text, text.place),
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
        return read_json(raw, shown)
    return read_yaml(raw, shown)
