"""Strict reading of JSON cases: duplicate keys, NaN, infinities, deep nests, large files are refused.

>>> read_json('{"salt": 2400}').data
{'salt': 2400}
"""

import json
import math
from typing import NoReturn

from saltriage.knowledge.findings import NotReadable, finding_at
from saltriage.knowledge.places import Document, Path, Place, lines_of
from saltriage.knowledge.strict_yaml import MAX_DEPTH, decoded, read_yaml

__all__ = ["read_json"]


class _Refused(Exception):
    """Raised from inside the JSON reader, which knows no place."""


def read_json(source: str | bytes, file: str = "<text>", places: bool = True) -> Document:
    """The value in a JSON text (RFC 8259), with the places of its keys and values.

    Args:
        source: text, or bytes in UTF-8.
        file: name for messages.
        places: False leaves out the places of keys and values, which take longer than the reading.

    Raises:
        NotReadable: with the finding that says what, where and how to mend it.
    """
    text = decoded(source, file)
    lines = lines_of(text)
    try:
        data = json.loads(text, object_pairs_hook=_without_repeats, parse_constant=_no_constant, parse_float=_finite)
        _refuse_depth(data)
    except json.JSONDecodeError as reason:
        place = Place(reason.lineno, reason.colno)
        raise NotReadable(
            finding_at(
                "R016",
                file,
                place,
                f"The JSON breaks off: {reason.msg}.",
                "Check commas, brackets and double quotes here.",
                lines=lines,
            )
        ) from None
    except _Refused as reason:
        code, message, mend, needle = reason.args
        raise NotReadable(finding_at(code, file, _place_of(needle, text), message, mend, lines=lines)) from None
    except RecursionError:
        raise NotReadable(
            finding_at(
                "R004", file, Place(1, 1), f"Nested more than {MAX_DEPTH} levels deep.", "Cases are flatter than this."
            )
        ) from None
    except ValueError:  # Python reads whole numbers of up to 4300 digits only
        raise NotReadable(
            finding_at("R014", file, Place(1, 1), "A number with thousands of digits.", "Write the number as measured.")
        ) from None
    values, keys = _places(text, file) if places else ({}, {})
    return Document(data, values, keys, (), lines)


def _without_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for key, value in pairs:
        if key in found:
            raise _Refused(
                "R007",
                f'"{key[:60]}" stands twice in one object.',
                "Keep one of the two.",
                json.dumps(key, ensure_ascii=False),
            )
        found[key] = value
    return found


def _no_constant(word: str) -> NoReturn:
    raise _Refused("R014", f"{word} is not a number.", "Leave out what is not known.", word)


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise _Refused("R014", f"{text[:40]} is too large for a number.", "Write the number as measured.", text)
    return number


def _refuse_depth(data: object) -> None:
    level: list[object] = [data]
    for _ in range(MAX_DEPTH):
        level = [part for whole in level for part in _parts(whole)]
    deepest = next((part for part in level if isinstance(part, dict | list)), None)
    if deepest is not None:
        message, bracket = f"Nested more than {MAX_DEPTH} levels deep.", "[" if isinstance(deepest, list) else "{"
        raise _Refused("R004", message, "Cases are flatter than this.", bracket)


def _parts(whole: object) -> list[object]:
    return list(whole.values()) if isinstance(whole, dict) else whole if isinstance(whole, list) else []


def _place_of(needle: str, text: str) -> Place:
    """Place of the last occurrence: of a repeated key that is the repetition."""
    before = lines_of(text[: max(0, text.rfind(needle))])
    return Place(len(before), len(before[-1]) + 1, len(needle))


def _places(text: str, file: str) -> tuple[dict[Path, Place], dict[Path, Place]]:
    """Places by the YAML reader, which takes nearly all JSON; without places a finding still names the field."""
    try:
        document = read_yaml(text.replace("\t", " "), file)
    except NotReadable:
        return {}, {}
    return document.values, document.keys
