"""Callers' phrases: each belongs to one symptom, or it can be heard as only one of two."""

import re
from collections.abc import Iterator

from saltriage.knowledge.findings import Finding
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]

_NO_LETTER = re.compile(r"[^a-z0-9]+")


def findings(base: Base) -> Iterator[Finding]:
    said: dict[str, list[tuple[RuleFile, int]]] = {}
    for rule in base.kept("symptom"):
        if rule.data.get("status") == "retired":
            continue
        for n, phrase in enumerate(rule.data.get("phrases", ())):
            said.setdefault(_NO_LETTER.sub(" ", phrase.casefold()).strip(), []).append((rule, n))
    for places in said.values():
        for rule, n in places:  # told at each: who checks one file alone is to see it, whichever was there first
            other = next((each for each, _ in places if each is not rule), None)
            if other is not None:
                message = f'"{rule.data["phrases"][n]}" is a phrase of the symptom "{other.id}" as well.'
                mend = f"Take it out of one of the two ({other.file}), or say more in it."
                yield rule.finding("R066", ("phrases", n), message, mend)
