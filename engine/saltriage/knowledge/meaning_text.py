"""Wording of texts for people: calm and short, by the words that wording.yaml does not want."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from saltriage.knowledge.findings import Edit, Finding
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]

_CALLERS_OWN = ("phrases",)


def findings(base: Base) -> Iterator[Finding]:
    unwanted = {entry["text"].casefold(): entry for file in base.kept("wording") for entry in file.data["unwanted"]}
    if not unwanted:
        return
    pattern = re.compile("|".join(_whole_word(text) for text in unwanted), re.IGNORECASE)
    for rule in base.all_kept():
        # Of a hearing rule all but its title is what callers say.
        data = {"title": rule.data.get("title", "")} if rule.kind == "hearing" else rule.data
        for path, text in _texts(data, ()):
            found = pattern.search(text)
            if found:
                entry = unwanted[found[0].casefold()]
                finding = rule.finding("R060", path, f'"{found[0]}" stands in the text.', entry["mend"])
                yield replace(finding, edit=_edit(rule, path, found[0], entry["put"]))


def _whole_word(text: str) -> str:
    """The text as a pattern: letters at its ends end a word there."""
    return (r"\b" if text[0].isalnum() else "") + re.escape(text) + (r"\b" if text[-1].isalnum() else "")


def _edit(rule: RuleFile, path: Path, text: str, put: str) -> Edit | None:
    """The change in the file's own line; none where the text goes on over several lines and its word is not found."""
    if rule.document is None:
        return None
    place = rule.document.place(path)
    line = rule.document.lines[place.line - 1]
    at = line.find(text, place.column - 1)
    if at < 0:
        return None
    rest = at + len(text)
    if put or rest >= len(line):
        return Edit((place.line, at + 1), (place.line, rest + 1), put)
    rest += line[rest] == " "  # a word that is taken out takes its space along, and leaves its capital behind
    capital = text[0].isupper() and rest < len(line)
    return Edit((place.line, at + 1), (place.line, rest + 1 + capital), line[rest].upper() if capital else "")


def _texts(node: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(node, str):
        yield path, node
    elif isinstance(node, dict):
        for key, part in node.items():
            if key not in _CALLERS_OWN:
                yield from _texts(part, (*path, key))
    elif isinstance(node, list):
        for n, part in enumerate(node):
            yield from _texts(part, (*path, n))
