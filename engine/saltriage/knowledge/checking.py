"""Checks a whole knowledge base, or one file of it, and says everything that is wrong in it."""

from collections.abc import Callable, Iterable
from pathlib import Path as FilePath

from saltriage.errors import UsageRefused
from saltriage.knowledge import meaning_conditions, meaning_links, meaning_rules, meaning_settings, meaning_text
from saltriage.knowledge.findings import Finding, in_order
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.rule_files import Base, read_base

__all__ = ["check", "check_file", "meaning_findings"]

_MEANING: tuple[Callable[[Base], Iterable[Finding]], ...] = (
    meaning_links.findings, meaning_rules.findings, meaning_conditions.findings, meaning_text.findings,
    meaning_settings.findings,
)  # fmt: skip


def check(
    folder: FilePath | str | None = None,
    cases: bool | FilePath | str = True,
    *,
    calculators: Iterable[str] | None = None,
) -> list[Finding]:
    """Everything that is wrong in a knowledge base, sorted by file and line.

    Args:
        folder: of the rules; the project's own if not given.
        cases: True for the folder cases/reference beside the rules, False to leave cases out, or the folder of cases.
        calculators: names of registered calculators; None leaves the names in rules unchecked.
    """
    rules = FilePath(folder) if folder is not None else data_folder("rules")
    base = read_base(rules, _cases_folder(rules, cases), None if calculators is None else frozenset(calculators))
    return in_order([*base.findings, *meaning_findings(base)])


def check_file(
    path: FilePath | str,
    folder: FilePath | str | None = None,
    cases: bool | FilePath | str = True,
    *,
    calculators: Iterable[str] | None = None,
) -> list[Finding]:
    """What is wrong in one file, with the rest of the knowledge base around it.

    Args:
        path: a rule or case.
        folder, cases, calculators: as for `check`.

    Raises:
        UsageRefused: the file is not part of the knowledge base.
    """
    wanted = FilePath(path).resolve()
    rules = FilePath(folder) if folder is not None else data_folder("rules")
    reference = _cases_folder(rules, cases)
    if not any(home and wanted.is_relative_to(home.resolve()) for home in (rules, reference)):
        raise UsageRefused(f"{path} lies neither below {rules} nor below its cases; name the folder of its rules")
    base = read_base(rules, reference, None if calculators is None else frozenset(calculators), only=wanted)
    found = in_order([*base.findings, *meaning_findings(base)])
    return [finding for finding in found if FilePath(finding.file).resolve() == wanted]


def meaning_findings(base: Base) -> list[Finding]:
    """What the schemas cannot say: references, units, cycles, safety, wording."""
    return [finding for look in _MEANING for finding in look(base)]


def _cases_folder(rules: FilePath, cases: bool | FilePath | str) -> FilePath | None:
    if cases is False:
        return None
    home = rules.parent / "cases" if cases is True else FilePath(cases)
    return home / "reference" if cases is True or (home / "reference").is_dir() else home
