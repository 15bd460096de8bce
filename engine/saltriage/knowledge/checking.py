"""What is wrong in a base that was read: what reading found, what the schemas cannot say, less what is waived."""

from collections.abc import Callable, Iterable

from saltriage.knowledge import (
    meaning_conditions,
    meaning_hearing,
    meaning_links,
    meaning_phrases,
    meaning_rules,
    meaning_settings,
    meaning_sources,
    meaning_steps,
    meaning_text,
)
from saltriage.knowledge.findings import Finding, in_order
from saltriage.knowledge.rule_files import Base
from saltriage.knowledge.waivers import not_waived

__all__ = ["LOOKS", "findings_of"]

LOOKS: tuple[Callable[[Base], Iterable[Finding]], ...] = (
    meaning_links.findings, meaning_rules.findings, meaning_conditions.findings, meaning_text.findings,
    meaning_phrases.findings, meaning_steps.findings, meaning_settings.findings, meaning_hearing.findings,
    meaning_sources.findings,
)  # fmt: skip
"""Each looks at the whole base for the mistakes of several checks."""


def findings_of(base: Base, more: Iterable[Finding] = (), today: str = "") -> list[Finding]:
    """Everything that is wrong, sorted by file and line.

    Args:
        more: found by those who know more than the base does.
        today: as 2026-11-25, for waivers that are over; if empty, none is: rules that were good stay good.
    """
    found = [*base.findings, *(finding for look in LOOKS for finding in look(base)), *more]
    return in_order(not_waived(found, base, today))
