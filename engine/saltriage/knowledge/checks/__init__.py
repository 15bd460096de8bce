"""Every check of the knowledge base as one object. What looks for them stands in the modules beside this package.

>>> CHECKS["R012"].name
'unknown-key'
"""

from saltriage.knowledge.checks import corpus, form, hearing, links, numbers, reading, safety, upkeep
from saltriage.knowledge.checks.check import Check, Example, Severity

__all__ = ["CHECKS", "Check", "Example", "Severity"]

_ALL = (corpus, form, hearing, links, numbers, reading, safety, upkeep)
CHECKS = {
    check.code: check
    for check in sorted((check for part in _ALL for check in part.CHECKS), key=lambda check: check.code)
}
"""All checks by code, in the order of codes."""
