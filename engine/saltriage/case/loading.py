"""A case out of a file, the standard input or a text: YAML or JSON, read strictly."""

import re
import sys
from pathlib import Path

from saltriage.case.model import Case
from saltriage.case.readable import Readable
from saltriage.errors import CaseRefused, Refusal
from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.load import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.places import Document
from saltriage.knowledge.strict_json import read_json
from saltriage.knowledge.strict_yaml import MAX_BYTES, decoded, read_yaml
from saltriage.pool.units import shortened

__all__ = ["load_case", "load_case_text"]


def load_case(source: Path | str | bytes, knowledge: Knowledge | None = None) -> Case:
    """The case in a file, on the standard input ('-') or in a text.

    Args:
        source: a path; '-'; or the text of a case itself, which holds a line break or begins with a brace. Bytes are
            always the text itself. Up to 512 kB (the limit of the strict reader).
        knowledge: see `Case.from_data`.

    Raises:
        CaseRefused: with every reason found, and its place in the file; also where there is no such file.
    """
    if isinstance(source, bytes):
        return load_case_text(source, knowledge)
    if source == "-":
        return load_case_text(sys.stdin.buffer.read(_enough()), knowledge, "-")
    if isinstance(source, str) and ("\n" in source or source.lstrip().startswith("{")):
        return load_case_text(source, knowledge)
    return load_case_text(_bytes_of(source), knowledge, str(source))


def load_case_text(text: str | bytes, knowledge: Knowledge | None = None, name: str = "<text>") -> Case:
    """The case in a text, YAML or JSON; `name` is used in messages and, without its ending, as the case's id.

    Raises:
        CaseRefused: see `load_case`.
    """
    name = shortened(name, 200)[1:-1]
    try:
        document = _read(text, name, places=False)
    except NotReadable as reason:
        found = reason.finding
        place = f"{found.file}:{found.line}:{found.column}"
        message = shortened(found.message.rstrip("."), 200)[1:-1]
        refusal = Refusal("case file", f"what cannot be read: {message}", _EXPECTED, found.mend, place)
        rules = load_knowledge() if knowledge is None else knowledge
        raise CaseRefused([refusal], _scanned(text, rules)) from None
    try:
        return Case.from_data(document.data, knowledge, document if document.values else None, name)
    except CaseRefused:
        if document.values:
            raise
    # Places in JSON take longer than all the rest, and only a refusal needs them.
    document = _read(text, name, places=True)
    return Case.from_data(document.data, knowledge, document if document.values else None, name)


_EXPECTED = "a case in YAML or JSON"


# An answer as YAML or JSON has it, wherever it stands.
_ANSWER = re.compile(r"""(?<![a-z0-9-])([a-z][a-z0-9-]{1,59})["']?[ \t]*:[ \t]*["']?(?:yes|true)\b""", re.IGNORECASE)
_SCANNED = 50_000  # signs; a case has a few thousand


def _scanned(text: str | bytes, knowledge: Knowledge) -> Readable | None:
    """Symptoms answered with yes in a text that cannot be read as a case; None where there is none."""
    shown = text if isinstance(text, str) else text.decode("utf-8", "replace")
    names = (name.lower() for name in _ANSWER.findall(shown[:_SCANNED]))
    found = {name: True for name in names if name in knowledge.symptoms}
    return Readable(Case(id="unreadable", symptoms=found), knowledge) if found else None


def _read(text: str | bytes, name: str, places: bool) -> Document:
    """JSON where it begins like JSON; a YAML mapping in braces begins so, too. `places`: also in JSON."""
    plain = decoded(text, name)
    if plain.lstrip().startswith("{") or name.endswith(".json"):
        try:
            return read_json(plain, name, places)
        except NotReadable as reason:
            if name.endswith(".json") or reason.finding.code != "R016":
                raise
            try:
                return read_yaml(plain, name)
            except NotReadable:
                raise reason from None
    return read_yaml(plain, name)


def _enough() -> int:
    """Bytes to read: one more than the limit, so that the strict reader sees that there are too many."""
    return MAX_BYTES + 1


def _bytes_of(source: Path | str) -> bytes:
    """What the file holds, up to one byte more than the limit."""
    try:
        with open(source, "rb") as file:
            return file.read(_enough())
    except FileNotFoundError:
        found, mend = "no such file", "Check the path; '-' reads the standard input."
    except IsADirectoryError:
        found, mend = "a folder", "Name the file in it."
    except (OSError, ValueError) as reason:
        found = getattr(reason, "strerror", None) or "a name that cannot be a path"
        mend = "Check the path and the right to read it."
    raise CaseRefused(
        [Refusal(f"case file {shortened(str(source))}", found, "a file that can be read", mend)]
    ) from None
