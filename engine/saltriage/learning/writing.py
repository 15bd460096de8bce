"""Proposals -> rule files edited in place: the word, its source, version and day; a source and a line of the changelog.

Nothing is written here before all of it has passed the check in a copy.
"""

import datetime
import json
import re
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.edits import written_anew
from saltriage.knowledge.findings import Edit
from saltriage.knowledge.places import Document
from saltriage.knowledge.rule_files import RuleFile, read_base
from saltriage.knowledge.schemas import FOLDERS
from saltriage.learning.outcomes import Outcomes
from saltriage.learning.proposals import Proposal
from saltriage.workshop.checked import check_rules
from saltriage.workshop.comparison import Comparison, compare
from saltriage.workshop.editor_ids import ids_file, ids_text
from saltriage.workshop.fixing import FixedFile, with_edits
from saltriage.workshop.versions import Lock, read_lock

__all__ = ["Evidenced", "compared", "evidence_of", "learned_files", "tried"]

_CHANGELOG = "CHANGELOG.md"
_ITEM = re.compile(r"""("[^"]*"|'[^']*'|[a-z0-9-]+)""")


@dataclass(frozen=True, slots=True)
class Evidenced:
    """What the words rest on. Args: id: of the source, not taken yet.    cite: as in 'Outcomes, 812 calls, ...'."""

    id: str
    cite: str


def evidence_of(outcomes: Outcomes, rules: Path) -> Evidenced:
    """The source that these outcomes become, named after the day of the last call."""
    first, last = outcomes.days
    confirmed = f"{outcomes.confirmed} of them confirmed"
    taken = {key for file in read_base(rules, None).sound("sources") for key in file.data}
    names = (f"outcomes-{last}", *(f"outcomes-{last}-{number}" for number in range(2, 1000)))
    id = next(name for name in names if name not in taken)
    return Evidenced(id, f"Outcomes, {len(outcomes.calls)} calls, {first} to {last}, {confirmed}.")


def learned_files(rules: Path, proposals: Sequence[Proposal], evidence: Evidenced, today: str = "") -> list[FixedFile]:
    """Every file that the proposals change, sorted by path; nothing is written.

    Args: today: the current day if not given.
    Raises: UsageRefused: a word stands in its file in a form that cannot be edited in place.
    """
    base, lock = read_base(rules, None), read_lock(rules)
    day = today or datetime.date.today().isoformat()
    by_rule: dict[tuple[str, str], list[Proposal]] = {}
    for each in proposals:
        by_rule.setdefault((each.word.rules, each.word.rule), []).append(each)
    files = []
    for (folder, id), own in by_rule.items():
        rule = base.of(FOLDERS[folder])[id]
        edits = [*_words(rule, own), *_head(rule, folder, lock, day), _source(rule, evidence.id)]
        files.append(_file(Path(rule.file), edits))
    if files:
        entry = f"{evidence.id}:\n  kind: outcomes\n  cite: {json.dumps(evidence.cite, ensure_ascii=False)}\n"
        files.append(_longer(rules / "sources.yaml", entry))
        files += _ids(rules, evidence.id)
        changelog = rules.parent / _CHANGELOG
        if changelog.is_file():
            files.append(_logged(changelog, evidence, len(proposals), len(by_rule)))
    return sorted(files, key=lambda file: file.path)


def _words(rule: RuleFile, proposals: Sequence[Proposal]) -> Iterator[Edit]:
    for each in proposals:
        yield _anew(rule, each.word.path, each.word.word, each.proposed)


def _head(rule: RuleFile, folder: str, lock: Lock | None, day: str) -> Iterator[Edit]:
    """A version that has risen since the last release has risen enough."""
    version = rule.data["version"]
    released = lock.rules.get(f"{folder}/{rule.id}") if lock else None
    if lock is None or (released is not None and version <= released.version):
        yield _anew(rule, ("version",), str(version), str(version + 1))
    if rule.data["changed"] != day:
        yield _anew(rule, ("changed",), rule.data["changed"], day)


def _anew(rule: RuleFile, path: tuple[str, ...], old: str, new: str) -> Edit:
    document = _document(rule)
    edit = written_anew(old, new, document.place(path), document)
    if edit is None:
        raise UsageRefused(f"{rule.file}: {'.'.join(path)} is not written as a plain {old}; edit it by hand to {new}")
    return edit


def _source(rule: RuleFile, id: str) -> Edit:
    """One more item behind the last of `sources`, in a list of either form."""
    document = _document(rule)
    place = document.place(("sources", len(rule.data["sources"]) - 1))
    line, at = document.lines[place.line - 1], place.column - 1
    item = _ITEM.match(line, at)
    end = (place.line, (item.end() if item else len(line)) + 1)
    lead = line[:at]
    return Edit(end, end, f"\n{lead}{id}" if lead.strip() == "-" else f", {id}")


def _document(rule: RuleFile) -> Document:
    assert rule.document is not None, "rules that passed the check were read from their files"
    return rule.document


def _file(path: Path, edits: Sequence[Edit]) -> FixedFile:
    before = path.read_bytes().decode()
    return FixedFile(path, before, with_edits(before, edits), ())


def _longer(path: Path, entry: str) -> FixedFile:
    before = path.read_bytes().decode()
    return FixedFile(path, before, before + ("" if before.endswith("\n") else "\n") + entry, ())


def _ids(rules: Path, source: str) -> Iterator[FixedFile]:
    """The list of ids for editors, where the rules have one, with one more source."""
    path = ids_file(rules)
    if path.is_file():
        base = read_base(rules, rules.parent / "cases")
        next(iter(base.of("sources").values())).data[source] = {}
        yield FixedFile(path, path.read_bytes().decode(), ids_text(base), ())


def _logged(path: Path, evidence: Evidenced, words: int, rules: int) -> FixedFile:
    """A line at the end of the newest part of the changelog."""
    before = path.read_bytes().decode()
    parts = [match.start() for match in re.finditer(r"^## ", before, re.MULTILINE)]
    end = parts[1] if len(parts) > 1 else len(before)
    part, rest = before[:end].rstrip("\n"), before[end:]
    cited = evidence.cite[0].lower() + evidence.cite[1:].rstrip(".")
    line = f"- {words} words of {rules} rules were learned from {cited} (`{evidence.id}`)."
    return FixedFile(path, before, f"{part}\n{line}\n" + (f"\n{rest}" if rest else ""), ())


@contextmanager
def tried(rules: Path, files: Sequence[FixedFile]) -> Iterator[Path]:
    """A copy of rules, cases and schemas with the files changed, which has passed the check: the folder of its rules.

    Raises: KnowledgeRefused: with the errors that the changed rules would have.
    """
    home = rules.parent.resolve()
    with tempfile.TemporaryDirectory(prefix="saltriage-") as folder:
        top = Path(folder).resolve()
        for name in ("cases", "schemas"):
            if (home / name).is_dir():
                shutil.copytree(home / name, top / name)
        shutil.copytree(rules, top / rules.name)
        for file in files:
            (top / file.path.resolve().relative_to(home)).write_bytes(file.after.encode())
        errors = [each for each in check_rules((), top / rules.name).findings if each.severity == "error"]
        if errors:
            raise KnowledgeRefused(errors)
        yield top / rules.name


def compared(rules: Path, changed: Path, callers: int) -> Comparison:
    """What `rules diff` says that the changed rules tell callers otherwise."""
    return compare(str(rules.parent.resolve()), str(changed.parent), rules.parent, callers)
