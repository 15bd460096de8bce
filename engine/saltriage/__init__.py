"""Fault diagnosis for salt-chlorinated pools.

Reported symptoms and readings run through versioned rules and give ranked causes, corrective actions with dose
arithmetic, and safety notes.

    >>> from saltriage import load_knowledge, diagnose, Case   # doctest: +SKIP
    >>> knowledge = load_knowledge()                           # doctest: +SKIP
    >>> diagnose(Case.from_data({...}, knowledge), knowledge)  # doctest: +SKIP

The names below are imported when first used, so that `saltriage --version` stays quick.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from saltriage.case import Case as Case
    from saltriage.diagnosis import diagnose as diagnose
    from saltriage.knowledge import load_knowledge as load_knowledge

__version__ = "0.1.0"
__all__ = ["Case", "__version__", "diagnose", "load_knowledge"]

_HOMES = {"Case": "saltriage.case", "diagnose": "saltriage.diagnosis", "load_knowledge": "saltriage.knowledge"}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'saltriage' has no attribute {name!r}")
