"""`rules check`: findings of the whole knowledge base or of named files, and what was looked at."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.checking import meaning_findings
from saltriage.knowledge.findings import Finding, finding_at, in_order
from saltriage.knowledge.home import data_folder, is_installed
from saltriage.knowledge.places import Place
from saltriage.knowledge.rule_files import Base, read_base, rule_paths
from saltriage.workshop.program_ids import program_findings
from saltriage.workshop.versions import version_findings

__all__ = ["Checked", "calculators", "check_rules", "nearby"]

_CASE_ENDINGS = (".yaml", ".yml", ".json")


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
    from saltriage.believe.situation import UPPER_TARGET

    return frozenset((*CALCULATORS, UPPER_TARGET, *DOSE_CALCULATORS))


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
        rules: folder of the rules; the project's own if not given.    cases: False leaves cases out.
        known: names of calculators; the engine's own if not given.

    Raises: UsageRefused: a path is not there, or is neither a rule nor a case.
    """
    for path in paths:
        if not path.exists():
            raise UsageRefused(f"{path}: there is no such file or folder")
    homes = [path for path in paths if (path / "knowledge.yaml").is_file()]
    if len(homes) > 1 or (homes and rules is not None):
        raise UsageRefused("more than one folder of rules is named; check one at a time")
    home = nearby(homes[0] if homes else rules if rules is not None else data_folder("rules"))
    names = calculators() if known is None else frozenset(known)
    wanted = [] if homes else list(paths)
    if len(wanted) == 1 and wanted[0].is_file():
        return _one_file(wanted[0], home, cases, names)
    reference = _reference(home, cases)
    findings = _findings(read_base(home, reference, names), home)
    files = _files(home, reference)
    if wanted:
        files = [file for file in files if any(_is_below(file, path) for path in wanted)]
        findings = [finding for finding in findings if any(_is_below(Path(finding.file), path) for path in wanted)]
    if not files and not any(finding.code == "R034" for finding in findings):
        where = ", ".join(map(str, wanted)) or str(home)
        findings.append(
            finding_at("R034", where, Place(1, 1), "No rules were found here.", "Name a rule, a case or a folder.")
        )
    return Checked(tuple(file.as_posix() for file in files), tuple(findings))


def _one_file(path: Path, home: Path, cases: bool, names: frozenset[str]) -> Checked:
    """One file with the rest around it; quicker, since unchanged rules come from the bundle."""
    wanted, reference = path.resolve(), _reference(home, cases)
    if not any(folder and wanted.is_relative_to(folder.resolve()) for folder in (home, reference)):
        raise UsageRefused(f"{path} lies neither below {home} nor below its reference cases")
    base = read_base(home, reference, names, only=wanted)
    own = [finding for finding in _findings(base, home) if Path(finding.file).resolve() == wanted]
    return Checked((nearby(path).as_posix(),), tuple(own))


def _findings(base: Base, home: Path) -> list[Finding]:
    found = [*base.findings, *meaning_findings(base), *version_findings(base, home)]
    if not is_installed() and home.resolve() == data_folder("rules").resolve():
        found += program_findings(base)
    return in_order(found)


def _reference(home: Path, cases: bool) -> Path | None:
    """The folder of reference cases that lies beside the rules; one that is not there makes every case unknown."""
    return home.parent / "cases" / "reference" if cases else None


def _files(home: Path, reference: Path | None) -> list[Path]:
    found = rule_paths(home) if home.is_dir() else []
    if reference and reference.is_dir():
        found += [path for path in rule_paths(reference) if path.suffix in _CASE_ENDINGS]
    return sorted(found)


def _is_below(file: Path, path: Path) -> bool:
    return file.resolve().is_relative_to(path.resolve())
