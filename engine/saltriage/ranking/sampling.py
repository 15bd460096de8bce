"""Draws of whole sets of causes from their exact joint posterior, for scoring questions.

The draws follow the same steps as the recursion: given what is still to come (the backward states), each cause and each
symptom it produces is decided in turn, so that every draw explains all present symptoms. There is no burn-in and no
chain. The numbers that decide are spread evenly (one in each of N equal slices, in a shuffled order that is always the
same), so the same evidence always gives the same draws, and a cause's share of the draws is close to its posterior.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.network import Model, Numbers
from saltriage.ranking.recursion import NetWalk, walked
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.schedule import Add, Open
from saltriage.ranking.variants import prepared, single, split_by, wide_causes

Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

# Shuffled orders kept ready; more decisions than this use them again, rotated.
ORDERS = 256
# A larger matrix product wakes the threads of the linear algebra library, which on a busy machine takes longer (8 ms)
# than the product itself (0.3 ms).
SMALL_PRODUCT = 1 << 19


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Args: causes: indices of the causes drawn. at_work: N draws x these causes.

    others: probability of every cause that is not drawn because it is independent of the present symptoms (0.0 for the
    drawn ones).
    """

    causes: tuple[int, ...]
    at_work: Flags
    others: Numbers


@lru_cache(maxsize=4)
def _slices(count: int) -> Numbers:
    """ORDERS shuffled columns of the midpoints of `count` equal slices of [0, 1]. The same for ever: no library's
    random numbers, which may change between releases. Mixing constants: SplitMix64 (Steele, Lea & Flood 2014; from
    memory)."""
    mixed = np.arange(1, count * ORDERS + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed ^= mixed >> np.uint64(31)
    order = mixed.reshape(ORDERS, count).argsort(axis=1, kind="stable")
    slices: Numbers = (order + 0.5) / count
    slices.setflags(write=False)
    return slices


class _Decider:
    """Hands out one evenly spread number a draw for each decision."""

    def __init__(self, count: int) -> None:
        self.slices = _slices(count)
        self.used = 0

    def numbers(self) -> Numbers:
        turn, place = divmod(self.used, ORDERS)
        self.used += 1
        return np.roll(self.slices[place], turn * 7) if turn else self.slices[place]

    def happens(self, chance: Numbers | float) -> Flags:
        decided: Flags = self.numbers() < chance
        return decided


def draws(model: Model, evidence: Evidence, count: int) -> Draws:
    """`count` sets of causes, distributed as the joint posterior given the evidence.

    Drawn are the causes that show in a present symptom; without present symptoms, all of them.
    Raises: ImpossibleEvidence, EvidenceTooEntangled.
    """
    ready = prepared(model, single(model, evidence))
    if not evidence.present:
        decider = _Decider(count)
        columns = [decider.happens(float(chance)) for chance in ready.at_work[:, 0]]
        at_work = np.column_stack(columns) if columns else np.zeros((count, 0), dtype=np.bool_)
        return Draws(tuple(range(len(columns))), at_work, np.zeros(len(columns)))
    others = ready.at_work[:, 0].copy()
    others[list(ready.linked)] = 0.0
    wide, _ = wide_causes(ready.present)
    split, log_weight = split_by(ready.present, wide)
    walk = walked(split, split.at_work.copy(), keep_after=True)
    log_row = walk.log_probability + log_weight
    if not np.isfinite(log_row).any():
        raise ImpossibleEvidence(evidence.present)
    weight = np.exp(log_row - log_row.max())
    rows = np.searchsorted(np.cumsum(weight / weight.sum())[:-1], (np.arange(count) + 0.5) / count)
    at_work = _Sampler(walk, rows).at_work
    for position, cause in enumerate(wide):
        at_work[:, cause] = rows >> position & 1
    return Draws(ready.linked, at_work, others)


class _Sampler:
    """Goes forwards through the steps of a walk, deciding for all draws at once. `rows`: the row of each draw."""

    def __init__(self, walk: NetWalk, rows: Indices) -> None:
        self.walk = walk
        self.rows = rows
        self.decider = _Decider(len(rows))
        self.state = np.zeros(len(rows), dtype=np.intp)  # symptoms already produced, as bits
        # Causes without any link left (wide causes, settled by the row) keep what the row says; filled in by the
        # caller.
        self.at_work = np.zeros((len(rows), len(walk.present.at_work)), dtype=np.bool_)
        self.single_of: dict[int, list[int]] = {}
        for place, symptom in enumerate(walk.fold.single_symptom):
            self.single_of.setdefault(symptom, []).append(place)
        opened = set()
        for step, after in zip(walk.steps, reversed(walk.after), strict=True):
            if isinstance(step, Open):
                opened.add(step.symptom)
                self._open(step, after)
            elif isinstance(step, Add):
                self._add(step, after)
            else:
                self.state = self.state // (2 * step.below) * step.below + self.state % step.below
        for symptom in self.single_of:
            if symptom not in opened:
                self._single(symptom, np.ones(len(rows), dtype=np.bool_))

    def _open(self, step: Open, after: Numbers) -> None:
        width = len(after) // 2
        absent = self.walk.absent[step.symptom, self.rows] * after[self.state, self.rows]
        produced = self.walk.produced[step.symptom, self.rows] * after[self.state + width, self.rows]
        seen = self.decider.happens(produced / (absent + produced))
        self.state = self.state + width * seen
        if step.symptom in self.single_of:
            self._single(step.symptom, seen)

    def _add(self, step: Add, after: Numbers) -> None:
        walk, rows = self.walk, self.rows
        cause = walk.fold.several[step.cause]
        # remaining[i]: backward state before the i-th link of this cause is decided
        remaining = [after]
        for symptom, below in reversed(step.links):
            earlier = remaining[-1].copy()
            strength = walk.present.strengths[cause, symptom]
            halves = earlier.reshape(-1, 2, below * walk.rows)
            halves[:, 0] *= 1.0 - strength
            halves[:, 0] += strength * halves[:, 1]
            remaining.append(earlier)
        remaining.reverse()
        with_it = walk.present.at_work[cause, rows] * remaining[0][self.state, rows]
        without = walk.present.not_at_work[cause, rows] * after[self.state, rows]
        works = self.decider.happens(with_it / (with_it + without))
        self.at_work[:, cause] = works
        for (symptom, below), later in zip(step.links, remaining[1:], strict=True):
            strength = float(walk.present.strengths[cause, symptom])
            seen = strength * later[self.state | below, rows]
            not_seen = (1.0 - strength) * later[self.state, rows]
            open_still = works & (self.state & below == 0)
            total = np.where(open_still, seen + not_seen, 1.0)
            self.state = np.where(open_still & self.decider.happens(seen / total), self.state | below, self.state)

    def _single(self, symptom: int, seen: Flags) -> None:
        """Causes that show in this symptom alone, given whether it came from them or the leak (`seen`) or not.

        Where it did, the first of leak, cause, cause ... that produced it is drawn; those before it did not produce it,
        those after it are free.
        """
        walk, rows = self.walk, self.rows
        places = self.single_of[symptom]
        causes = [walk.fold.single[place] for place in places]
        strengths = walk.present.strengths[causes, symptom][:, None]
        chance = walk.present.at_work[causes]
        missed = share_of_missed(chance, walk.present.not_at_work[causes], strengths)
        log_none = np.vstack([walk.present.leak_absent[[symptom]], walk.fold.single_absent[places]]).cumsum(axis=0)
        none_up_to = np.exp(log_none)[:, rows]
        # The number falls below 1 - none_up_to[i] exactly when one of the first i + 1 has produced the symptom.
        number = self.decider.numbers() * walk.produced[symptom, rows]
        first = np.where(seen, (number >= 1.0 - none_up_to).sum(axis=0), len(causes) + 1)
        for index, cause in enumerate(causes):
            likely = np.where(index + 1 < first, missed[index, rows], chance[index, rows])
            self.at_work[:, cause] = (index + 1 == first) | self.decider.happens(likely)


def share_of_missed(chance: Numbers, not_chance: Numbers, strengths: Numbers) -> Numbers:
    """Probability that a cause is at work given that it did not produce its symptom."""
    hidden = chance * (1.0 - strengths)
    missed: Numbers = hidden / (hidden + not_chance)
    return missed


def log_chance_absent(model: Model, sets: Draws, symptoms: Indices) -> Numbers:
    """log P(symptom absent | draw), N draws x the symptoms; causes that are not drawn count with their probability."""
    table = model.log_absent[symptoms]
    background = model.log_leak_absent[symptoms] + np.log1p(-sets.others * model.by_symptom[symptoms]).sum(axis=1)
    chosen = np.ascontiguousarray(table[:, list(sets.causes)].T)
    at_work = sets.at_work.astype(np.float64)
    logs = np.empty((len(at_work), len(symptoms)))
    rows = max(1, SMALL_PRODUCT // max(1, chosen.size))
    for start in range(0, len(at_work), rows):
        np.matmul(at_work[start : start + rows], chosen, out=logs[start : start + rows])
    logs += background
    return logs


def entropy(chances: Numbers) -> Numbers:
    """-p log2 p, 0 at 0."""
    # Of a 0 the logarithm of something very small is taken: 0 times that is the 0 wanted, without looking for zeros.
    bits: Numbers = np.log(np.maximum(chances, 1e-300))
    bits *= chances
    bits *= -1.0 / np.log(2.0)
    return bits
