"""What may be advised where no cause can be named: the less is told, the less is done; the water is tested first."""

from collections.abc import Container
from dataclasses import replace

from saltriage.advise.candidates import Candidate
from saltriage.explain import Explained
from saltriage.explain.conclusion import CONTRADICTORY, NOT_ENOUGH, conclusion
from saltriage.knowledge.model import Action

__all__ = ["Unnamed", "without_regret"]

ENOUGH_TESTED = 2  # numbers of the first test: so many known, and it is not told again (own judgement)
LIKELY_WELL = 0.5  # from this chance a harmless reason is told beside a fault (own judgement)


class Unnamed:
    """Whether no cause is named, and what follows from that.

    Args: asked_for: ids of actions that stand in for doubted readings or follow orders; those are always offered.
    """

    def __init__(self, explained: Explained, asked_for: Container[str]) -> None:
        self._causes, self._asked_for = explained.knowledge.causes, asked_for
        self._leading = explained.leading if explained.anything_known else ""
        kind = conclusion(explained)
        self._named, self._fits = kind != NOT_ENOUGH, kind != CONTRADICTORY
        self._first_test = explained.knowledge.actions[explained.knowledge.advising.first_test]
        self._says_well = {cure.action for cure in self._causes[explained.knowledge.advising.all_well].actions}
        self._told = explained.anything_known or bool(explained.found.believed.raised)
        found = explained.found
        self._tested = len({*found.numbers, *found.facts.symptoms} & set(self._first_test.finds))
        kinds, symptoms = explained.knowledge.kinds, explained.knowledge.symptoms
        history = kinds.from_afar - kinds.complaints
        present = (each for each, is_there in explained.found.facts.symptoms.items() if is_there)
        self.no_complaint = not self._named and all(symptoms[each].kind in history for each in present)
        """No sign of a fault is told: nothing, or only what happened."""

    def leaves(self, one: Candidate) -> bool:
        """Whether an action may be shown all the same."""
        if one.action.id in self._asked_for:
            return True
        if self._tells_that_all_is_well(one) and not self._is_well(one):
            return False
        return self._named or not self.no_complaint or self._fits_no_complaint(one)

    def with_first_test(self, candidates: dict[str, Candidate]) -> dict[str, Candidate]:
        """With the test that tells most, where no cause is named or what is told does not fit together.

        First where no sign of a fault is told; else after the free checks that the complaint calls for, and not where
        some of it was tested already.
        """
        if (self._named and self._fits) or not self._told or self._tested >= ENOUGH_TESTED:
            return candidates
        test = self._first_test
        before = candidates.get(test.id, Candidate(test, score=0.0))
        score = 1.0 if self.no_complaint else before.score
        return candidates | {test.id: replace(before, support=1.0, likeliest=1.0, before_work=True, score=score)}

    def _tells_that_all_is_well(self, one: Candidate) -> bool:
        causes = one.for_causes
        harmless = bool(causes) and all(self._causes[cause].harmless for cause in causes)
        return one.action.kind == "wait" and (harmless or one.action.id in self._says_well)

    def _is_well(self, one: Candidate) -> bool:
        """Nobody hears 'nothing is wrong' beside a fault that is likelier, or of answers that do not fit together."""
        return self._leading in one.for_causes or (self._named and self._fits and one.likeliest >= LIKELY_WELL)

    def _fits_no_complaint(self, one: Candidate) -> bool:
        """Nobody turns, calls or adds anything for what only may be."""
        return one.action.kind == "wait" or bool(one.for_states) or without_regret(one.action)


def without_regret(action: Action) -> bool:
    """A look, a test or a cleaning that costs nothing: right whichever of several unlikely causes it was."""
    if action.kind == "check":
        return action.job == "owner"
    return action.kind == "clean" and action.cost == "none" and action.job == "owner" and action.risk != "caution"
