"""`rules lock`: write versions.lock when rules are released, and say which version the knowledge should have."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from saltriage.errors import KnowledgeRefused
from saltriage.knowledge.findings import in_order
from saltriage.knowledge.rule_files import read_base
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.meaning import meaning_hash
from saltriage.workshop.versions import (
    Lock,
    locked_rule,
    read_lock,
    suggested_version,
    version_findings,
    write_lock,
)

__all__ = ["Release", "lock_of", "release", "wanted_version"]

_FOLDER_OF = {kind: folder for folder, kind in FOLDERS.items()}


@dataclass(frozen=True, slots=True)
class Release:
    """Args: version: of the knowledge as it is.    wanted, why: what it should be.    written: the lock was written."""

    version: str
    wanted: str
    why: str
    written: bool


def lock_of(rules: Path, firsts: Mapping[str, str]) -> Lock:
    """The lock as it would be written now. Args: firsts: case -> its first cause, empty where none comes first."""
    base = read_base(rules, None)
    about = next(base.sound("knowledge")).data
    kept = {f"{_FOLDER_OF[rule.kind]}/{rule.id}": locked_rule(rule) for rule in base.all_sound()}
    return Lock(about["version"], meaning_hash(about["scales"]), kept, dict(firsts))


def wanted_version(rules: Path, now: Lock) -> tuple[str, str]:
    """The version that the knowledge should have, and why: always as against the last release, which the lock holds.

    Args: now: the lock as it would be written.
    """
    released = read_lock(rules)
    return suggested_version(released, now) if released else (now.knowledge, "the first release")


def release(rules: Path, write: bool, anew: bool = False) -> Release:
    """Hold the rules against the last release, and write the lock if asked to and the versions are as they should be.

    Args: anew: forget the last release, which nobody has seen yet, and take the rules as they stand for it.
    Raises: KnowledgeRefused: a changed meaning whose version has not risen, or any other error of the rules.
    """
    from saltriage.workshop.first_causes import first_causes

    base = read_base(rules, None)
    found = in_order([*base.findings, *(() if anew else version_findings(base, rules))])
    if any(finding.severity == "error" for finding in found):
        raise KnowledgeRefused([finding for finding in found if finding.severity == "error"])
    now = lock_of(rules, first_causes(rules))
    wanted, why = (now.knowledge, "taken anew") if anew else wanted_version(rules, now)
    fits = _numbers(now.knowledge) >= _numbers(wanted)
    if write and fits:
        write_lock(rules, now)
    return Release(now.knowledge, wanted, why, write and fits)


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in version.split("."))
