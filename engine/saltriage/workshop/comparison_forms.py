"""A comparison as text, JSON, or Markdown for a comment on a pull request."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict

from saltriage.workshop.comparison import ASPECTS, Change, Comparison

__all__ = ["FORMS", "short_text"]

FORMAT_VERSION = 1
_TITLES = {
    "first": "another first cause", "order": "another order of the first three", "stop": "another stop rule",
    "dose": "another dose", "action": "other actions", "refused": "refused by one of the two",
}  # fmt: skip
_MOST = 20  # lines of one aspect in a comment; the rest is counted


def text(found: Comparison) -> str:
    """Summary first, then every change."""
    lines = [*_summary(found), ""]
    for aspect in ASPECTS:
        changes = [change for change in found.changes if change.aspect == aspect]
        lines += [f"{_TITLES[aspect]}: {len(changes)}"] if changes else []
        lines += [f"  {_who(change)}: {change.before} -> {change.after}" for change in changes]
    return "\n".join(lines).rstrip() + "\n"


def short_text(found: Comparison) -> str:
    """Summary, how many differ in each aspect, and every other first cause."""
    counted = [f"{_TITLES[aspect]}: {found.touched[aspect]}" for aspect in ASPECTS if found.touched[aspect]]
    firsts = [change for change in found.changes if change.aspect == "first"]
    lines = [*_summary(found), *counted, *(f"  {_who(each)}: {each.before} -> {each.after}" for each in firsts)]
    return "\n".join(lines) + "\n"


def _summary(found: Comparison) -> list[str]:
    counted = [f"{sum(how == word for how in found.rules.values())} {word}" for word in _words(found)]
    touched = len({change.caller for change in found.changes if not change.is_case})
    cases = len({change.caller for change in found.changes if change.is_case})
    return [
        f"rules: {', '.join(counted) or 'none changed'}",
        f"cases: {cases} of {found.cases} answered otherwise; sampled callers: {touched} of {found.callers}",
        f"knowledge version: {found.old} before, {found.new} now; wanted {found.suggested} ({found.why})",
    ]


def _words(found: Comparison) -> list[str]:
    return [word for word in ("added", "removed", "changed", "reworded") if word in found.rules.values()]


def _who(change: Change) -> str:
    return change.caller if change.is_case else f"{change.caller} ({change.title})"


def json_form(found: Comparison) -> str:
    """Everything, for a program."""
    data = {
        "format": FORMAT_VERSION,
        "old": found.old,
        "new": found.new,
        "suggested": found.suggested,
        "why": found.why,
        "rules": found.rules,
        "cases": found.cases,
        "callers": found.callers,
        "touched": {aspect: found.touched[aspect] for aspect in ASPECTS},
        "changes": [asdict(change) for change in found.changes],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def markdown(found: Comparison) -> str:
    """A summary, a table of counts, and the changes folded below."""
    lines = ["### What these rules change for callers", ""]
    lines += [f"- {line}" for line in _summary(found)]
    lines += ["", "| what differs | cases | sampled callers |", "| --- | ---: | ---: |"]
    for aspect in ASPECTS:
        changes = [change for change in found.changes if change.aspect == aspect]
        lines.append(f"| {_TITLES[aspect]} | {_count(changes, True)} | {_count(changes, False)} |")
    for aspect in ASPECTS:
        changes = [change for change in found.changes if change.aspect == aspect]
        if changes:
            lines += ["", f"<details><summary>{_TITLES[aspect]} ({len(changes)})</summary>", ""]
            lines += ["| caller | before | now |", "| --- | --- | --- |"]
            lines += [
                f"| {_cell(_who(each))} | {_cell(each.before)} | {_cell(each.after)} |" for each in changes[:_MOST]
            ]
            lines += [f"| and {len(changes) - _MOST} more | | |"] if len(changes) > _MOST else []
            lines += ["", "</details>"]
    return "\n".join(lines) + "\n"


def _row(change: Change) -> str:
    return f"| {_cell(_who(change))} | {_cell(change.before)} | {_cell(change.after)} |"


def _count(changes: list[Change], cases: bool) -> int:
    return len({change.caller for change in changes if change.is_case is cases})


def _cell(told: str) -> str:
    return told.replace("|", "\\|").replace("\n", " ").replace("<", "&lt;")


FORMS: Mapping[str, Callable[[Comparison], str]] = {"text": text, "json": json_form, "markdown": markdown}
"""Name of each form -> function that writes it."""
