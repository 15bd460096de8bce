"""What became of ids that rules once had: records, saved interviews and batch files name them for years to come."""

from dataclasses import dataclass

from saltriage.knowledge.model import Knowledge, Rule

__all__ = ["Fate", "asked_kind", "fate_of"]


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of a retired rule.

    Args: rule: as it was.    now: id of the rule in its place, empty where there is none.    said: one sentence.
    """

    rule: Rule
    now: str
    said: str


def fate_of(kind: str, id: str, knowledge: Knowledge) -> Fate | None:
    """What became of a rule; None where no rule of this kind was ever retired under this id.

    A rule that took its place may be retired as well; the last of them counts.
    """
    first = rule = knowledge.retired.get(f"{kind}/{id}")
    passed: set[str] = set()
    while rule is not None and rule.replaced_by and rule.id not in passed:  # the check refuses a circle
        passed.add(rule.id)
        following = knowledge.retired.get(f"{kind}/{rule.replaced_by}")
        if following is None:
            assert first is not None
            return Fate(first, rule.replaced_by, f"the {kind} {id} is now {rule.replaced_by}")
        rule = following
    if first is None or rule is None:
        return None
    because = rule.retired_because.rstrip(".")
    return Fate(first, "", f"the {kind} {id} is no longer used" + (f": {because}" if because else ""))


def asked_kind(id: str, knowledge: Knowledge) -> str:
    """symptom or reading, whichever has or once had this id; empty where there never was one."""
    live = {"symptom": knowledge.symptoms, "reading": knowledge.readings}
    kinds = (kind for kind, rules in live.items() if id in rules or f"{kind}/{id}" in knowledge.retired)
    return next(kinds, "")
