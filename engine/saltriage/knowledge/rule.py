"""What every rule has in common."""

from dataclasses import dataclass

__all__ = ["Rule"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What every rule has. `file`: its path below the folder of rules. `replaced_by`, `retired_because`: or empty."""

    id: str
    version: int
    changed: str
    status: str
    title: str
    cases: tuple[str, ...]
    sources: tuple[str, ...]
    replaced_by: str = ""
    retired_because: str = ""
    file: str = ""
