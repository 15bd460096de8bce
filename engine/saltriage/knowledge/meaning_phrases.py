"""Callers' phrases: each belongs to one symptom, or it can be heard as only one of two."""

import re
from collections.abc import Iterator

from saltriage.knowledge.findings import Finding
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]

_NO_LETTER = re.compile(r"[^a-z0-9]+")


def findings(base: Base) -> Iterator[Finding]:
    owners: dict[str, RuleFile] = {}
    for rule in base.kept("symptom"):
        if rule.data.get("status") == "retired":
            continue
        for n, phrase in enumerate(rule.data.get("phrases", ())):
            owner = owners.setdefault(_NO_LETTER.sub(" ", phrase.casefold()).strip(), rule)
            if owner is not rule:
                message = f'"{phrase}" is a phrase of the symptom "{owner.id}" as well.'
                mend = f"Take it out of one of the two ({owner.file}), or say more in it."
                yield rule.finding("R066", ("phrases", n), message, mend)
