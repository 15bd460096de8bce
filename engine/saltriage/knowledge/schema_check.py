"""Schema errors as findings: at the line and column where the mistake stands, with the nearest allowed word."""

from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from saltriage.knowledge.findings import Finding, finding_at, nearest, quoted, words_allowed
from saltriage.knowledge.places import Document, Path
from saltriage.knowledge.schema_hints import (
    bound_words,
    capital,
    form_words,
    missing_words,
    ruled_out_words,
    type_hint,
    type_words,
)
from saltriage.knowledge.schemas import prepared_schema, validator

__all__ = ["schema_findings"]

_CONDITION_WORDS = ("all", "any", "not", "reading", "symptom", "doubt", "context")


def schema_findings(kind: str, document: Document, file: str, schemas: FilePath | None = None) -> list[Finding]:
    """Everything in the document that the schema of its kind does not allow, in the order of the file.

    Args:
        kind: `cause`, `symptom`, ..., `case`, `knowledge`, `sources`.
        schemas: folder of the schemas; the project's own if not given.
    """
    top = prepared_schema(kind, schemas).get("properties", {})
    errors = [_Error(error, document, file, top) for error in validator(kind, schemas).iter_errors(document.data)]
    meant = {(error.path, key) for error in errors for key in error.meant_keys()}
    findings: dict[tuple[object, ...], Finding] = {}
    for error in errors:
        for finding in error.findings(meant):
            # One mistake can break several branches of a schema; the first word about a place is enough.
            findings.setdefault((finding.line, finding.column, finding.code == "R020" and finding.message), finding)
    return sorted(findings.values(), key=lambda found: (found.line, found.column))


class _Error:
    """One error of the schema checker, with the file it is about."""

    def __init__(self, error: Any, document: Document, file: str, top: dict[str, Any]) -> None:
        self.message = str(error.message)
        self.schema: dict[str, Any] = error.schema if isinstance(error.schema, dict) else {}
        self.document = document
        self.file = file
        self.top = top
        self.path: Path = tuple(error.absolute_path)
        self.word = error.validator
        self.limit = error.validator_value
        self.found = error.instance
        self.is_key = "propertyNames" in error.absolute_schema_path
        self.in_branch = "then" in error.absolute_schema_path

    def findings(self, meant: set[tuple[Path, str]]) -> Iterator[Finding]:
        """What to say of it; nothing where another error already says it."""
        match self.word:
            case "additionalProperties":
                yield from self._unknown_keys()
            case "required" | "dependentRequired":
                yield from self._missing_key(meant)
            case "uniqueItems":
                yield from self._repeated()
            case "minLength" | "minItems" | "minProperties":
                yield self._too_few()
            case _:
                yield self._one_finding()

    def _one_finding(self) -> Finding:
        match self.word:
            case "not":
                return self._at_key(
                    "R028", f'"{self.path[-1]}" does not belong here.', ruled_out_words(str(self.path[-1]))
                )
            case "type":
                wanted = [self.limit] if isinstance(self.limit, str) else self.limit
                message = f"{capital(quoted(self.found))} stands where {type_words(wanted)} belongs."
                return self._at("R021", message, self._about(type_hint(self.found, self.limit, self.schema)))
            case "enum" | "const":
                return self._word_not_allowed()
            case "minimum" | "maximum" | "exclusiveMinimum" | "exclusiveMaximum":
                needed = self._about(f"Needed: {bound_words(self.word, self.limit)}.")
                return self._at("R023", f"{quoted(self.found)} is out of range.", needed)
            case "pattern":
                message = f"{capital(quoted(self.found))} has not the form needed here."
                return self._at("R024", message, self._about(form_words(self.limit)))
            case "maxLength":
                shorter = f"Up to {self.limit} fit here; say it shorter."
                return self._at("R024", f"The text has {len(self.found)} characters.", shorter)
            case "maxItems" | "maxProperties":
                return self._at("R026", f"{len(self.found)} entries stand here.", f"At most {self.limit} are allowed.")
            case _:
                return self._at("R021", capital(self.message))

    def meant_keys(self) -> Iterator[str]:
        """Keys that were probably meant by unknown ones; these are not reported as missing as well."""
        if self.word == "additionalProperties":
            for key in self._extra_keys():
                close = nearest(key, self._allowed_keys())
                if close:
                    yield close.split('"')[1]

    def _extra_keys(self) -> list[str]:
        return [key for key in self.found if key not in self._allowed_keys()]

    def _allowed_keys(self) -> list[str]:
        return list(self.schema.get("properties", {}))

    def _unknown_keys(self) -> Iterator[Finding]:
        allowed = self._allowed_keys()
        if self.in_branch and any(word in allowed for word in _CONDITION_WORDS):
            yield from self._not_in_condition(allowed)
            return
        where = "this file" if not self.path else "this entry"
        if self.path and isinstance(self.path[-1], str):
            where = f'the key "{self.path[-1]}"'
        for key in self._extra_keys():
            hint = nearest(key, allowed)
            if self.found[key] is None and " " in key:
                hint = "A comma inside { } or [ ] ends the text: put text with commas in quotes. "
            yield self._at_entry("R012", key, f'"{key}" is not a key of {where}.', hint + _keys_allowed(allowed))

    def _not_in_condition(self, allowed: list[str]) -> Iterator[Finding]:
        words = [key for key in self.found if key in _CONDITION_WORDS]
        key = self._extra_keys()[0]
        if len(words) > 1:  # each word's branch complains of the other; the one that comes second is told
            if key != words[0]:
                message = f'"{words[0]}" and "{words[1]}" stand in one node of a condition.'
                yield self._at_entry(
                    "R029",
                    words[1],
                    message,
                    f"Keep one of them, or join the two by all or any. {_keys_allowed(allowed)}",
                )
            return
        message = f'"{key}" is not a key of a {words[0]} node.' if words else f'"{key}" is not a word of a condition.'
        yield self._at_entry("R012", key, message, nearest(key, allowed) + _keys_allowed(allowed))

    def _missing_key(self, meant: set[tuple[Path, str]]) -> Iterator[Finding]:
        missing = self.message.split("'")[1]
        if self.word == "dependentRequired":
            needs = (need for key, all_needs in self.limit.items() if key in self.found for need in all_needs)
            missing = next((need for need in needs if need not in self.found), missing)
        if (self.path, missing) in meant:
            return
        where = f' under "{self.path[-1]}"' if self.path and isinstance(self.path[-1], str) else ""
        about = self.schema.get("properties", {}).get(missing) or (None if self.path else self.top.get(missing))
        yield self._at_key("R020", f'The key "{missing}" is missing{where}.', missing_words(missing, about))

    def _word_not_allowed(self) -> Finding:
        limits = self.limit if self.word == "enum" else [self.limit]
        allowed = [word if isinstance(word, str) and word else quoted(word) for word in limits]
        mend = (nearest(self.found, allowed) if isinstance(self.found, str) else "") + words_allowed("Allowed", allowed)
        if self.is_key:
            return self._at_entry("R012", str(self.found), f'"{self.found}" is not a key here.', mend)
        return self._at("R022", f"{capital(quoted(self.found))} is not one of the words allowed here.", mend)

    def _too_few(self) -> Finding:
        needed = self._about(f"At least {self.limit} needed.")
        if self.word == "minProperties" and "reading" in self.found:
            mend = "Add one of below, at-most, above, at-least, between."
            return self._at_key("R029", "The reading is not compared with anything.", mend)
        if not self.found:
            return self._at("R025", "Nothing stands here.", needed)
        if self.word == "minLength":
            return self._at("R025", f"The text has {len(self.found)} characters.", needed)
        have = "1 entry stands" if len(self.found) == 1 else f"{len(self.found)} entries stand"
        return self._at("R025", f"{have} here.", needed)

    def _repeated(self) -> Iterator[Finding]:
        for n, item in enumerate(self.found):
            if item in self.found[:n]:
                place = self.document.place((*self.path, n))
                message = f"{capital(quoted(item))} stands twice in the list."
                yield finding_at("R027", self.file, place, message, "Keep one of the two.", lines=self.document.lines)

    def _about(self, hint: str) -> str:
        """The hint, and what the field is for."""
        return f"{hint} {self.schema.get('description', '')}".strip()

    def _at(self, code: str, message: str, mend: str = "") -> Finding:
        if self.is_key:
            return self._at_entry(code, str(self.found), message, mend)
        return finding_at(code, self.file, self.document.place(self.path), message, mend, lines=self.document.lines)

    def _at_key(self, code: str, message: str, mend: str) -> Finding:
        return finding_at(code, self.file, self.document.key_place(self.path), message, mend, lines=self.document.lines)

    def _at_entry(self, code: str, key: str, message: str, mend: str) -> Finding:
        place = self.document.key_place((*self.path, key))
        return finding_at(code, self.file, place, message, mend, lines=self.document.lines)


def _keys_allowed(allowed: list[str]) -> str:
    return words_allowed("Keys allowed here", allowed)
