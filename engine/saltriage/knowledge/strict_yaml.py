"""Strict reading of the YAML in rules and cases: data, and the place of every key and value.

Only the core types of YAML 1.2 are known, numbers in decimal. Duplicate keys, anchors, aliases, tags, merge keys,
tabs, several documents, deep nesting and large files are refused by name, with line and column. The file is read as
a stream of events, so that neither a deep nest nor an anchor bomb is ever built in memory.

>>> read_yaml("salt: {value: 2400, unit: mg/L}").data
{'salt': {'value': 2400, 'unit': 'mg/L'}}
>>> try: read_yaml("a: 1\\na: 2")
... except NotReadable as reason: reason.finding.message
'"a" stands here a second time; the first is at 1:1.'
"""

import logging
import re
from collections.abc import Iterator
from typing import Any, NoReturn

import yaml

from saltriage.knowledge.findings import NotReadable, finding_at
from saltriage.knowledge.places import Document, Path, Place, Quotable, lines_of

__all__ = ["MAX_BYTES", "MAX_DEPTH", "decoded", "read_yaml"]

MAX_BYTES = 512 * 1024  # a rule has about 3 kB, the longest case ever told perhaps 20 kB
MAX_DEPTH = 40  # the deepest rule in use has about ten levels

_LOADER: Any = getattr(yaml, "CSafeLoader", None)
if _LOADER is None:  # pragma: no cover - only where PyYAML was built without libyaml
    logging.getLogger(__name__).warning("PyYAML has no C part here; reading rules takes about seven times as long")
    _LOADER = yaml.SafeLoader

# YAML 1.2.2, section 10.3.2 (core schema), without octal and hexadecimal numbers, infinity and NaN, which are refused.
_INTEGER = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_WORDS = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_ODD_NUMBER = re.compile(r"[-+]?0[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+|[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")
# What YAML 1.1 reads as yes/no, grouped or sexagesimal numbers, binary, dates, value key (yaml.org/type, 2005).
_OTHERWISE_READ = re.compile(
    r"[yYnN]|yes|Yes|YES|no|No|NO|on|On|ON|off|Off|OFF|=|"
    r"[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?|[-+]?0b[01_]+|[-+]?[0-9][0-9_]*_[0-9_.]*|"
    r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}([Tt ].*)?"
)
_MAX_DIGITS = 40
_NO_COLON = "A colon and a space end a key. Text that goes on over lines is indented, or stands in quotes."
_FLATTER = "Rules and cases are flatter than this."


def read_yaml(source: str | bytes, file: str = "<text>") -> Document:
    """The one document in a YAML text.

    Args:
        source: text, or bytes in UTF-8 (a byte order mark is allowed); at most MAX_BYTES.
        file: name for messages.

    Raises:
        NotReadable: with the finding that says what, where and how to mend it.
    """
    text = decoded(source, file)
    _refuse_tabs(text, file)
    return _Reader(text, file).document()


def decoded(source: str | bytes, file: str) -> str:
    """Text of the bytes, within the size limit.

    Raises:
        NotReadable: too large, or not UTF-8.
    """
    if len(source) > MAX_BYTES:
        size = f"{len(source) / 1024:,.0f} kB"
        raise NotReadable(
            finding_at("R003", file, Place(1, 1), f"The file has {size}.", f"Up to {MAX_BYTES // 1024} kB are read.")
        )
    try:
        raw = source.encode() if isinstance(source, str) else source
    except UnicodeEncodeError as reason:
        found = f"Half a character (U+{ord(reason.object[reason.start]):04X}) stands in the text."
        raise NotReadable(finding_at("R002", file, Place(1, 1), found, "Save the file as UTF-8.")) from None
    try:
        return raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as reason:
        before = lines_of(raw[: reason.start].decode("utf-8", "replace"))
        place = Place(len(before), len(before[-1]) + 1)
        found = f"Byte 0x{raw[reason.start]:02x} is not UTF-8 text."
        raise NotReadable(finding_at("R002", file, place, found, "Save the file as UTF-8.")) from None


def _refuse_tabs(text: str, file: str) -> None:
    if "\t" in text:
        before = lines_of(text[: text.index("\t")])
        place = Place(len(before), len(before[-1]) + 1)
        mend = "Replace it by spaces (two for each level)."
        raise NotReadable(finding_at("R006", file, place, "A tab character.", mend, lines=lines_of(text)))


class _Reader:
    """Builds data and places from the events of one document, without recursion."""

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.lines = lines_of(text)
        self.values: dict[Path, Place] = {}
        self.keys: dict[Path, Place] = {}
        self.quotable: list[Quotable] = []

    def refuse(self, code: str, place: Place, message: str, mend: str = "") -> NoReturn:
        raise NotReadable(finding_at(code, self.file, place, message, mend, lines=self.lines))

    def document(self) -> Document:
        top: list[object] = []
        stack: list[_Open] = []
        for event in self._events():
            kind = type(event)
            if kind is yaml.ScalarEvent:
                self._scalar(event, stack, top)
            elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                self._start(event, stack, top)
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                stack.pop()
            elif kind is yaml.AliasEvent:
                self.refuse(
                    "R008", self._place(event), f"Alias *{event.anchor}.", "Write the value out where it is needed."
                )
            elif kind is yaml.DocumentStartEvent:
                self._document_start(event, top)
        if not top:
            self.refuse("R011", Place(1, 1), "The file is empty.", "Write one mapping: key, colon, value.")
        return Document(top[0], self.values, self.keys, tuple(self.quotable), self.lines)

    def _events(self) -> Iterator[Any]:
        try:
            yield from yaml.parse(self.text, Loader=_LOADER)
        except yaml.reader.ReaderError as reason:
            before = lines_of(self.text[: reason.position])
            sign = str(self.text[reason.position : reason.position + 1])
            found = (
                f"Character U+{ord(sign):04X} may not stand in YAML."
                if sign
                else "A character that may not stand in YAML."
            )
            self.refuse(
                "R005",
                Place(len(before), len(before[-1]) + 1),
                found,
                "Remove it, or write it escaped in double quotes.",
            )
        except yaml.MarkedYAMLError as reason:
            self._refuse_syntax(reason)
        except yaml.YAMLError as reason:
            self.refuse("R005", Place(1, 1), _sentence(str(reason)))

    def _refuse_syntax(self, reason: yaml.MarkedYAMLError) -> NoReturn:
        problem, context = reason.problem or "not YAML", reason.context or ""
        noticed, opened = self._marked(reason.problem_mark), self._marked(reason.context_mark)
        if "maximum nesting depth" in problem:  # the C part's own limit, met when it looks ahead
            self.refuse("R004", noticed, f"Nested more than {MAX_DEPTH} levels deep.", _FLATTER)
        # A bracket or quote that was never closed is noticed lines later; the place to look at is where it opens.
        if ("flow" in context or "quoted" in context) and opened.line != noticed.line:
            message = f"What opens here is not closed (noticed at {noticed.line}:{noticed.column})."
            self.refuse("R005", opened, message, "Close the bracket or quote.")
        # So is a key without its colon; or the text of the key before goes on without an indent.
        if "expected ':'" in problem:
            self.refuse("R005", opened, "The line begins like a key, and no colon and space follow.", _NO_COLON)
        self.refuse("R005", noticed, _sentence(problem, context), _syntax_mend(problem))

    def _marked(self, mark: Any) -> Place:
        if mark is None:
            return Place(1, 1)
        if mark.line >= len(self.lines):  # the reader counts one more line at the end than there is
            return Place(len(self.lines), len(self.lines[-1]) + 1)
        return Place(mark.line + 1, mark.column + 1)

    def _document_start(self, event: Any, top: list[object]) -> None:
        if event.version or event.tags:
            self.refuse("R009", self._place(event), "A YAML directive.", "Remove the line that starts with %.")
        if top:
            self.refuse("R011", self._place(event), "A second document begins here.", "Keep one document to a file.")

    def _start(self, event: Any, stack: list["_Open"], top: list[object]) -> None:
        place = self._place(event)
        self._refuse_extras(event, place)
        if len(stack) >= MAX_DEPTH:
            self.refuse("R004", place, f"Nested more than {MAX_DEPTH} levels deep.", _FLATTER)
        new: dict[str, object] | list[object] = {} if type(event) is yaml.MappingStartEvent else []
        path = self._add(new, place, stack, top)
        stack.append(_Open(new, path))

    def _scalar(self, event: Any, stack: list["_Open"], top: list[object]) -> None:
        place = self._place(event)
        self._refuse_extras(event, place)
        plain = event.implicit[0]
        inside = stack[-1] if stack else None
        if inside and isinstance(inside.into, dict) and inside.key is None:
            self._key(event.value, plain, place, inside)
            return
        value = self._value(event.value, place) if plain else event.value
        path = self._add(value, place, stack, top)
        if plain and value.__class__ is str and _OTHERWISE_READ.fullmatch(value):
            self.quotable.append(Quotable(path, place, value))

    def _key(self, text: str, plain: bool, place: Place, inside: "_Open") -> None:
        if plain and text == "<<":
            self.refuse("R010", place, "A merge key <<.", "Write the keys out.")
        if plain and not isinstance(self._value(text, place), str):
            self.refuse("R013", place, f"The key {text or '(empty)'} is not text.", f'Put it in quotes: "{text}".')
        path = (*inside.path, text)
        if text in inside.into:
            first = self.keys[path]
            message = f'"{text}" stands here a second time; the first is at {first.line}:{first.column}.'
            self.refuse("R007", place, message, "Keep one of the two.")
        self.keys[path] = place
        if plain and _OTHERWISE_READ.fullmatch(text):
            self.quotable.append(Quotable(path, place, text))
        inside.key = text

    def _value(self, text: str, place: Place) -> object:
        if text in _WORDS:
            return _WORDS[text]
        if text[0] not in "+-.0123456789":
            return text
        if _ODD_NUMBER.fullmatch(text):
            self.refuse(
                "R014",
                place,
                f"{text} is not a plain decimal number.",
                "Write it in decimal without leading zeros, or in quotes if it is text.",
            )
        if len(text) > _MAX_DIGITS and _DECIMAL.fullmatch(text):
            self.refuse(
                "R014", place, f"A number of {len(text)} characters.", f"Numbers have up to {_MAX_DIGITS} characters."
            )
        if _INTEGER.fullmatch(text):
            return int(text)
        if _DECIMAL.fullmatch(text):
            number = float(text)
            if number in (float("inf"), float("-inf")):
                self.refuse("R014", place, f"{text} is too large for a number.")
            return number
        return text

    def _add(self, value: object, place: Place, stack: list["_Open"], top: list[object]) -> Path:
        if not stack:
            top.append(value)
            self.values[()] = place
            return ()
        inside = stack[-1]
        if isinstance(inside.into, list):
            path = (*inside.path, len(inside.into))
            inside.into.append(value)
        else:
            if inside.key is None:
                self.refuse(
                    "R013", place, "A list or mapping where a key belongs.", "Keys are words, followed by a colon."
                )
            path = (*inside.path, inside.key)
            inside.into[inside.key] = value
            inside.key = None
        self.values[path] = place
        return path

    def _refuse_extras(self, event: Any, place: Place) -> None:
        if event.anchor is not None:
            self.refuse("R008", place, f"Anchor &{event.anchor}.", "Write the value out where it is needed.")
        if event.tag is not None:
            self.refuse("R009", place, f"Tag {event.tag}.", 'Remove it; text is written in quotes, for example "12".')

    def _place(self, event: Any) -> Place:
        start, end = event.start_mark, event.end_mark
        if start.line < len(self.lines) and start.line != end.line:
            width = max(1, len(self.lines[start.line].rstrip()) - start.column)
        else:
            width = max(1, end.column - start.column)
        return Place(start.line + 1, start.column + 1, width)


class _Open:
    """A mapping or sequence being filled; `key` is the key read whose value is still to come."""

    __slots__ = ("into", "key", "path")

    def __init__(self, into: dict[str, object] | list[object], path: Path) -> None:
        self.into: Any = into
        self.path = path
        self.key: str | None = None


def _sentence(problem: str, context: str = "") -> str:
    first = (problem.strip() or "not YAML").splitlines()[0].rstrip(".")
    return f"The YAML breaks off: {first} ({context})." if context else f"The YAML breaks off: {first}."


def _syntax_mend(problem: str) -> str:
    if "mapping values are not allowed" in problem:
        return "Put text that holds a colon in quotes, and check the indent of this line."
    if "did not find expected" in problem or "block" in problem:
        return "Check the indent of this line and the one above, and that every bracket and quote is closed."
    if "cannot start any token" in problem:
        return "Put text that begins with this character in quotes."
    return "Check indent, brackets and quotes around this place."
