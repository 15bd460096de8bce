"""Words for what a schema wants, as an author of rules would put it. Pure functions of values and schema parts."""

from typing import Any

from saltriage.knowledge.findings import quoted

__all__ = ["bound_words", "capital", "form_words", "missing_words", "ruled_out_words", "type_hint", "type_words"]

_TYPES = {
    "object": "a mapping (keys and values)", "array": "a list", "string": "text", "number": "a number",
    "integer": "a whole number", "boolean": "true or false", "null": "nothing",
}  # fmt: skip
_BOUNDS = {
    "minimum": "at least", "maximum": "at most", "exclusiveMinimum": "more than", "exclusiveMaximum": "less than",
}  # fmt: skip
_RULED_OUT = {
    "replaced-by": "It is for rules with status retired.",
    "retired-because": "It is for rules with status retired.",
    "ask": "A derived or computed value is never asked for; remove it, or change the kind or role.",
    "computed": "It is for readings with role computed.",
    "methods": "It is for readings with role measured.",
}
_MISSING = {
    "value": "the bare number.",
    "unit": "the canonical unit of the reading, for example mg/L.",
    "source": "an id of sources.yaml.",
    "moves": "up, down or none.",
    "is": "the list of words that count.",
}

_FEW_KEYS = 4  # so many are shown in a remedy even where not all are needed


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def type_words(wanted: list[str]) -> str:
    """JSON types in plain words."""
    return " or ".join(_TYPES[word] for word in wanted)


def bound_words(word: str, limit: float) -> str:
    """A limit in plain words."""
    return f"{_BOUNDS[word]} {limit}"


def form_words(pattern: str) -> str:
    """What one of the schemas' patterns asks for."""
    if "-[a-z0-9]" in pattern:
        return "Ids are lower-case words joined by hyphens, for example low-salt."
    if pattern.startswith("^20"):
        return 'A day of the calendar is written "2026-11-25", in quotes.'
    return 'A version is written "1.0.0", in quotes.'


def ruled_out_words(key: str) -> str:
    """When a key that does not belong would belong."""
    return _RULED_OUT.get(key, "It is for stop rules (kind: stop).")


def missing_words(key: str, about: object) -> str:
    """What to add; `about` is the schema of the key where it is known."""
    told = about.get("description", "") if isinstance(about, dict) else ""
    told = told or _MISSING.get(key, "")
    return f"Add {key}: {told}" if told else f"Add {key}."


def type_hint(found: object, wanted: Any, schema: dict[str, Any]) -> str:
    """How the value found should have been written."""
    properties = schema.get("properties", {})
    if wanted == "boolean":
        return "Write true or false, without quotes."
    if wanted == "string":
        return _text_hint(found)
    if wanted in ("number", "integer"):
        return f"Write the bare number{'' if found is None else ', without quotes or unit'}."
    if wanted == "array" and isinstance(found, str) and found.startswith("-"):
        return "Put a space after each hyphen of the list, or write it as [one, two]."
    if wanted == "array":
        return "Write it as a list: [one, two]."
    if wanted == "object" and "value" in properties and "unit" in properties:
        number = found if isinstance(found, int | float) else "..."
        margin = ", margin: ..." if "margin" in properties else ""
        return f"Write it as {{value: {number}, unit: ..., source: ...{margin}}}."
    if wanted == "object" and "owner" in properties:
        return "Write it as {owner: ..., support: ...}."
    if wanted == "object" and (keys := list(properties) if len(properties) <= _FEW_KEYS else schema.get("required")):
        return f"Write it as {{{', '.join(f'{key}: ...' for key in keys)}}}."
    return ""


def _text_hint(found: object) -> str:
    if isinstance(found, bool | int | float):
        return f'Write it in quotes, a quantity with its unit: "{quoted(found)} ...".'
    if isinstance(found, list | dict):
        return "Write it as text; put text that begins with [ or { or holds a colon in quotes."
    return "Write text."
