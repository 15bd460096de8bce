"""Every check of the knowledge base as one object. What looks for them stands in the modules beside this package.

>>> CHECKS["R012"].name
'unknown-key'
"""

from saltriage.knowledge.checks import form, hearing, links, numbers, reading, safety, upkeep
from saltriage.knowledge.checks.check import Check, Example, Severity

__all__ = ["CHECKS", "Check", "Example", "Severity"]

CHECKS = {
    check.code: check
    for check in sorted(
        (*reading.CHECKS, *form.CHECKS, *links.CHECKS, *numbers.CHECKS, *safety.CHECKS, *upkeep.CHECKS, *hearing.CHECKS),
        key=lambda check: check.code,
    )
}
"""All checks by code, in the order of codes."""
