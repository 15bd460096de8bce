"""The first cause of every reference case: what a release promises to keep."""

from pathlib import Path

from saltriage.case import load_case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.matching import conditions_of
from saltriage.workshop.reference_cases import case_files

__all__ = ["first_causes"]


def first_causes(rules: Path) -> dict[str, str]:
    """Case -> its first cause, empty where none comes first; of the cases that lie beside the rules.

    Raises: KnowledgeRefused, CaseRefused.
    """
    knowledge = load_knowledge(rules)
    matcher = Matcher(conditions_of(knowledge), prefer="plain")
    found: dict[str, str] = {}
    for path in case_files(rules.parent / "cases" / "reference"):
        result = diagnose(load_case(path, knowledge), knowledge, matcher, next_check=False)
        found[result.case] = result.causes[0].cause if result.causes else ""
    return found
