"""`rules fix`: the changes that findings bring along, made in a copy until nothing is left to change.

Each change is the finding's own. The copy is checked again after each round, so that a change of one kind may follow
another, and what is written has been checked as it stands.
"""

import difflib
import shutil
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Edit, Finding
from saltriage.knowledge.places import lines_of
from saltriage.knowledge.whole_file import write_whole
from saltriage.workshop.checked import check_rules
from saltriage.workshop.editor_ids import ids_file

__all__ = ["FixedFile", "edited", "fixed_files", "with_edits", "write_fixed"]

_ROUNDS = 9  # the longest chain is four: words, quotes, id, order; more means that two changes undo each other


@dataclass(frozen=True, slots=True)
class FixedFile:
    """One file to change. Args: path: where it is.    before, after: its text.    codes: of what is mended."""

    path: Path
    before: str
    after: str
    codes: tuple[str, ...]

    @property
    def difference(self) -> str:
        """As `diff -u` shows it."""
        name = self.path.as_posix()
        parts = (self.before.splitlines(keepends=True), self.after.splitlines(keepends=True))
        return "".join(difflib.unified_diff(*parts, name, name))


def fixed_files(rules: Path, paths: Sequence[Path] = (), known: frozenset[str] | None = None) -> list[FixedFile]:
    """What would be changed, sorted by path; nothing is written.

    Args:
        rules: folder of the rules; cases and schemas lie beside it.
        paths: files or folders to mend; empty means all.
        known: names of calculators; the engine's own if not given.

    Raises: UsageRefused: two changes undo each other.
    """
    wanted = [path.resolve() for path in paths]
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder).resolve() / rules.name
        _copy(rules, copy)
        codes: dict[Path, set[str]] = {}
        for _ in range(_ROUNDS):
            found = [each for each in check_rules((), copy, known=known).findings if each.edit]
            found = [each for each in found if _is_wanted(_home(each, copy, rules), wanted)]
            if not found:
                break
            for file in {each.file for each in found}:
                own = [each for each in found if each.file == file]
                path = Path(file)
                path.write_bytes(edited(path.read_bytes().decode(), own).encode())
                codes.setdefault(path, set()).update(each.code for each in own)
        else:
            raise UsageRefused(f"{found[0].file}: {found[0].code} comes back after each change; mend it by hand")
        return [
            FixedFile(
                rules.parent / path.relative_to(copy.parent),
                (rules.parent / path.relative_to(copy.parent)).read_bytes().decode(),
                path.read_bytes().decode(),
                tuple(sorted(codes[path])),
            )
            for path in sorted(codes)
        ]


def write_fixed(files: Sequence[FixedFile]) -> None:
    """Write every file anew, each whole or not at all."""
    for file in files:
        write_whole(file.path, file.after.encode())


def edited(text: str, findings: Sequence[Finding]) -> str:
    """The text with the changes of these findings."""
    return with_edits(text, {each.edit for each in findings if each.edit})


def with_edits(text: str, edits: Iterable[Edit]) -> str:
    """The text with these changes; of two that overlap, the one that begins first is made now."""
    starts = [0]
    for line in lines_of(text):
        starts.append(starts[-1] + len(line) + 1)
    made: list[Edit] = []
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.rest)):
        if not made or edit.start >= made[-1].rest:
            made.append(edit)
    for edit in reversed(made):
        first, rest = (starts[line - 1] + column - 1 for line, column in (edit.start, edit.rest))
        text = text[:first] + edit.text + text[rest:]
    return text


def _copy(rules: Path, copy: Path) -> None:
    shutil.copytree(rules, copy)
    cases = rules.parent / "cases"
    if cases.is_dir():
        shutil.copytree(cases, copy.parent / "cases")
    if ids_file(rules).is_file():
        ids_file(copy).parent.mkdir()
        shutil.copy(ids_file(rules), ids_file(copy))


def _home(finding: Finding, copy: Path, rules: Path) -> Path:
    return (rules.parent / Path(finding.file).relative_to(copy.parent)).resolve()


def _is_wanted(path: Path, wanted: Sequence[Path]) -> bool:
    return not wanted or any(path.is_relative_to(each) for each in wanted)
