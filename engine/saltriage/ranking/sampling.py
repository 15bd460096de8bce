"""Draws of whole sets of causes and states from their exact joint posterior, for scoring questions.

The draws follow the same steps as the recursion: given what is still to come (the backward sets), each cause and each
bit it produces is decided in turn, so that every draw explains all present symptoms. There is no burn-in and no
chain. The numbers that decide are spread evenly (one in each of N equal slices, in a shuffled order that is always the
same), so the same evidence always gives the same draws, and a cause's share of the draws is close to its posterior.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from saltriage.ranking.bounding import eased
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers
from saltriage.ranking.recursion import NetWalk
from saltriage.ranking.refusals import ImpossibleEvidence
from saltriage.ranking.schedule import Add, Close, Fire, Links, Open
from saltriage.ranking.settling import split_by, wide_causes
from saltriage.ranking.variants import Prepared, prepared, single

Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

# Shuffled orders kept ready; more decisions than this use them again, rotated.
ORDERS = 256
# A larger matrix product wakes the threads of the linear algebra library, which on a busy machine takes longer (8 ms)
# than the product itself (0.3 ms).
SMALL_PRODUCT = 1 << 19
MOST_LINKS = 1 << 22  # looked at in one go, so that dense networks do not fill the memory


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Args: causes: indices of the causes drawn. at_work: N draws x these causes. states: N draws x all states.

    others: probability of every cause that is not drawn because it is independent of all that is drawn (0.0 for the
    drawn ones).
    """

    causes: tuple[int, ...]
    at_work: Flags
    states: Flags
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

    def each(self, chances: Numbers) -> Flags:
        """Draws x the chances."""
        columns = [self.happens(float(chance)) for chance in chances]
        return np.column_stack(columns) if columns else np.zeros((self.slices.shape[1], 0), dtype=np.bool_)


def draws(model: Model, evidence: Evidence, count: int) -> Draws:
    """`count` sets of causes and states, distributed as the joint posterior given the evidence (near it, where
    the exact sum does not fit in memory: see bounding.py).

    Drawn are the causes that show in what is open; where nothing is open, or the network has states, all of them.
    Raises: ImpossibleEvidence.
    """
    ready = prepared(single(model, evidence))
    others = ready.at_work[:, 0].copy()
    states = np.zeros((count, model.states), dtype=np.bool_)
    states[:, list(evidence.proven)] = True
    causes, at_work, decider = ready.linked, np.zeros((count, 0), dtype=np.bool_), _Decider(count)
    if len(ready.question.leak_absent):
        sampler = _sampled(ready, count)
        at_work, decider = sampler.at_work, sampler.decider
        states[:, list(ready.variants.reduced.unknown)] = sampler.states
        others[list(causes)] = 0.0
    if model.states or not len(ready.question.leak_absent):
        drawn = set(causes)
        rest = [cause for cause in range(len(others)) if cause not in drawn]
        at_work = np.hstack([at_work, decider.each(others[rest])])
        causes = (*causes, *rest)
        others = np.zeros(len(others))
    known = {*evidence.proven, *evidence.ruled_out, *ready.variants.reduced.unknown}
    barren = [state for state in range(model.states) if state not in known]
    if barren:
        log_absent = at_work.astype(np.float64) @ model.log_not_brought[barren][:, list(causes)].T
        chances = -np.expm1(log_absent + model.log_state_absent[barren])
        for place, state in enumerate(barren):
            states[:, state] = decider.happens(chances[:, place])
    return Draws(causes, at_work, states, others)


def _sampled(ready: Prepared, count: int) -> "_Sampler":
    question = eased(ready.question)
    wide, _ = wide_causes(question)
    split, log_weight = split_by(question, wide)
    walk = NetWalk(split)
    walk.backwards(loosen=False, keep_after=True)
    log_row = walk.log_probability + log_weight
    if not np.isfinite(log_row).any():
        raise ImpossibleEvidence(ready.variants.reduced.evidence.present)
    weight = np.exp(log_row - log_row.max())
    rows = np.searchsorted(np.cumsum(weight / weight.sum())[:-1], (np.arange(count) + 0.5) / count)
    sampler = _Sampler(walk, rows)
    for position, cause in enumerate(wide):
        sampler.at_work[:, cause] = rows >> position & 1
    return sampler


class _Sampler:
    """Goes forwards through the steps of a walk, deciding for all draws at once. `rows`: the row of each draw."""

    def __init__(self, walk: NetWalk, rows: Indices) -> None:
        self.walk = walk
        self.rows = rows
        self.decider = _Decider(len(rows))
        self.sets = np.zeros(len(rows), dtype=np.intp)  # what has already been produced, as bits
        # Causes without any link left (wide causes, settled by the row) keep what the row says; filled in by the
        # caller.
        self.at_work = np.zeros((len(rows), len(walk.question.at_work)), dtype=np.bool_)
        self.states = np.zeros((len(rows), len(walk.question.shows)), dtype=np.bool_)
        self.singles: dict[int, list[int]] = {}
        for place, bit in enumerate(walk.fold.single_bit):
            self.singles.setdefault(bit, []).append(place)
        self.ends: dict[int, list[int]] = {}
        for place, bit in enumerate(walk.fold.end_bit):
            self.ends.setdefault(bit, []).append(place)
        for step, after in zip(walk.steps, reversed(walk.after), strict=True):
            if isinstance(step, Open):
                self._open(step, after)
            elif isinstance(step, Add):
                self._add(step, after)
            elif isinstance(step, Fire):
                self._fire(step, after)
            else:
                self._drop(step)
        for bit in (*walk.alone, *walk.fold.loose):
            seen = walk.produced[bit] * walk.question.seen[bit]
            total = seen + walk.absent[bit] * walk.question.unseen[bit]
            self._come_about(bit, self.decider.happens((seen / total)[rows]))

    def _open(self, step: Open, after: Numbers) -> None:
        width = len(after) // 2
        absent = self.walk.absent[step.symptom, self.rows] * after[self.sets, self.rows]
        produced = self.walk.produced[step.symptom, self.rows] * after[self.sets + width, self.rows]
        seen = self.decider.happens(produced / (absent + produced))
        self.sets = self.sets + width * seen
        self._come_about(step.symptom, seen)

    def _drop(self, step: Close | Fire) -> Flags:
        """Whether the bit was produced; it leaves the sets."""
        produced: Flags = self.sets // step.below % 2 == 1
        self.sets = self.sets // (2 * step.below) * step.below + self.sets % step.below
        return produced

    def _fire(self, step: Fire, after: Numbers) -> None:
        on = self._drop(step)
        self.states[:, step.state] = on
        remaining = self._remaining(after, self.walk.shows[step.state], step.links)
        self._push(on, self.walk.shows[step.state], step.links, remaining)

    def _add(self, step: Add, after: Numbers) -> None:
        walk, rows = self.walk, self.rows
        strengths = walk.added[step.cause]
        remaining = self._remaining(after, strengths, step.links)
        with_it = walk.working[step.cause, rows] * remaining[0][self.sets, rows]
        without = walk.idle[step.cause, rows] * after[self.sets, rows]
        works = self.decider.happens(with_it / (with_it + without))
        self._push(works, strengths, step.links, remaining)
        several = walk.fold.several
        if step.cause < len(several):
            self.at_work[:, several[step.cause]] = works
        else:
            self._come_about(walk.fold.springs[step.cause - len(several)], works)

    def _remaining(self, after: Numbers, strengths: list[float], links: Links) -> list[Numbers]:
        """The backward sets before the first link is decided, before the second ..., and after the last."""
        remaining = [after]
        for link in reversed(links):
            earlier = remaining[-1].copy()
            self.walk.pull(earlier, strengths, (link,))
            remaining.append(earlier)
        remaining.reverse()
        return remaining

    def _push(self, works: Flags, strengths: list[float], links: Links, remaining: list[Numbers]) -> None:
        for (bit, below), later in zip(links, remaining[1:], strict=True):
            strength = strengths[bit]
            seen = strength * later[self.sets | below, self.rows]
            not_seen = (1.0 - strength) * later[self.sets, self.rows]
            open_still = works & (self.sets & below == 0)
            total = np.where(open_still, seen + not_seen, 1.0)
            self.sets = np.where(open_still & self.decider.happens(seen / total), self.sets | below, self.sets)

    def _come_about(self, bit: int, seen: Flags) -> None:
        """Causes and states folded into the leak of this bit, given whether it came from them or the leak (`seen`).

        Where it did, the first of leak, cause, cause ... that produced it is drawn; those before it did not produce it,
        those after it are free.
        """
        walk, rows, question = self.walk, self.rows, self.walk.question
        if bit < len(question.shows) and bit in walk.fold.unfired:
            self.states[:, bit] = seen
        singles, ends = self.singles.get(bit, []), self.ends.get(bit, [])
        if not (singles or ends):
            return
        causes, states = [walk.fold.single[place] for place in singles], [walk.fold.ends[place] for place in ends]
        strengths = np.concatenate([question.strengths[causes, bit], question.shows[states, bit]])[:, None]
        on, off = walk.produced[states] * question.seen[states], walk.absent[states] * question.unseen[states]
        chance = np.vstack([question.at_work[causes], on / (on + off)])
        missed = share_of_missed(chance, np.vstack([question.not_at_work[causes], off / (on + off)]), strengths)
        folded = [question.leak_absent[[bit]], walk.fold.single_absent[singles], walk.fold.end_absent[ends]]
        none_up_to = np.exp(np.vstack(folded).cumsum(axis=0))[:, rows]
        # The number falls below 1 - none_up_to[i] exactly when one of the first i + 1 has produced the bit.
        number = self.decider.numbers() * walk.produced[bit, rows]
        first = np.where(seen, (number >= 1.0 - none_up_to).sum(axis=0), len(chance) + 1)
        for index in range(len(chance)):
            likely = np.where(index + 1 < first, missed[index, rows], chance[index, rows])
            works = (index + 1 == first) | self.decider.happens(likely)
            if index < len(causes):
                self.at_work[:, causes[index]] = works
            else:
                self._come_about(states[index - len(causes)], works)


def share_of_missed(chance: Numbers, not_chance: Numbers, strengths: Numbers) -> Numbers:
    """Probability that a cause is at work given that it did not produce its symptom."""
    hidden = chance * (1.0 - strengths)
    missed: Numbers = hidden / (hidden + not_chance)
    return missed


def log_chance_absent(model: Model, sets: Draws, symptoms: Indices) -> Numbers:
    """log P(symptom absent | draw), N draws x the symptoms; causes that are not drawn count with their probability."""
    background = model.log_leak_absent[symptoms] + np.log1p(-sets.others * model.by_symptom[symptoms]).sum(axis=1)
    at_work, chosen = sets.at_work, model.log_absent[symptoms][:, list(sets.causes)].T
    if model.states:
        at_work = np.hstack([at_work, sets.states])
        chosen = np.vstack([chosen, model.log_not_shown[symptoms].T])
    logs: Numbers = _summed_rows(at_work, chosen) + background
    return logs


def _summed_rows(taken: Flags, rows: Numbers) -> Numbers:
    """taken @ rows where both are mostly zeros: few causes are at work at a time, and each shows in few symptoms."""
    wide = rows.shape[1]
    owner, column = np.nonzero(rows)
    values, first = rows[owner, column], np.searchsorted(owner, np.arange(len(rows) + 1))
    links = np.diff(first)
    pieces = []
    step = max(1, MOST_LINKS // max(1, len(values)))
    for start in range(0, len(taken), step):
        piece = taken[start : start + step]
        draw, row = np.nonzero(piece)
        count = links[row]
        # The links of each row that is taken, one run after the other.
        link = np.arange(count.sum()) + np.repeat(first[row] - (count.cumsum() - count), count)
        place = np.repeat(draw * wide, count) + column[link]
        pieces.append(np.bincount(place, values[link], len(piece) * wide).reshape(-1, wide))
    return np.vstack(pieces)


def entropy(chances: Numbers) -> Numbers:
    """-p log2 p, 0 at 0."""
    # Of a 0 the logarithm of something very small is taken: 0 times that is the 0 wanted, without looking for zeros.
    bits: Numbers = np.log(np.maximum(chances, 1e-300))
    bits *= chances
    bits *= -1.0 / np.log(2.0)
    return bits
