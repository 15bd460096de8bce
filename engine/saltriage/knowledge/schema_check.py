"""Schema errors as findings: at the line and column where the mistake stands, with the nearest allowed word."""

from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from saltriage.knowledge.findings import Finding, finding_at, nearest, quoted, words_allowed
from saltriage.knowledge.places import Document, Path, Place
from saltriage.knowledge.schemas import validator

__all__ = ["schema_findings"]

_TYPES = {
    "object": "a mapping (keys and values)", "array": "a list", "string": "text", "number": "a number",
    "integer": "a whole number", "boolean": "true or false", "null": "nothing",
}  # fmt: skip
_CONDITION_WORDS = ("all", "any", "not", "reading", "symptom", "doubt", "context")


def schema_findings(kind: str, document: Document, file: str, schemas: FilePath | None = None) -> list[Finding]:
    """Everything in the document that the schema of its kind does not allow, in the order of the file.

    Args:
        kind: `cause`, `symptom`, ..., `case`, `knowledge`, `sources`.
        schemas: folder of the schemas; the project's own if not given.
    """
    errors = [_Error(error, document, file) for error in validator(kind, schemas).iter_errors(document.data)]
    meant = {(error.path, key) for error in errors for key in error.meant_keys()}
    findings: dict[tuple[object, ...], Finding] = {}
    for error in errors:
        for finding in error.findings(meant):
            # One mistake can break several branches of a schema; the first word about a place is enough.
            findings.setdefault((finding.line, finding.column, finding.code == "R020" and finding.message), finding)
    return sorted(findings.values(), key=lambda found: (found.line, found.column))


class _Error:
    """One error of the schema checker, with the file it is about."""

    def __init__(self, error: Any, document: Document, file: str) -> None:
        self.error = error
        self.document = document
        self.file = file
        self.path: Path = tuple(error.absolute_path)
        self.word = error.validator
        self.limit = error.validator_value
        self.found = error.instance
        self.is_key = "propertyNames" in error.absolute_schema_path

    def findings(self, meant: set[tuple[Path, str]]) -> Iterator[Finding]:
        match self.word:
            case "additionalProperties":
                yield from self._unknown_keys()
            case "required" | "dependentRequired":
                yield from self._missing_key(meant)
            case None:
                yield self._at_key("R028", f'"{self.path[-1]}" does not belong here.', self._ruled_out())
            case "type":
                wanted = [self.limit] if isinstance(self.limit, str) else self.limit
                yield self._at(
                    "R021",
                    f"{_capital(quoted(self.found))} stands where {_types(wanted)} belongs.",
                    self._about(self._type_hint()),
                )
            case "enum" | "const":
                yield self._word_not_allowed()
            case "minimum" | "maximum" | "exclusiveMinimum" | "exclusiveMaximum":
                yield self._at(
                    "R023",
                    f"{quoted(self.found)} is out of range.",
                    self._about(f"Needed: {_bound(self.word, self.limit)}."),
                )
            case "pattern":
                yield self._at(
                    "R024",
                    f"{_capital(quoted(self.found))} has not the form needed here.",
                    self._about(_form(self.limit)),
                )
            case "maxLength":
                yield self._at(
                    "R024",
                    f"The text has {len(self.found)} characters.",
                    f"Up to {self.limit} fit here; say it shorter.",
                )
            case "minLength" | "minItems" | "minProperties":
                yield self._too_few()
            case "maxItems" | "maxProperties":
                yield self._at("R026", f"{len(self.found)} entries stand here.", f"At most {self.limit} are allowed.")
            case "uniqueItems":
                yield from self._repeated()
            case _:
                yield self._at("R021", _capital(str(self.error.message)))

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
        return list(self.error.schema.get("properties", {}))

    def _is_condition(self) -> bool:
        return "then" in self.error.absolute_schema_path and any(
            key in _CONDITION_WORDS for key in self._allowed_keys()
        )

    def _unknown_keys(self) -> Iterator[Finding]:
        allowed = self._allowed_keys()
        for key in self._extra_keys():
            where = (
                f'the key "{self.path[-1]}"'
                if self.path and isinstance(self.path[-1], str)
                else "an entry here"
                if self.path
                else "this file"
            )
            code, message = "R012", f'"{key}" is not a key of {where}.'
            if self._is_condition():
                code, message = self._condition_message(key, allowed)
            place = self.document.key_place((*self.path, key))
            hint = nearest(key, allowed)
            if self.found[key] is None and " " in key:
                hint = "A comma inside { } or [ ] ends the text: put text with commas in quotes. "
            mend = hint + words_allowed("Keys allowed here", allowed)
            yield finding_at(code, self.file, place, message, mend, self.document.lines)
            if self._is_condition():
                return

    def _condition_message(self, key: str, allowed: list[str]) -> tuple[str, str]:
        if key in _CONDITION_WORDS:
            other = next((word for word in self.found if word in _CONDITION_WORDS and word != key), allowed[0])
            return "R029", f'"{key}" and "{other}" stand in one node of a condition.'
        return "R012", f'"{key}" is not a key of a condition with {" or ".join(allowed[:1])}.' if len(allowed) < len(
            _CONDITION_WORDS
        ) else f'"{key}" is not a word of a condition.'

    def _missing_key(self, meant: set[tuple[Path, str]]) -> Iterator[Finding]:
        missing = self.error.message.split("'")[1]
        if isinstance(self.limit, dict):  # dependentRequired: {key: [keys it brings along]}
            missing = next(
                (
                    need
                    for key, needs in self.limit.items()
                    if key in self.found
                    for need in needs
                    if need not in self.found
                ),
                missing,
            )
        if (self.path, missing) in meant:
            return
        where = f' under "{self.path[-1]}"' if self.path and isinstance(self.path[-1], str) else ""
        about = self.error.schema.get("properties", {}).get(missing, {})
        told = about.get("description", "") if isinstance(about, dict) else ""
        place = self.document.key_place(self.path)
        yield finding_at(
            "R020",
            self.file,
            place,
            f'The key "{missing}" is missing{where}.',
            f"Add {missing}: {told}".rstrip(": "),
            self.document.lines,
        )

    def _ruled_out(self) -> str:
        key = str(self.path[-1])
        needs = {
            "replaced-by": "It is for rules with status retired.",
            "retired-because": "It is for rules with status retired.",
            "ask": "A derived or computed value is never asked for; remove it, or change the kind or role.",
            "computed": "It is for readings with role computed.", "methods": "It is for readings with role measured.",
        }  # fmt: skip
        return needs.get(key, "It is for stop rules (kind: stop).")

    def _word_not_allowed(self) -> Finding:
        allowed = [
            quoted(word) if not isinstance(word, str) else word
            for word in (self.limit if self.word == "enum" else [self.limit])
        ]
        hint = nearest(self.found, allowed) if isinstance(self.found, str) else self._type_hint()
        if self.is_key:
            place = self.document.key_place((*self.path, self.found))
            return finding_at(
                "R012",
                self.file,
                place,
                f'"{self.found}" is not a key here.',
                hint + words_allowed("Allowed", allowed),
                self.document.lines,
            )
        return self._at(
            "R022",
            f"{_capital(quoted(self.found))} is not one of the words allowed here.",
            hint + words_allowed("Allowed", allowed),
        )

    def _type_hint(self) -> str:
        allowed = self.limit if self.word == "enum" else []
        if isinstance(self.found, bool) and "yes" in allowed:
            return f'Write "{"yes" if self.found else "no"}". '
        if self.word == "type" and self.limit == "boolean":
            return "Write true or false, without quotes. "
        if self.word == "type" and self.limit == "string" and isinstance(self.found, int | float):
            return "Put it in quotes if it is text; a quantity is written with its unit, in quotes. "
        if self.word == "type" and self.limit in ("number", "integer") and isinstance(self.found, str):
            return "Write the bare number, without quotes or unit. "
        if self.word == "type" and self.limit == "array":
            return "Write it as a list: [one, two]. "
        return ""

    def _too_few(self) -> Finding:
        if self.word == "minLength":
            return self._at(
                "R025",
                "The text is empty." if not self.found else f"The text has {len(self.found)} characters.",
                self._about(f"At least {self.limit} are needed."),
            )
        if not self.found:
            return self._at("R025", "Nothing stands here.", self._about(f"At least {self.limit} needed."))
        if self.word == "minProperties" and "reading" in self.found:
            return self._at_key(
                "R029",
                "The reading is not compared with anything.",
                "Add one of below, at-most, above, at-least, between.",
            )
        have = f"{len(self.found)} {'entry stands' if len(self.found) == 1 else 'entries stand'} here."
        return self._at("R025", have, self._about(f"At least {self.limit} are needed."))

    def _repeated(self) -> Iterator[Finding]:
        for n, item in enumerate(self.found):
            if item in self.found[:n]:
                place = self.document.place((*self.path, n))
                yield finding_at(
                    "R027",
                    self.file,
                    place,
                    f"{_capital(quoted(item))} stands twice in the list.",
                    "Keep one of the two.",
                    self.document.lines,
                )

    def _about(self, hint: str) -> str:
        """The hint, and what the field is for."""
        told = self.error.schema.get("description", "") if isinstance(self.error.schema, dict) else ""
        return f"{hint.strip()} {told}".strip()

    def _at(self, code: str, message: str, mend: str = "") -> Finding:
        place: Place = self.document.place(self.path)
        if self.is_key:
            place = self.document.key_place((*self.path, str(self.found)))
        return finding_at(code, self.file, place, message, mend, self.document.lines)

    def _at_key(self, code: str, message: str, mend: str = "") -> Finding:
        return finding_at(code, self.file, self.document.key_place(self.path), message, mend, self.document.lines)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _types(wanted: list[str]) -> str:
    return " or ".join(_TYPES[word] for word in wanted)


def _bound(word: str, limit: float) -> str:
    words = {
        "minimum": "at least",
        "maximum": "at most",
        "exclusiveMinimum": "more than",
        "exclusiveMaximum": "less than",
    }
    return f"{words[word]} {limit}"


def _form(pattern: str) -> str:
    if "-[a-z0-9]" in pattern:
        return "Ids are lower-case words joined by hyphens, for example low-salt."
    if pattern.startswith("^20"):
        return 'A day is written "2026-11-25", in quotes.'
    return 'A version is written "1.0.0", in quotes.'
