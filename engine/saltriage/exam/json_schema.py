"""The JSON Schema of an exam's result, made from the dataclasses so that the two cannot drift apart.

python -m saltriage.exam.json_schema > schemas/exam-result.schema.json
"""

import json
from typing import Any

from saltriage.exam.figures import Band, Figures, Share, TalkFigures
from saltriage.exam.marking import Mark, Said
from saltriage.exam.papers import Excluded
from saltriage.exam.sitting import Mode, Talk
from saltriage.exam.tables import FORMAT_VERSION, GROUPINGS
from saltriage.report.diagnosis.json_schema import object_schema

__all__ = ["exam_schema"]

_PARTS = (Band, Excluded, Figures, Mark, Said, Share, Talk, TalkFigures)


def exam_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of what `exam_data` gives."""
    figures = {"$ref": "#/$defs/Figures"}
    groups = {"type": "object", "additionalProperties": figures}
    properties = {
        "format": {"const": FORMAT_VERSION, "description": "Version of this format."},
        "mode": {"enum": [mode.value for mode in Mode], "description": "What the program was given."},
        "knowledge-version": {"type": "string", "description": "Version of the rules."},
        "fingerprint": {"type": "string", "description": "Of the rules."},
        "excluded": {
            "type": "array",
            "items": {"$ref": "#/$defs/Excluded"},
            "description": "Sheets that are not scored.",
        },
        "notes": {"type": "array", "items": {"type": "string"}, "description": "What became of retired ids."},
        "whole": {**figures, "description": "Of all sheets that are scored."},
        "groups": {
            "type": "object",
            "properties": dict.fromkeys(GROUPINGS, groups),
            "additionalProperties": False,
            "description": "Of each group, by what was asked for.",
        },
        "sheets": {"type": "array", "items": {"$ref": "#/$defs/Mark"}, "description": "Every sheet, marked."},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Result of an exam",
        "description": "What `saltriage cases exam --format json` writes.",
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
        "$defs": {part.__name__: object_schema(part) for part in _PARTS},
    }


if __name__ == "__main__":
    print(json.dumps(exam_schema(), indent=2, ensure_ascii=False))
