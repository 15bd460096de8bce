"""Many variants of one evidence solved in one sweep: an answer left out, only the first answers, a cause held at
work."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.few import few_enough, summed_at_once, summed_for
from saltriage.ranking.folding import Present, Summed, masks_of
from saltriage.ranking.network import Model, Numbers, log_of
from saltriage.ranking.recursion import summed
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.schedule import schedule

# Causes that show in most of the present symptoms keep all of them open; up to this many are settled first, one row
# for each state.
MOST_WIDE = 2
FEW = 7
# Present symptoms up to which a few wanted causes are quicker had from all sets at once: measured.
MOST_FOR = 8
# States x rows handled at once: bounds memory and stays near the cache.
BLOCK = 1 << 17


@dataclass(frozen=True, slots=True, eq=False)
class Variants:
    """R rows over the K present and A absent symptoms of one case; silence stays in or out as a whole.

    Args:
        present: indices. optional: K x R, 1.0 where the row does not know this present symptom, else 0.0.
        log_factor: causes x R, log of what the absent and silent symptoms multiply a cause at work with.
        log_leak: R, log of the same for the leaks. held: R, the cause held at work in the row, or -1.
    """

    present: tuple[int, ...]
    optional: Numbers
    log_factor: Numbers
    log_leak: Numbers
    held: tuple[int, ...]

    @classmethod
    def of(
        cls, model: Model, evidence: Evidence, with_present: Numbers, with_absent: Numbers, with_silence: Numbers
    ) -> "Variants":
        """Rows that know a part of `evidence`: R x K, R x A and R numbers, 1.0 where the row knows it, else 0.0."""
        absent, silent = list(evidence.absent), list(evidence.silent)
        silence = model.log_silent[silent].sum(axis=0)
        log_factor = with_absent @ model.log_absent[absent] + with_silence[:, None] * silence
        log_leak = with_absent @ model.log_leak_absent[absent] + with_silence * model.log_leak_silent[silent].sum()
        optional = np.ascontiguousarray(1.0 - with_present.T)
        held = (-1,) * len(with_silence)
        return cls(evidence.present, optional, np.ascontiguousarray(log_factor.T), log_leak, held)

    @classmethod
    def holding(cls, model: Model, evidence: Evidence, held: Sequence[int]) -> "Variants":
        """Rows that know all of `evidence` and that the row's cause is at work."""
        one, rows = single(model, evidence), len(held)
        return cls(
            evidence.present,
            np.repeat(one.optional, rows, axis=1),
            np.repeat(one.log_factor, rows, axis=1),
            np.repeat(one.log_leak, rows),
            tuple(held),
        )


def single(model: Model, evidence: Evidence) -> Variants:
    """The evidence as it stands, as one row; the same as Variants.of(model, evidence), sooner."""
    absent, silent = list(evidence.absent), list(evidence.silent)
    log_factor = model.log_absent[absent].sum(axis=0) + model.log_silent[silent].sum(axis=0)
    log_leak = model.log_leak_absent[absent].sum() + model.log_leak_silent[silent].sum()
    optional = np.zeros((len(evidence.present), 1))
    return Variants(evidence.present, optional, log_factor[:, None], np.array([log_leak]), (-1,))


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """Variants with everything but the present symptoms worked in.

    Args:
        at_work, not_at_work: causes x R. log_probability: R, of everything but the present symptoms.
        linked: indices of the causes that show in a present symptom. present: the recursion's share, over `linked`.
    """

    at_work: Numbers
    not_at_work: Numbers
    log_probability: Numbers
    linked: tuple[int, ...]
    present: Present


def prepared(model: Model, variants: Variants) -> Prepared:
    """Work in what has closed form: absent and silent symptoms, and causes held at work."""
    at_work = model.priors[:, None] * np.exp(variants.log_factor)
    not_at_work = np.repeat(1.0 - model.priors[:, None], at_work.shape[1], axis=1)
    for row, cause in enumerate(variants.held):
        if cause >= 0:
            not_at_work[cause, row] = 0.0
    total = at_work + not_at_work
    log_probability = variants.log_leak + log_of(total).sum(axis=0)
    safe = np.where(total > 0.0, total, 1.0)
    at_work, not_at_work = at_work / safe, not_at_work / safe
    symptoms = list(variants.present)
    strengths = model.by_symptom[symptoms].T
    linked = np.flatnonzero((strengths > 0.0).any(axis=1) & (at_work > 0.0).any(axis=1))
    leak_absent = np.repeat(model.log_leak_absent[symptoms][:, None], at_work.shape[1], axis=1)
    present = Present(at_work[linked], not_at_work[linked], strengths[linked], leak_absent, variants.optional)
    return Prepared(at_work, not_at_work, log_probability, tuple(linked.tolist()), present)


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """Args: at_work: causes x R, exact. log_probability: R. prepared: what it was solved from."""

    at_work: Numbers
    log_probability: Numbers
    prepared: Prepared


def solved(model: Model, variants: Variants) -> Solved:
    """Exact posteriors and the log of the probability of each row's evidence.

    Raises: ImpossibleEvidence if a row has probability 0; EvidenceTooEntangled.
    """
    ready = prepared(model, variants)
    at_work, log_probability = ready.at_work, ready.log_probability
    if variants.present:
        sums = settled(ready.present)
        at_work = at_work.copy()
        at_work[list(ready.linked)] = sums.at_work
        log_probability = log_probability + sums.log_probability
    if not np.isfinite(log_probability).all():
        raise ImpossibleEvidence(variants.present)
    return Solved(at_work, log_probability, ready)


def solved_for(model: Model, variants: Variants, wanted: Sequence[int]) -> Numbers:
    """solved().at_work of the `wanted` causes alone (one row for each), sooner where few symptoms are present.

    Raises: as solved().
    """
    ready = prepared(model, variants)
    place = {cause: row for row, cause in enumerate(ready.linked)}
    linked = [cause for cause in wanted if cause in place]
    if not (linked and few_enough(ready.present, MOST_FOR, BLOCK)):
        return solved(model, variants).at_work[list(wanted)]
    sums = summed_for(ready.present, [place[cause] for cause in linked])
    if not np.isfinite(sums.log_probability).all():
        return solved(model, variants).at_work[list(wanted)]
    at_work = ready.at_work.copy()
    at_work[linked] = sums.at_work
    return at_work[list(wanted)]


def settled(present: Present) -> Summed:
    """summed(), in blocks of rows, with causes that show nearly everywhere settled first where that is cheaper."""
    if few_enough(present):
        sums = summed_at_once(present)
        if np.isfinite(sums.log_probability).all():
            return sums
    wide, width = wide_causes(present)
    rows = present.at_work.shape[1]
    at_once = max(1, BLOCK >> (width + len(wide)))
    parts = [_settled(_rows(present, start, start + at_once), wide) for start in range(0, rows, at_once)]
    if len(parts) == 1:
        return parts[0]
    return Summed(np.hstack([part.at_work for part in parts]), np.concatenate([part.log_probability for part in parts]))


def wide_causes(present: Present) -> tuple[tuple[int, ...], int]:
    """Causes worth settling before the recursion, and how many symptoms are then open at most."""
    masks = masks_of(present.strengths)
    several = {cause: mask for cause, mask in enumerate(masks) if mask.bit_count() > 1}
    best = schedule(tuple(several.values()))
    chosen: tuple[int, ...] = ()
    most = max((mask.bit_count() for mask in several.values()), default=0)
    # Few states leave nothing to gain; a cause that shows in less than half of the symptoms does not hold all open.
    if best.width < FEW or 2 * most < present.strengths.shape[1]:
        return chosen, best.width
    widest = sorted(several, key=lambda cause: (-several[cause].bit_count(), cause))
    for count in range(1, MOST_WIDE + 1):
        tried = tuple(widest[:count])
        plan = schedule(tuple(mask for cause, mask in several.items() if cause not in tried))
        if (plan.cost << count, plan.width) < (best.cost << len(chosen), best.width):
            best, chosen = plan, tried
    return chosen, best.width


def _rows(present: Present, start: int, stop: int) -> Present:
    return Present(
        present.at_work[:, start:stop],
        present.not_at_work[:, start:stop],
        present.strengths,
        present.leak_absent[:, start:stop],
        present.optional[:, start:stop],
    )


def _settled(present: Present, wide: tuple[int, ...]) -> Summed:
    if not wide:
        return summed(present)
    split, log_weight = split_by(present, wide)
    sums = summed(split)
    states, rows = 1 << len(wide), present.at_work.shape[1]
    log_joint = (sums.log_probability + log_weight).reshape(states, rows)
    highest = log_joint.max(axis=0)
    weight = np.exp(log_joint - np.where(np.isfinite(highest), highest, 0.0))
    total = weight.sum(axis=0)
    log_probability = highest + log_of(total)
    weight /= np.where(total > 0.0, total, 1.0)
    at_work = (sums.at_work.reshape(-1, states, rows) * weight).sum(axis=1)
    return Summed(at_work, log_probability)


def split_by(present: Present, wide: tuple[int, ...]) -> tuple[Present, Numbers]:
    """One block of rows for every state of the `wide` causes, and the log weight of each of these rows."""
    rows = present.at_work.shape[1]
    states = 1 << len(wide)
    at_work, not_at_work = np.tile(present.at_work, (1, states)), np.tile(present.not_at_work, (1, states))
    leak_absent = np.tile(present.leak_absent, (1, states))
    strengths = present.strengths.copy()
    log_weight = np.zeros(states * rows)
    for position, cause in enumerate(wide):
        working = np.repeat((np.arange(states) >> position & 1).astype(np.float64), rows)
        log_weight += log_of(np.where(working > 0.0, at_work[cause], not_at_work[cause]))
        leak_absent += np.log1p(-present.strengths[cause])[:, None] * working
        at_work[cause], not_at_work[cause] = working, 1.0 - working
        strengths[cause] = 0.0
    return Present(at_work, not_at_work, strengths, leak_absent, np.tile(present.optional, (1, states))), log_weight
