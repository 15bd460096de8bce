"""What may be advised where no cause can be named: the less is told, the less is done."""

from collections.abc import Container

from saltriage.advise.candidates import Candidate
from saltriage.explain import Explained
from saltriage.explain.conclusion import NOT_ENOUGH, conclusion
from saltriage.knowledge.model import Action

__all__ = ["Unnamed", "without_regret"]


class Unnamed:
    """Whether no cause is named, and what follows from that.

    Args: asked_for: ids of actions that stand in for doubted readings or follow orders; those are always offered.
    """

    def __init__(self, explained: Explained, asked_for: Container[str]) -> None:
        self._causes, self._asked_for = explained.knowledge.causes, asked_for
        self._leading = explained.leading if explained.anything_known else ""
        self._named = conclusion(explained) != NOT_ENOUGH
        kinds, symptoms = explained.knowledge.kinds, explained.knowledge.symptoms
        history = kinds.from_afar - kinds.complaints
        present = (each for each, is_there in explained.found.facts.symptoms.items() if is_there)
        self.no_complaint = not self._named and all(symptoms[each].kind in history for each in present)
        """No sign of a fault is told: nothing, or only what happened."""

    def leaves(self, one: Candidate) -> bool:
        """Whether an action may be shown all the same."""
        if self._named or one.action.id in self._asked_for:
            return True
        if self._tells_that_all_is_well(one) and self._leading not in one.for_causes:
            return False
        return not self.no_complaint or self._fits_no_complaint(one)

    def _tells_that_all_is_well(self, one: Candidate) -> bool:
        causes = one.for_causes
        return one.action.kind == "wait" and bool(causes) and all(self._causes[cause].harmless for cause in causes)

    def _fits_no_complaint(self, one: Candidate) -> bool:
        """Nobody turns, calls or adds anything for what only may be."""
        return one.action.kind == "wait" or bool(one.for_states) or without_regret(one.action)


def without_regret(action: Action) -> bool:
    """A look, a test or a cleaning that costs nothing: right whichever of several unlikely causes it was."""
    if action.kind == "check":
        return action.job == "owner"
    return action.kind == "clean" and action.cost == "none" and action.job == "owner" and action.risk != "caution"
