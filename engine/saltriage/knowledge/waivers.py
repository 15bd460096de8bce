"""rules/waivers.yaml: findings that are allowed for a while, each with its reason and last day."""

from collections.abc import Iterable, Iterator
from typing import Any

from saltriage.knowledge.findings import Finding, nearest
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile
from saltriage.knowledge.schemas import FOLDERS

__all__ = ["not_waived"]

_FOLDER_OF = {kind: folder for folder, kind in FOLDERS.items()} | {"case": "cases"}


def not_waived(found: Iterable[Finding], base: Base, today: str = "") -> Iterator[Finding]:
    """What no waiver allows, and the waivers that are over or allow nothing.

    Args: today: as 2026-11-25; if empty, waivers hold whatever their day, and none is looked at.
    """
    names = {rule.file: _name(rule) for rule in base.everything()}
    entries = [
        (file, ("waivers", n), entry)
        for file in base.kept("waivers")
        for n, entry in enumerate(file.data.get("waivers", ()))
    ]
    holding = {(entry["check"], entry["rule"]) for _, _, entry in entries if entry["until"] >= today}
    used = set[tuple[str, str]]()
    for finding in found:
        key = finding.code, names.get(finding.file, "")
        if key in holding:
            used.add(key)
        else:
            yield finding
    for file, path, entry in entries if today else ():
        if entry["until"] < today:
            yield _over(file, path, entry)
        elif (entry["check"], entry["rule"]) not in used:
            yield _unused(file, path, entry, names.values())


def _over(file: RuleFile, path: Path, entry: dict[str, Any]) -> Finding:
    mend = f"Mend what {entry['check']} finds in {entry['rule']} and take the waiver out, or give it another day."
    return file.finding("R072", (*path, "until"), f"The waiver was good until {entry['until']}.", mend)


def _unused(file: RuleFile, path: Path, entry: dict[str, Any], known: Iterable[str]) -> Finding:
    mend = "Take the waiver out." if entry["rule"] in known else f"{nearest(entry['rule'], known)}Take it out."
    return file.finding("R073", (*path, "rule"), f"{entry['check']} finds nothing in {entry['rule']}.", mend)


def _name(rule: RuleFile) -> str:
    """As waivers and versions.lock name it: its folder and id."""
    return f"{_FOLDER_OF[rule.kind]}/{rule.id}" if rule.kind in _FOLDER_OF else rule.id
