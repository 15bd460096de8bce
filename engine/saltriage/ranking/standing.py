"""What a ranking says besides the causes: every state, and that nothing known is at work. Exact, one row each."""

from dataclasses import replace

import numpy as np

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers, log_of
from saltriage.ranking.variants import Solved, Variants, log_probabilities


def explaining(model: Model, evidence: Evidence, known: int) -> list[int]:
    """The first `known` causes that are able to show in a present symptom, directly or through a state that is not
    ruled out, or to bring about a proven state."""
    present = list(evidence.present)
    able = model.by_symptom[present].any(axis=0)
    if model.states:
        states = model.shown[present].any(axis=0)
        states[list(evidence.ruled_out)] = False
        states[list(evidence.proven)] = True
        able = able | model.brought[states].any(axis=0)
    found: list[int] = np.flatnonzero(able[:known]).tolist()
    return found


def log_unexplained(found: Solved, known: int) -> tuple[float, float, Numbers]:
    """log P(evidence, no known cause at work), the same of the explaining causes, and P(each state | evidence).

    Args: found: one row, the evidence as it stands. known: how many causes are known.
    """
    variants, model = found.prepared.variants, found.prepared.variants.reduced.model
    evidence = variants.reduced.evidence
    held = variants.holding([], [list(range(known)), explaining(model, evidence, known)])
    chances, together = _forward(found)
    logs = log_probabilities(held.beside(_ruled_out(variants, together)) if together else held)
    chances[together, 0] = _at_work(logs[2:], found.log_probability[0])
    return float(logs[0]), float(logs[1]), chances[:, 0]


def state_chances(found: Solved) -> Numbers:
    """P(state | evidence of the row), states x R."""
    chances, together = _forward(found)
    if together:
        logs = log_probabilities(_ruled_out(found.prepared.variants, together))
        chances[together] = _at_work(logs.reshape(len(together), -1), found.log_probability)
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


def _forward(found: Solved) -> tuple[Numbers, list[int]]:
    """P(state), states x R, where it has closed form, and the states that several causes with something in common bring
    about."""
    ready, reduced = found.prepared, found.prepared.variants.reduced
    model, evidence = reduced.model, reduced.evidence
    apart = np.log1p(-model.brought[:, :, None] * found.at_work).sum(axis=1)
    chances: Numbers = -np.expm1(model.log_state_absent[:, None] + apart)
    several = np.count_nonzero(model.brought[:, list(ready.linked)], axis=1) > 1
    several[[*reduced.unknown, *evidence.proven, *evidence.ruled_out]] = False
    chances[list(evidence.proven)], chances[list(evidence.ruled_out)] = 1.0, 0.0
    chances[list(reduced.unknown)] = found.states
    return chances, np.flatnonzero(several).tolist()


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
