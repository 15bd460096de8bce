"""`rules check`: the one place where all looks come together, and what was looked at.

It takes the whole knowledge base or named files.
"""

import datetime
import gc
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.checking import findings_of
from saltriage.knowledge.findings import Finding, finding_at, in_order
from saltriage.knowledge.home import Tree, chosen_tree
from saltriage.knowledge.places import Place
from saltriage.knowledge.rule_files import Base, case_paths, read_base, rule_paths
from saltriage.words.accounts import ACCOUNTS_FOLDER
from saltriage.words.danger.reader import CORPUS_FOLDER
from saltriage.words.learned import CORPUS_FOLDER as SAYINGS_FOLDER
from saltriage.workshop.account_check import account_findings
from saltriage.workshop.case_refusals import refused_cases
from saltriage.workshop.danger_check import danger_findings
from saltriage.workshop.editor_ids import stale_ids
from saltriage.workshop.program_ids import REGISTRY, program_findings
from saltriage.workshop.saying_check import saying_findings
from saltriage.workshop.versions import version_findings

__all__ = ["Checked", "calculators", "check_rules", "nearby", "tree_to_check"]

_CORPUS_ENDINGS = (".yaml", ".jsonl", ".npz")


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found.

    Args: files: every file looked at, sorted.    findings: sorted by file and line.
    """

    files: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> int:
        return sum(finding.severity == "error" for finding in self.findings)

    @property
    def warnings(self) -> int:
        return len(self.findings) - self.errors


def calculators() -> frozenset[str]:
    """Names that a computed reading or a dose may use."""
    from saltriage.advise.doses import DOSE_CALCULATORS
    from saltriage.believe.calculators import CALCULATORS
    from saltriage.believe.situation import TARGET_ENDS

    return frozenset((*CALCULATORS, *TARGET_ENDS, *DOSE_CALCULATORS))


def nearby(path: Path) -> Path:
    """A path relative to the current folder where it lies below it: the form that editors and annotations follow."""
    try:
        return path.resolve().relative_to(Path.cwd())
    except ValueError:
        return path


def check_rules(
    paths: Sequence[Path] = (), rules: Path | None = None, cases: bool = True, known: Iterable[str] | None = None
) -> Checked:
    """Check a knowledge base.

    Args:
        paths: files or folders to report on; empty means all. A folder with knowledge.yaml in it is taken for `rules`.
        rules: folder of the rules; see `chosen_tree` if not given.    cases: False leaves cases out.
        known: names of calculators; the engine's own if not given.

    Raises: UsageRefused: a path is not there, or is neither a rule nor a case.
    """
    with _nothing_collected():
        return _checked(paths, rules, cases, calculators() if known is None else frozenset(known))


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Without garbage collection: all that is read stays, and looking through it again and again took a tenth."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _checked(paths: Sequence[Path], rules: Path | None, cases: bool, names: frozenset[str]) -> Checked:
    for path in paths:
        if not path.exists():
            raise UsageRefused(f"{path}: there is no such file or folder")
    home = nearby(tree_to_check(paths, rules).rules)
    wanted = [] if _homes(paths) else list(paths)
    if len(wanted) == 1 and wanted[0].is_file():
        return _one_file(wanted[0], home, cases, names)
    told = _cases_beside(home, cases)
    findings = _findings(read_base(home, told, names), home)
    files = _files(home, told)
    if wanted:
        files = [file for file in files if any(_is_below(file, path) for path in wanted)]
        findings = [finding for finding in findings if any(_is_below(Path(finding.file), path) for path in wanted)]
    if not files and not any(finding.code == "R034" for finding in findings):
        where = ", ".join(map(str, wanted)) or str(home)
        findings.append(
            finding_at("R034", where, Place(1, 1), "No rules were found here.", "Name a rule, a case or a folder.")
        )
    return Checked(tuple(file.as_posix() for file in files), tuple(findings))


def tree_to_check(paths: Sequence[Path] = (), rules: Path | None = None) -> Tree:
    """The tree that `check_rules` looks at: a folder of rules among the paths is as good as one named for `rules`.

    Raises: UsageRefused: two are named.
    """
    homes = _homes(paths)
    if len(homes) > 1 or (homes and rules is not None):
        raise UsageRefused("more than one folder of rules is named; check one at a time")
    return chosen_tree(homes[0] if homes else rules)


def _homes(paths: Sequence[Path]) -> list[Path]:
    return [path for path in paths if (path / "knowledge.yaml").is_file()]


def _one_file(path: Path, home: Path, cases: bool, names: frozenset[str]) -> Checked:
    """One file with the rest around it; quicker, since unchanged rules come from the bundle."""
    wanted, told = path.resolve(), _cases_beside(home, cases)
    if not any(folder and wanted.is_relative_to(folder.resolve()) for folder in (home, told)):
        raise UsageRefused(f"{path} lies neither below {home} nor below its cases; name the folder of its rules")
    base = read_base(home, told, names, only=wanted)
    own = [finding for finding in _findings(base, home) if Path(finding.file).resolve() == wanted]
    return Checked((nearby(path).as_posix(),), tuple(own))


def _findings(base: Base, home: Path) -> list[Finding]:
    """What every look finds, of those below who see the rules alone and of those here who see more."""
    found = findings_of(base, stale_ids(base, home), datetime.date.today().isoformat())
    program = home.resolve().parent / "engine" / "saltriage"
    if (program / REGISTRY).is_file():  # in a checkout the program lies beside its rules
        found = [*found, *program_findings(base, program)]
    # A word mistyped changes the meaning too; whether the version must rise is known once it is mended.
    wrong = {finding.file for finding in found if finding.severity == "error"}
    risen = [finding for finding in version_findings(base, home) if finding.file not in wrong]
    of_lines = [
        *danger_findings(home),
        *saying_findings(home, base.of("symptom"), base.of("reading")),
        *account_findings(home, base.of("cause")),
    ]
    return in_order([*found, *refused_cases(base, home, found), *risen, *of_lines])


def _cases_beside(home: Path, cases: bool) -> Path | None:
    """The folder of cases that lies beside the rules; one that is not there makes every case unknown."""
    return home.parent / "cases" if cases else None


def _files(home: Path, cases: Path | None) -> list[Path]:
    found = rule_paths(home) if home.is_dir() else []
    for folder in (CORPUS_FOLDER, SAYINGS_FOLDER, ACCOUNTS_FOLDER):
        found += [path for path in (home / folder).glob("*") if path.suffix in _CORPUS_ENDINGS]
    return sorted([*found, *(case_paths(cases) if cases else ())])


def _is_below(file: Path, path: Path) -> bool:
    return file.resolve().is_relative_to(path.resolve())
