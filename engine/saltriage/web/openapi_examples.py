"""Requests to try the API with, from the file beside this one. Everything in them is invented."""

import json
from pathlib import Path
from typing import Any

__all__ = ["DESK_EXAMPLES", "EXAMPLES", "PROBLEM_EXAMPLE"]

_FILE = Path(__file__).with_suffix(".json")
_READ: dict[str, Any] = json.loads(_FILE.read_text(encoding="utf-8"))

EXAMPLES: dict[str, dict[str, Any]] = _READ["operations"]
"""Operation -> body of a request that is answered."""

DESK_EXAMPLES: dict[str, dict[str, Any]] = _READ["desk"]
"""The same for the operations on kept calls."""

PROBLEM_EXAMPLE: dict[str, Any] = _READ["problem"]
