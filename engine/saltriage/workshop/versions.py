"""versions.lock: what the last release of the rules held, so that a changed meaning cannot keep its version.

The file is written by `saltriage rules lock` when rules are released, never by hand; contributors do not touch it.
Lines: ``knowledge VERSION``, ``scales HASH``, ``rule FOLDER/ID VERSION MEANING WORDING``, ``case ID FIRST-CAUSE``.
"""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Finding, finding_at
from saltriage.knowledge.places import Place
from saltriage.knowledge.rule_files import LOCK, Base, RuleFile
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.meaning import meaning_hash, wording_hash

__all__ = ["LOCK", "Lock", "Locked", "locked_rule", "read_lock", "suggested_version", "version_findings", "write_lock"]

_HEADER = """\
# What the last release of the rules held. Written by `saltriage rules lock`, never by hand.
# rule FOLDER/ID VERSION HASH-OF-MEANING HASH-OF-WORDING; case ID FIRST-CAUSE (- where none comes first)
"""
_FOLDER_OF = {kind: folder for folder, kind in FOLDERS.items()}


@dataclass(frozen=True, slots=True)
class Locked:
    """One rule as released."""

    version: int
    meaning: str
    wording: str


@dataclass(frozen=True, slots=True)
class Lock:
    """A whole release: version of the knowledge, hash of its scales, rules by ``folder/id``, first cause by case."""

    knowledge: str = ""
    scales: str = ""
    rules: Mapping[str, Locked] = field(default_factory=dict)
    firsts: Mapping[str, str] = field(default_factory=dict)


def locked_rule(rule: RuleFile) -> Locked:
    """A rule as the lock would keep it."""
    return Locked(rule.data["version"], meaning_hash(rule.data), wording_hash(rule.data))


def read_lock(rules: Path) -> Lock | None:
    """The lock of a folder of rules; None where there is none yet.

    Raises: UsageRefused: a line of another form; somebody wrote it by hand.
    """
    path = rules / LOCK
    if not path.is_file():
        return None
    head = {"knowledge": "", "scales": ""}
    kept: dict[str, Locked] = {}
    firsts: dict[str, str] = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        match line.split():
            case []:
                pass
            case [word, *_] if word.startswith("#"):
                pass
            case ["knowledge" | "scales" as word, told]:
                head[word] = told
            case ["rule", key, version, meaning, wording] if version.isascii() and version.isdigit():
                kept[key] = Locked(int(version), meaning, wording)
            case ["case", key, first]:
                firsts[key] = "" if first == "-" else first
            case _:
                raise UsageRefused(f"{path}:{number}: not a line of a lock file; run `saltriage rules lock` again")
    return Lock(head["knowledge"], head["scales"], kept, firsts)


def write_lock(rules: Path, lock: Lock) -> None:
    """Write the lock file, whole or not at all."""
    lines = [f"knowledge {lock.knowledge}", f"scales {lock.scales}"]
    lines += [f"rule {key} {rule.version} {rule.meaning} {rule.wording}" for key, rule in sorted(lock.rules.items())]
    lines += [f"case {key} {first or '-'}" for key, first in sorted(lock.firsts.items())]
    part = rules / f".{LOCK}.part"
    part.write_text(_HEADER + "".join(f"{line}\n" for line in lines), encoding="utf-8")
    part.replace(rules / LOCK)


def version_findings(base: Base, rules: Path, today: str = "") -> Iterator[Finding]:
    """Rules whose meaning has changed since the last release but whose version has not risen; rules taken away.

    Args: today: for the remedy's text; the current day if not given.
    """
    lock = read_lock(rules)
    if lock is None:
        return
    day = today or datetime.date.today().isoformat()
    present = set()
    for rule in base.all_sound():
        key = f"{_FOLDER_OF[rule.kind]}/{rule.id}"
        present.add(key)
        if key in lock.rules and rule.document is not None:
            yield from _risen(rule, lock.rules[key], day)
    unsound = {f"{_FOLDER_OF[kind]}/{id}" for kind in base.rules if kind in _FOLDER_OF for id in base.of(kind)}
    for key in sorted(set(lock.rules) - present - unsound):
        message = f"{key} was released with version {lock.rules[key].version} and is gone."
        mend = "Put it back with `status: retired` and `replaced-by` or `retired-because`; its id stays taken."
        yield finding_at("R071", (rules / LOCK).as_posix(), Place(1, 1), message, mend)


def _risen(rule: RuleFile, released: Locked, day: str) -> Iterator[Finding]:
    now = locked_rule(rule)
    changed = now.meaning != released.meaning
    if now.version < released.version or (changed and now.version == released.version):
        line = rule.document.place(("version",)).line if rule.document else 1
        wanted = released.version + changed
        what = "Its meaning has changed" if changed else "Its version has fallen"
        message = f"{what} since version {released.version} was released."
        mend = f"Make line {line} read `version: {wanted}`" + (f' and the next `changed: "{day}"`.' if changed else ".")
        yield rule.finding("R070", ("version",), message, mend)


def suggested_version(released: Lock, now: Lock) -> tuple[str, str]:
    """The version that the knowledge should have, and why.

    A reference case with another first cause raises the first number, a new or changed rule the second, wording the
    third. Nothing changed: the released version.
    """
    major, minor, patch = (int(part) for part in released.knowledge.split("."))
    moved = sorted(case for case, first in now.firsts.items() if released.firsts.get(case, first) != first)
    if moved:
        return f"{major + 1}.0.0", f"another first cause in {len(moved)} reference cases, for example {moved[0]}"
    new = sorted(set(now.rules) - set(released.rules))
    changed = sorted(key for key in released.rules if now.rules.get(key, released.rules[key]).meaning
                     != released.rules[key].meaning)  # fmt: skip
    if new or changed or now.scales != released.scales:
        why = f"{len(new)} new rules, {len(changed)} changed rules"
        return f"{major}.{minor + 1}.0", why + (", changed scales" if now.scales != released.scales else "")
    reworded = [key for key in released.rules if key in now.rules and now.rules[key] != released.rules[key]]
    if reworded:
        return f"{major}.{minor}.{patch + 1}", f"wording of {len(reworded)} rules"
    return released.knowledge, "nothing changed"
