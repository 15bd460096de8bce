"""Closed calls as the net sees them: only what was asked, told or measured counts."""

from collections.abc import Sequence
from dataclasses import dataclass

from saltriage.believe import believe
from saltriage.explain.cause_network import CauseNetwork
from saltriage.find import Found, find
from saltriage.knowledge.model import Knowledge
from saltriage.learning.outcomes import ClosedCall
from saltriage.ranking import Evidence

__all__ = ["NetCall", "net_calls"]


@dataclass(frozen=True, slots=True)
class NetCall:
    """Args: possible: causes that can apply to the pool.    known: those confirmed; empty where nobody knows.

    asked: symptoms that were asked or follow from readings.    asked_states: states of which that holds for a proof.
    looked_at: states that are known, or a proof of which was answered.
    """

    evidence: Evidence
    possible: tuple[int, ...]
    known: tuple[int, ...]
    asked: frozenset[int]
    asked_states: frozenset[int]
    looked_at: frozenset[int]


def net_calls(calls: Sequence[ClosedCall], knowledge: Knowledge, network: CauseNetwork) -> list[NetCall]:
    """Every call, in order. What was only heard in words, and what a caller kept silent about, is left out."""
    proofs = [knowledge.states[state].proof.references().symptoms for state in network.states]
    return [_net_call(call, find(believe(call.case, knowledge)), network, proofs) for call in calls]


def _net_call(call: ClosedCall, found: Found, network: CauseNetwork, proofs: Sequence[frozenset[str]]) -> NetCall:
    answers = found.facts.symptoms
    # An answer that proves a state is believed in a call. Over many calls some are wrong, and of a rare state most that
    # seem to prove it are: here only readings prove, and answers are answers.
    measured = {state for state, own in zip(network.states, proofs, strict=True) if own <= found.measured}
    evidence = network.evidence(answers, False, proven=found.proven & measured, ruled_out=found.ruled_out & measured)
    asked = {symptom for symptom in answers if symptom in call.asked or symptom not in call.case.symptoms}
    return NetCall(
        evidence,
        tuple(row for row, cause in enumerate(network.causes) if cause not in found.impossible),
        tuple(sorted(network.cause_index[cause] for cause in call.confirmed)),
        frozenset(network.symptom_index[symptom] for symptom in asked if symptom in network.symptom_index),
        frozenset(state for state, own in enumerate(proofs) if own & asked),
        frozenset(state for state, own in enumerate(proofs) if own & answers.keys()).union(
            evidence.proven, evidence.ruled_out
        ),
    )
