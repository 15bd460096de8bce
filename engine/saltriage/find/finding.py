"""The room's one function: what is believed -> what is so."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from saltriage.believe import Believed
from saltriage.conditions import Facts, Truth
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval

__all__ = ["Conflict", "Found", "find"]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A symptom whose derived truth contradicts the answer; the derived truth was used."""

    symptom: str
    answered: bool
    derived: bool


@dataclass(frozen=True)
class Found:
    """What all conditions came to for one case.

    Args:
        facts: complete: believed readings, answered and derived symptoms, settled doubts, contexts.
        truths: 'action.<id>.when', 'safety.<id>.when' and so on -> truth.
        derived: symptom id -> truth for every derived symptom, as its condition came out.
        conflicts: in the order of symptom ids.
    """

    believed: Believed
    facts: Facts
    truths: Mapping[str, Truth]
    derived: Mapping[str, Truth]
    conflicts: tuple[Conflict, ...]

    @property
    def knowledge(self) -> Knowledge:
        return self.believed.knowledge

    @property
    def proven(self) -> frozenset[str]:
        """States that are so: their proof is true."""
        return frozenset(state for state in self.knowledge.states if self.truths[f"state.{state}.proof"] is Truth.TRUE)

    @property
    def ruled_out(self) -> frozenset[str]:
        """States that readings prove not to be so.

        A look that found nothing is an answer like any other, and may be wrong; the network weighs it.
        """
        return frozenset(
            key
            for key, state in self.knowledge.states.items()
            if self.truths[f"state.{key}.proof"] is Truth.FALSE and state.proof.references().symptoms <= self.measured
        )

    @cached_property
    def numbers(self) -> Mapping[str, Interval]:
        """Believed readings that may be calculated with: those that are told as a limit are not among them."""
        return self.believed.situation.numbers(self.facts.readings)

    @cached_property
    def measured(self) -> frozenset[str]:
        """Symptoms that readings settled."""
        return frozenset(symptom for symptom, truth in self.derived.items() if truth is not Truth.UNKNOWN)

    @property
    def impossible(self) -> frozenset[str]:
        """Causes that cannot apply to this pool."""
        return frozenset(
            cause for cause in self.knowledge.causes if self.truths.get(f"cause.{cause}.applies") is Truth.FALSE
        )


def find(believed: Believed) -> Found:
    """What is so under the believed facts. Raises: MatcherFailed: the outside engine broke its contract."""
    given, matcher = believed.facts, believed.matcher
    derived = matcher.derived(given)
    known = {symptom: truth is Truth.TRUE for symptom, truth in derived.items() if truth is not Truth.UNKNOWN}
    facts = Facts(given.readings, {**given.symptoms, **known}, given.doubts, given.contexts)
    return Found(believed, facts, matcher.final(facts), derived, _conflicts(given.symptoms, known))


def _conflicts(answers: Mapping[str, bool], derived: Mapping[str, bool]) -> tuple[Conflict, ...]:
    return tuple(
        Conflict(symptom, answers[symptom], truth)
        for symptom, truth in sorted(derived.items())
        if symptom in answers and answers[symptom] is not truth
    )
