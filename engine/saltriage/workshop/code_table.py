"""The table of check codes in DEVELOPERS.md, made from the checks themselves."""

from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.checks import CHECKS

__all__ = ["code_table", "with_code_table", "write_code_table"]

BEGIN = "<!-- checks: begin; written by `saltriage rules codes --write DEVELOPERS.md` -->"
END = "<!-- checks: end -->"
_SHOWN = 60  # signs of an example's line: the longest ones show only that they are too long


def code_table() -> str:
    """Every check as a row of a Markdown table, in the order of codes."""
    rows = [
        f'| <a id="{check.code.lower()}"></a>{check.code} | {check.name} | {check.severity} | {_cell(check.what)} '
        f"| {_cell(check.mend)} | {_example(check.example.bad)} | {_example(check.example.good)} |"
        for check in CHECKS.values()
    ]
    head = [
        "| code | name | | what is wrong | why, and how to mend it | not | but |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    return "\n".join([*head, *rows])


def _example(text: str) -> str:
    """The stretch as code, line by line and cut short."""
    lines = [line if len(line) <= _SHOWN else f"{line[:_SHOWN]}..." for line in text.splitlines()]
    return "<br>".join(f"`{line}`".replace("|", "\\|") for line in lines)


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "&lt;")


def with_code_table(text: str) -> str:
    """The text with the table anew between its two markers. Raises: UsageRefused: a marker is missing."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise UsageRefused(f"the file has not both markers {BEGIN} and {END}")
    return f"{before}{BEGIN}\n\n{code_table()}\n\n{END}{after}"


def write_code_table(path: Path) -> None:
    """Write the table anew in a file that holds the two markers."""
    path.write_text(with_code_table(path.read_text(encoding="utf-8")), encoding="utf-8")
