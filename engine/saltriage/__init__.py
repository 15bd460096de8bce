"""Fault diagnosis for salt-chlorinated pools.

Reported symptoms and readings run through versioned rules and give ranked causes, corrective actions with dose
arithmetic, and safety notes.

    >>> from saltriage import load_knowledge, diagnose, Case   # doctest: +SKIP
    >>> knowledge = load_knowledge()                           # doctest: +SKIP
    >>> diagnose(Case.from_data({...}, knowledge), knowledge)  # doctest: +SKIP

The names below are imported when first used, so that `saltriage --version` stays quick.
"""

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from saltriage.case import Case as Case
    from saltriage.diagnosis import diagnose as diagnose
    from saltriage.knowledge import load_knowledge as load_knowledge

__version__ = "0.1.0"
__all__ = ["Case", "__version__", "diagnose", "load_knowledge"]


def at_first_use(package: str, homes: Mapping[str, str]) -> Callable[[str], Any]:
    """The `__getattr__` of a package whose names are imported when first used (PEP 562).

    Args: homes: name -> module that has it, or `module:name` where it is called otherwise there.
    """

    def found(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        module, _, own = homes[name].partition(":")
        vars(sys.modules[package])[name] = result = getattr(import_module(module), own or name)
        return result  # the next use finds it without coming here

    return found


__getattr__ = at_first_use(
    __name__,
    {"Case": "saltriage.case", "diagnose": "saltriage.diagnosis", "load_knowledge": "saltriage.knowledge"},
)
