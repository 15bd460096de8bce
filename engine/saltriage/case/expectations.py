"""The `expect` part of a reference case: kept as it was read, once its words are known."""

import math
from collections.abc import Mapping

from saltriage.case.ledger import CaseLedger, Path
from saltriage.pool.units import shortened

__all__ = ["plain_copy"]

_DEEPEST = 8  # the deepest expectation in use has three levels


def plain_copy(value: object, path: Path, ledger: CaseLedger, depth: int = 1) -> object:
    """A copy of JSON-like data that nobody else can change; anything else is noted and becomes None."""
    if depth > _DEEPEST:
        ledger.refuse(path, "a deep nest", f"at most {_DEEPEST} levels")
        return None
    if isinstance(value, Mapping):
        parts = ledger.mapping(value, path, "")
        return {key: plain_copy(each, (*path, key), ledger, depth + 1) for key, each in parts.items()}
    if isinstance(value, (list, tuple)):
        return [plain_copy(each, (*path, place), ledger, depth + 1) for place, each in enumerate(value)]
    if isinstance(value, (bool, str)) or (isinstance(value, (int, float)) and math.isfinite(value)):
        return value
    ledger.refuse(path, shortened(value), "text, a number, true or false, a list or a mapping")
    return None
