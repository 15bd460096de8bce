"""Log-odds of causes and states without one thing that is known.

A cause is held at work and held not at work. On the way back of each of these walks, where a symptom leaves the sets,
the chance of everything with it and without it is read: one walk serves all present and heard symptoms. An absent
answer left out is a row of its own; a known state left out is the sum of its being known one way and the other.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from saltriage.ranking.ending import NARROW, CausesLast
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers, log_of
from saltriage.ranking.reduction import flipped, knowing
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.variants import Variants, log_probabilities, prepared, single, solved

# A difference is trusted where at least this share is left: ten of a float's sixteen digits.
SAFE = 1e-6
# With all; without each of present, absent, known states, heard: wanted x each.
Odds = tuple[Numbers, Numbers, Numbers, Numbers, Numbers]


def cause_odds(model: Model, evidence: Evidence, causes: Sequence[int]) -> Odds:
    """Log-odds of the causes, uncut. Raises: ImpossibleEvidence."""
    wanted, count = list(causes), len(causes)
    base = single(model, evidence)
    others = (_without_absent(model, evidence), *_known_other_way(base))
    ended = _ended(base.beside(*others), wanted)
    logs, symptoms = _held_apart(base, others, wanted) if ended is None else ended
    if not np.isfinite(np.logaddexp(*logs[:, :, 0])).all():
        raise ImpossibleEvidence(evidence.present)
    turned = 1 + len(evidence.absent)
    odds = logs[0, :, :turned] - logs[1, :, :turned]
    states = []
    for place, state in enumerate((*evidence.proven, *evidence.ruled_out)):
        if place < len(evidence.proven):
            other = logs[:, :, turned + place]
        else:
            row = turned + len(evidence.proven) + 2 * (place - len(evidence.proven))
            other = _difference(model, evidence, state, wanted, logs[:, :, row : row + 2])
        on, off = np.logaddexp(logs[:, :, 0], other)
        states.append(on - off)
    present = len(evidence.present)
    by_symptom = symptoms[0] - symptoms[1]
    return odds[:, 0], by_symptom[:, :present], odds[:, 1:], _columns(states, count), by_symptom[:, present:]


def _held_apart(base: Variants, others: Sequence[Variants], wanted: list[int]) -> tuple[Numbers, Numbers]:
    """log of the sum with each wanted cause at work and not, 2 x wanted x rows (the base, then the others); and of the
    base without each present and heard symptom, 2 x wanted x symptoms. Each cause held is a row of its own."""
    count = len(wanted)
    held = base.holding([[cause] for cause in wanted], [[cause] for cause in wanted])
    found = solved(held.beside(*others), impossible=True, loosen=True)
    chance = np.clip(found.at_work[wanted, 2 * count :], 0.0, 1.0)
    rest = np.stack([log_of(chance), log_of(1.0 - chance)]) + found.log_probability[2 * count :]
    logs = np.concatenate([found.log_probability[: 2 * count].reshape(2, count, 1), rest], axis=2)
    return logs, found.log_loosened[:, : 2 * count].T.reshape(2, count, -1)


def _ended(rows: Variants, wanted: list[int]) -> tuple[Numbers, Numbers] | None:
    """The same with the wanted causes added last, where that is quicker."""
    reduced = rows.reduced
    if len(reduced.log_leak_absent) < NARROW:
        return None
    ready = prepared(rows)
    place = {cause: index for index, cause in enumerate(ready.linked)}
    linked = [row for row, cause in enumerate(wanted) if cause in place]
    if not linked:
        return None
    ending = CausesLast(ready.question, [place[wanted[row]] for row in linked])
    if not ending.pays(rows.rows - 1 + 2 * len(wanted)):
        return None
    found = ending.walked()
    sums = np.logaddexp(*found.log_joint[:, 0])
    chance = np.stack([log_of(each[wanted]) for each in (ready.at_work, ready.not_at_work)])
    logs = chance + sums
    without = chance[:, :, :1] + np.logaddexp(*found.log_loosened[:, 0])
    logs[:, linked], without[:, linked] = found.log_joint, found.log_loosened
    symptoms = without[:, :, reduced.first_symptom :] + ready.log_probability[0]
    heard = [ratio for _, ratio in reduced.evidence.heard]
    if heard:
        symptoms[:, :, symptoms.shape[2] - len(heard) :] -= np.log(np.maximum(1.0, heard))
    return logs + ready.log_probability, symptoms


def _known_other_way(base: Variants) -> list[Variants]:
    """A row for each proven state, not at work in it; two for each state ruled out, with all that it would do at work:
    one that does not ask whether it is, one where it is not. Their difference is the chance that it is at work."""
    reduced, model = base.reduced, base.reduced.model
    rows = []
    for place, state in enumerate(reduced.evidence.proven):
        missing, bits = reduced.at_work(state)
        turned = ((len(reduced.unknown) + place, 0),)
        rows.append(replace(base, log_leak=base.log_leak - missing, log_leak_bits=-bits[:, None], turned=turned))
    for state in reduced.evidence.ruled_out:
        missing, bits = reduced.at_work(state)
        off = replace(base, log_leak=base.log_leak + missing, log_leak_bits=bits[:, None])
        free = replace(
            off,
            log_factor=off.log_factor - model.log_not_brought[state][:, None],
            log_leak=off.log_leak - model.log_state_absent[state],
        )
        rows += [free, off]
    return rows


def _difference(model: Model, evidence: Evidence, state: int, wanted: list[int], logs: Numbers) -> Numbers:
    """log of exp(first) - exp(second) of the last axis; anew with the state proven where too few digits would be
    left."""
    log_free, log_off = logs[:, :, 0], logs[:, :, 1]
    share = np.exp(log_off - np.where(np.isfinite(log_free), log_free, 0.0))
    lost = 1.0 - share
    if np.all((lost > SAFE) | ~np.isfinite(log_free)):
        return log_free + log_of(lost)
    proven = solved(single(model, flipped(evidence, state)), impossible=True)
    chance = proven.at_work[wanted, 0]
    both = np.stack([log_of(np.clip(each, 0.0, 1.0)) for each in (chance, 1.0 - chance)])
    return both + proven.log_probability


def state_odds(model: Model, evidence: Evidence, states: Sequence[int]) -> Odds:
    """The same of unknown states."""
    parts = [_state_odds(model, evidence, state) for state in states]
    if not parts:
        counts = (len(evidence.present), len(evidence.absent), len(evidence.proven + evidence.ruled_out))
        present, absent, known, heard = (np.zeros((0, each)) for each in (*counts, len(evidence.heard)))
        return np.zeros(0), present, absent, known, heard
    full, present, absent, known, heard = (np.array(each) for each in zip(*parts, strict=True))
    return full, present, absent, known, heard


def _state_odds(model: Model, evidence: Evidence, state: int) -> Odds:
    logs = []
    for at_work in (True, False):
        rows = _without_absent(model, knowing(evidence, state, at_work))
        found = solved(single(model, knowing(evidence, state, at_work)).beside(rows), impossible=True, loosen=True)
        other = [
            log_probabilities(single(model, knowing(flipped(evidence, known), state, at_work)))[0]
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


def _columns(columns: Sequence[Numbers], rows: int) -> Numbers:
    return np.column_stack(columns) if columns else np.zeros((rows, 0))
