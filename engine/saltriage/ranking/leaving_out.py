"""Log-odds of causes and states without one thing that is known.

A cause is held at work and held not at work. On the way back of each of these walks, where a symptom leaves the sets,
the chance of everything with it and without it is read: one walk serves all present and heard symptoms. An absent
answer left out is a row of its own; a known state left out is the sum of being known one way and the other.
"""

from collections.abc import Sequence

import numpy as np

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers, log_of
from saltriage.ranking.reduction import flipped, knowing
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.variants import Variants, log_probabilities, single, solved

# With all; without each of present, absent, known states, heard: wanted x each.
Odds = tuple[Numbers, Numbers, Numbers, Numbers, Numbers]


def cause_odds(model: Model, evidence: Evidence, causes: Sequence[int]) -> Odds:
    """Log-odds of the causes, uncut. Raises: ImpossibleEvidence; EvidenceTooEntangled."""
    wanted, count = list(causes), len(causes)
    held = single(model, evidence).holding([[cause] for cause in wanted], [[cause] for cause in wanted])
    found = solved(held.beside(_without_absent(model, evidence)), impossible=True)
    log_on, log_off = found.log_probability[:count], found.log_probability[count : 2 * count]
    if not np.isfinite(np.logaddexp(log_on, log_off)).all():
        raise ImpossibleEvidence(evidence.present)
    symptoms = (found.log_loosened[:, :count] - found.log_loosened[:, count : 2 * count]).T
    absent = _log_odds(found.at_work[wanted, 2 * count :])
    states = []
    for state in (*evidence.proven, *evidence.ruled_out):
        other = solved(single(model, flipped(evidence, state)), impossible=True)
        chance, log_other = other.at_work[wanted, 0], other.log_probability
        on, off = log_of(chance) + log_other, log_of(np.maximum(0.0, 1.0 - chance)) + log_other
        states.append(np.logaddexp(log_on, on) - np.logaddexp(log_off, off))
    present = len(evidence.present)
    return log_on - log_off, symptoms[:, :present], absent, _columns(states, count), symptoms[:, present:]


def state_odds(model: Model, evidence: Evidence, states: Sequence[int]) -> Odds:
    """The same of unknown states."""
    parts = [_state_odds(model, evidence, state) for state in states]
    if not parts:
        counts = (len(evidence.present), len(evidence.absent), len(evidence.proven + evidence.ruled_out))
        return np.zeros(0), *(np.zeros((0, each)) for each in (*counts, len(evidence.heard)))
    full, present, absent, known, heard = (np.array(each) for each in zip(*parts, strict=True))
    return full, present, absent, known, heard


def _state_odds(model: Model, evidence: Evidence, state: int) -> Odds:
    logs = []
    for at_work in (True, False):
        rows = _without_absent(model, knowing(evidence, state, at_work))
        found = solved(single(model, knowing(evidence, state, at_work)).beside(rows), impossible=True)
        other = [
            log_probabilities(single(model, knowing(flipped(evidence, known), state, at_work)))
            for known in (*evidence.proven, *evidence.ruled_out)
        ]
        full = found.log_probability[0]
        known = np.logaddexp(full, np.concatenate(other)) if other else np.zeros(0)
        logs.append((full, found.log_loosened[:, 0], found.log_probability[1:], known))
    if not np.isfinite(np.logaddexp(logs[0][0], logs[1][0])):
        raise ImpossibleEvidence(evidence.present)
    full, symptoms, absent, known = (on - off for on, off in zip(*logs, strict=True))
    present = len(evidence.present)
    return full, symptoms[:present], absent, known, symptoms[present:]


def _without_absent(model: Model, evidence: Evidence) -> Variants:
    """A row for each absent symptom, which knows all but this."""
    absent = len(evidence.absent)
    symptoms = len(evidence.present) + len(evidence.heard)
    return Variants.of(model, evidence, np.ones((absent, symptoms)), 1.0 - np.eye(absent), np.ones(absent))


def _log_odds(chances: Numbers) -> Numbers:
    odds: Numbers = log_of(np.clip(chances, 0.0, 1.0)) - log_of(np.clip(1.0 - chances, 0.0, 1.0))
    return odds


def _columns(columns: Sequence[Numbers], rows: int) -> Numbers:
    return np.column_stack(columns) if columns else np.zeros((rows, 0))
