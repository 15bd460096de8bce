"""What a ranking says besides the causes: every state, and that nothing known is at work. Exact, one row each."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers, log_of
from saltriage.ranking.reduction import Reduced
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.variants import Solved, Variants, log_probabilities, single, solved

FEW_BITS = 24


def explaining(model: Model, evidence: Evidence, known: int) -> list[int]:
    """The first `known` causes that are able to show in a present symptom, directly or through a state that is not
    ruled out, or to bring about a proven state."""
    present = list(evidence.present)
    able: NDArray[np.bool_] = np.any(model.by_symptom[present] > 0.0, axis=0, keepdims=True)[0]
    if model.states:
        states: NDArray[np.bool_] = np.any(model.shown[present] > 0.0, axis=0, keepdims=True)[0]
        states[list(evidence.ruled_out)] = False
        states[list(evidence.proven)] = True
        able = able | model.brought[states].any(axis=0)
    found: list[int] = np.flatnonzero(able[:known]).tolist()
    return found


@dataclass(frozen=True, slots=True, eq=False)
class BesideCauses:
    """Args: found: its first row is the evidence as it stands. log_none_known: log P(evidence, no known cause at work).
    log_unexplained: the same of the explaining causes. states: P(each state | evidence). error: the most that any
    chance of these, or of `found`, may be off.
    """

    found: Solved
    log_none_known: float
    log_unexplained: float
    states: Numbers
    error: float


def standing(model: Model, evidence: Evidence, known: int) -> BesideCauses:
    """Args: known: how many causes are known. Raises: ImpossibleEvidence."""
    base = single(model, evidence)
    held = base.holding([], [list(range(known)), explaining(model, evidence, known)])
    together = _together(base.reduced)
    rest = held.beside(_ruled_out(base, together)) if together else held
    bits = len(base.reduced.log_leak_absent)
    if bits <= FEW_BITS:
        # Walking back with rows that need not costs less than a second walk.
        found = solved(base.beside(rest), impossible=True)
        logs, log_error = found.log_probability[1:], found.log_error[1:]
        if not np.isfinite(found.log_probability[0]):
            raise ImpossibleEvidence(evidence.present)
    else:
        found = solved(base)
        logs, log_error = log_probabilities(rest)
    chances = _forward(found.at_work[:, :1], found.states[:, :1], base.reduced)
    chances[together, 0] = _at_work(logs[2:], found.log_probability[0])
    most = max(float(found.error[0]), *off_by(logs - found.log_probability[0], log_error + found.log_error[0]))
    return BesideCauses(found, float(logs[0]), float(logs[1]), chances[:, 0], most)


def off_by(log_chances: Numbers, log_error: Numbers) -> list[float]:
    """The most that chances may be off whose logarithms may be off by `log_error`."""
    chances = np.exp(np.minimum(0.0, log_chances))
    found: list[float] = np.minimum(np.maximum(chances, 1.0 - chances), chances * np.expm1(log_error)).tolist()
    return found


def state_chances(found: Solved) -> Numbers:
    """P(state | evidence of the row), states x R."""
    together = _together(found.prepared.variants.reduced)
    chances = _forward(found.at_work, found.states, found.prepared.variants.reduced)
    if together:
        logs, _ = log_probabilities(_ruled_out(found.prepared.variants, together))
        possible = np.where(np.isfinite(found.log_probability), found.log_probability, 0.0)
        chances[together] = _at_work(logs.reshape(len(together), -1), possible)
    return chances


def _ruled_out(variants: Variants, states: list[int]) -> Variants:
    """The rows with the first state ruled out too, then those with the second ..."""
    model, rows = variants.reduced.model, variants.rows
    each = np.repeat(states, rows)
    tiled = variants.tiled(len(states))
    return replace(
        tiled,
        log_factor=tiled.log_factor + model.log_not_brought[each].T,
        log_leak=tiled.log_leak + model.log_state_absent[each],
    )


def _at_work(log_ruled_out: Numbers, log_probability: Numbers) -> Numbers:
    chances: Numbers = -np.expm1(np.minimum(0.0, log_ruled_out - log_probability))
    return chances


def _together(reduced: Reduced) -> list[int]:
    """Unknown states with nothing known below that several causes with something in common bring about."""
    evidence, model = reduced.evidence, reduced.model
    linked = np.flatnonzero(reduced.strengths.any(axis=1))
    several = np.count_nonzero(model.brought[:, linked], axis=1) > 1
    several[[*reduced.unknown, *evidence.proven, *evidence.ruled_out]] = False
    found: list[int] = np.flatnonzero(several).tolist()
    return found


def _forward(at_work: Numbers, unknown: Numbers, reduced: Reduced) -> Numbers:
    """P(state), states x R, where its causes have nothing in common or something is known below it."""
    model, evidence = reduced.model, reduced.evidence
    apart = np.log1p(-model.brought[:, :, None] * at_work).sum(axis=1)
    chances: Numbers = -np.expm1(model.log_state_absent[:, None] + apart)
    chances[list(evidence.proven)], chances[list(evidence.ruled_out)] = 1.0, 0.0
    chances[list(reduced.unknown)] = unknown
    return chances


def log_alone(model: Model, evidence: Evidence) -> float:
    """log of the product of the probabilities that each thing known has on its own."""
    chances = (
        model.log_present_before[list(evidence.present)].sum()
        + model.log_absent_before[list(evidence.absent)].sum()
        + model.log_silent_before[list(evidence.silent)].sum()
        + log_of(-np.expm1(model.log_state_absent_before[list(evidence.proven)])).sum()
        + model.log_state_absent_before[list(evidence.ruled_out)].sum()
        + sum(model.log_heard_before(symptom, ratio) for symptom, ratio in evidence.heard)
    )
    return float(chances)
