"""The check of a set of rules and of one file, with the calculators that the good set names."""

from pathlib import Path

from saltriage.knowledge.findings import Finding
from saltriage.workshop.checked import check_rules

CALCULATORS = ("salt-to-add", "salt-short-of-band")


def check(rules: Path | None = None, cases: bool = True) -> list[Finding]:
    """Everything found in a folder of rules and the cases beside it."""
    return list(check_rules((), rules, cases, known=CALCULATORS).findings)


def check_file(path: Path, rules: Path | None = None, cases: bool = True) -> list[Finding]:
    """What is found in one file with the rest around it."""
    return list(check_rules([path], rules, cases, known=CALCULATORS).findings)
