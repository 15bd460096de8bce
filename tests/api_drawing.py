"""How schemathesis draws requests from the OpenAPI document, and what every answer is held against."""

from typing import Any

from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

__all__ = ["CHECKS", "drawable", "drawn_times"]

# Left out: 'positive data is accepted', since a case of the right shape may still name a symptom that does not exist.
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]

# What requests are drawn with: the limits of the document would draw hundreds of steps and thousands of signs.
SMALL = {"maxItems": 3, "maxProperties": 3, "maxLength": 40}


def drawable(node: Any) -> Any:
    """The document with small limits, and without 'unique' where a list holds two things or more.

    Schemathesis 4.32 makes wrong requests by changing schemas: what a list holds becomes the one `null`, of which no
    two differ, and drawing ends with InvalidArgument. Which request it draws differs with the document.
    """
    if isinstance(node, dict):
        many = node.get("minItems", 0) if isinstance(node.get("minItems", 0), int) else 0
        kept = {key: drawable(part) for key, part in node.items() if key != "uniqueItems" or many < 2}
        bounds = {key: most for key, most in SMALL.items() if isinstance(kept.get(key), int) and kept[key] > most}
        return {**kept, **bounds}
    return [drawable(part) for part in node] if isinstance(node, list) else node


def drawn_times(examples: int) -> settings:
    """The same requests each time, so many of each operation and its example."""
    return settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
