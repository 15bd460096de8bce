"""How often each link, leak and cause is expected to have acted in one case: the sums of expectation-maximisation.

A noisy-OR is a set of independent chances: each cause at work shows in a symptom or does not, and so for each state,
each leak, each cause that brings a state about. What could have acted is counted as `could`, what did as `did`. Where
a symptom is present,

    P(link did | evidence) = strength * P(cause at work, evidence without this symptom) / P(evidence)

for with the link acting the symptom is there whatever else happens; where it is absent no link to it did. Of a state,
likewise, with the state held at work instead of the symptom left out. So every count is a row of one exact sum.
Sources: Dempster, Laird & Rubin 1977 (Journal of the Royal Statistical Society B 39, 1-38) for the method; the
independent chances of a noisy-OR are Pearl's 1988 (both from memory).
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from saltriage.ranking.bounding import WIDEST, too_wide
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers
from saltriage.ranking.network import Network
from saltriage.ranking.reduction import Reduced
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.variants import Solved, Variants, prepared, single, solved

__all__ = ["ExpectedCounts", "expected_counts"]

MOST_STATES = 12  # 4,096 sets of states: as long as the general way
SETS = [
    np.array(list(itertools.product((0.0, 1.0), repeat=count))).reshape(1 << count, count)
    for count in range(MOST_STATES + 1)
]


@dataclass(frozen=True, slots=True, eq=False)
class ExpectedCounts:
    """What one case adds; answered numbers, that is, with the answer error folded in.

    Args:
        causes: indices of the known causes counted (C).    at_work: C, P(cause at work | evidence).
        symptoms: the answered ones (K).    shown: C x K, P(cause at work and link did | evidence); could is `at_work`.
        leaked: K, P(leak did | evidence); could is 1.
        states: those that are known or have something known below (S).    state_at_work: S, P(at work | evidence).
        brought: C x S, P(cause at work and link did).    state_leaked: S.
        shown_by_state: S x K, P(state at work and link did); could is `state_at_work`.
        log_probability: of the evidence; given the causes, where these were known.
    """

    causes: tuple[int, ...]
    at_work: Numbers
    symptoms: tuple[int, ...]
    shown: Numbers
    leaked: Numbers
    states: tuple[int, ...]
    state_at_work: Numbers
    brought: Numbers
    state_leaked: Numbers
    shown_by_state: Numbers
    log_probability: float


def expected_counts(
    network: Network, evidence: Evidence, possible: Sequence[int], known: Sequence[int] = ()
) -> ExpectedCounts | None:
    """The counts of one case; None where it holds too much at once for an exact sum (see bounding.py).

    Args: evidence: present, absent, proven and ruled out; silence and hearsay are for ranking and do not count here.
    possible: causes that can apply.    known: the causes at work, where these and no others are; empty: nobody knows.
    Raises: OutOfRange; ImpossibleEvidence.
    """
    evidence = replace(evidence, silent=(), heard=())
    network.check(evidence)
    network.check_causes("causes", (*possible, *known))
    if known:
        return _given_causes(network.model, evidence, list(known))
    causes, whole = list(possible), network.model
    others = [] if network.other is None else [network.causes]
    model = whole if len(causes) + len(others) == len(whole.priors) else whole.only([*causes, *others])
    rows = _rows(model, evidence)
    if len(rows.reduced.log_leak_absent) > WIDEST and too_wide(prepared(rows).question):
        return None
    found = solved(rows, impossible=True)
    if not np.isfinite(found.log_probability[0]):
        raise ImpossibleEvidence(evidence.present)
    return _counted(model, found, causes)


def _rows(model: Model, evidence: Evidence) -> Variants:
    """The evidence as it stands, then without each present symptom, then with each state that matters held at work."""
    present, absent = len(evidence.present), len(evidence.absent)
    base = single(model, evidence)
    without = Variants.of(model, evidence, 1.0 - np.eye(present), np.ones((present, absent)), np.ones(present))
    states = base.reduced.first_symptom
    if not states:
        return base.beside(without)
    leaks = np.zeros((len(base.reduced.log_leak_absent), states))
    leaks[range(states), range(states)] = -np.inf  # the state comes of itself, so it says nothing of what brings it
    return base.beside(without, replace(base.tiled(states), log_leak_bits=leaks))


def _counted(model: Model, found: Solved, causes: list[int]) -> ExpectedCounts:
    reduced = found.prepared.variants.reduced
    evidence, unknown = reduced.evidence, reduced.unknown
    count, present, proven = len(causes), len(evidence.present), len(evidence.proven)
    log_probability = float(found.log_probability[0])
    times = np.exp(found.log_probability - log_probability)  # of each row: its probability over that of the evidence
    joint = found.at_work[:count] * times
    on = np.vstack([found.states * times, np.ones((proven, 1)) * times])  # states x rows, times as `joint`
    first, held = slice(1, 1 + present), slice(1 + present, None)
    symptoms, states = [*evidence.present, *evidence.absent], [*unknown, *evidence.proven, *evidence.ruled_out]
    shown, leaked = np.zeros((count, len(symptoms))), np.zeros(len(symptoms))
    shown[:, :present] = model.by_symptom[list(evidence.present), :count].T * joint[:, first]
    leaked[:present] = model.leaks[list(evidence.present)] * times[first]
    bearing = len(on)
    state_at_work = np.zeros(len(states))
    state_at_work[:bearing] = on[:, 0]
    by_state = np.zeros((len(states), len(symptoms)))
    by_state[:bearing, :present] = model.shown[np.ix_(evidence.present, states[:bearing])].T * on[:, first]
    brought, state_leaked = np.zeros((count, len(states))), np.zeros(len(states))
    if bearing:
        brought[:, :bearing] = model.brought[states[:bearing], :count].T * joint[:, held]
        state_leaked[:bearing] = -np.expm1(model.log_state_absent[states[:bearing]]) * times[held]
    return ExpectedCounts(
        tuple(causes), joint[:, 0], tuple(symptoms), shown, leaked, tuple(states), state_at_work, brought, state_leaked,
        by_state, log_probability,
    )  # fmt: skip


def _given_causes(model: Model, evidence: Evidence, causes: list[int]) -> ExpectedCounts | None:
    """The same where the causes are known: states come about independently then, so every set of the unknown ones with
    something known below is gone through. None beyond `MOST_STATES` of them."""
    unknown, proven = list(Reduced.of(model, evidence).unknown), list(evidence.proven)
    if len(unknown) > MOST_STATES:
        return None
    symptoms, states = [*evidence.present, *evidence.absent], [*unknown, *proven, *evidence.ruled_out]
    present = len(evidence.present)
    by_cause, by_state = model.by_symptom[symptoms][:, causes], model.shown[symptoms][:, states]
    brought = model.brought[states][:, causes]
    spared = np.exp(model.log_state_absent[states] + model.log_not_brought[states][:, causes].sum(axis=1))
    at_work = np.vstack([SETS[len(unknown)].T, np.ones((len(proven), 1 << len(unknown)))])  # bearing states x sets
    bearing = len(at_work)
    missing = np.exp(model.log_leak_absent[symptoms] + model.log_absent[symptoms][:, causes].sum(axis=1))
    missing = missing[:, None] * np.exp(model.log_not_shown[symptoms][:, states[:bearing]] @ at_work)
    coming = np.where(at_work[: len(unknown)] > 0.0, 1.0 - spared[: len(unknown), None], spared[: len(unknown), None])
    weights = coming.prod(axis=0) * (1.0 - missing[:present]).prod(axis=0) * missing[present:].prod(axis=0)
    whole = float(weights.sum())
    probability = whole * float((1.0 - spared[len(unknown) : bearing]).prod() * spared[bearing:].prod())
    if not probability > 0.0:
        raise ImpossibleEvidence(evidence.present)
    chances = weights / whole
    # P(set) / P(symptom present | set): what a link is multiplied with to have shown it.
    showing = np.zeros((len(symptoms), len(chances)))
    showing[:present] = chances / (1.0 - missing[:present])
    state_at_work, there = np.zeros(len(states)), np.zeros(len(states))
    state_at_work[:bearing] = at_work @ chances
    there[:bearing] = state_at_work[:bearing] / (1.0 - spared[:bearing])
    shown_by_state = np.zeros((len(states), len(symptoms)))
    shown_by_state[:bearing] = by_state[:, :bearing].T * (at_work @ showing.T)
    return ExpectedCounts(
        tuple(causes), np.ones(len(causes)), tuple(symptoms), by_cause.T * showing.sum(axis=1),
        model.leaks[symptoms] * showing.sum(axis=1), tuple(states), state_at_work, brought.T * there,
        -np.expm1(model.log_state_absent[states]) * there, shown_by_state, float(np.log(probability)),
    )  # fmt: skip
