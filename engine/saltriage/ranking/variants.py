"""Many variants of one evidence solved in one sweep: an answer left out, only the first answers, a cause held at
work."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from saltriage.ranking.bounding import log_sums, settled
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.folding import OpenBits, Summed
from saltriage.ranking.model import Model, Numbers, log_of
from saltriage.ranking.reduction import Reduced
from saltriage.ranking.refusals import ImpossibleEvidence


@dataclass(frozen=True, slots=True, eq=False)
class Variants:
    """R rows over the bits of one case.

    Args:
        optional: (K + H) x R, 1.0 where the row does not know this present or heard symptom, else 0.0.
        log_factor: causes x R, log of what is known missing multiplies a cause at work with. log_leak: R, log of the
            same for the leaks. log_state: U x R, of the unknown states.
        on, off: causes x R, True where the row holds the cause at work, or not at work; None where no row does.
        log_leak_bits: B x R, what the row adds to the leaks of the bits; None where no row does.
        turned: (bit, row) of each proven state that a row knows not to be at work.
    """

    reduced: Reduced
    optional: Numbers
    log_factor: Numbers
    log_leak: Numbers
    log_state: Numbers
    on: NDArray[np.bool_] | None = None
    off: NDArray[np.bool_] | None = None
    log_leak_bits: Numbers | None = None
    turned: tuple[tuple[int, int], ...] = ()

    @property
    def rows(self) -> int:
        return len(self.log_leak)

    @classmethod
    def of(
        cls,
        model: Model,
        evidence: Evidence,
        with_symptoms: Numbers,
        with_absent: Numbers,
        with_silence: Numbers,
    ) -> "Variants":
        """Rows that know a part of `evidence`: R x (K present, H heard), R x A and R numbers, 1.0 where the row knows
        it, else 0.0. States that are known are known in all rows."""
        reduced = Reduced.of(model, evidence)
        by_cause, leaks, by_state = reduced.absent(evidence.absent)
        quiet_by_cause, quiet_leaks, quiet_by_state = reduced.absent(evidence.silent, silent=True)
        log_factor = with_absent @ by_cause + with_silence[:, None] * quiet_by_cause.sum(axis=0)
        log_leak = with_absent @ leaks + with_silence * quiet_leaks.sum()
        log_state = with_absent @ by_state + with_silence[:, None] * quiet_by_state.sum(axis=0)
        if evidence.ruled_out:
            causes, rest = reduced.ruled_out()
            log_factor, log_leak = log_factor + causes, log_leak + rest
        optional = np.ascontiguousarray(1.0 - with_symptoms.T)
        factor, states = np.ascontiguousarray(log_factor.T), np.ascontiguousarray(log_state.T)
        return cls(reduced, optional, factor, log_leak, states)

    def tiled(self, times: int) -> "Variants":
        """All rows, then all again, `times` in all."""
        return replace(
            self,
            optional=np.tile(self.optional, times),
            log_factor=np.tile(self.log_factor, times),
            log_leak=np.tile(self.log_leak, times),
            log_state=np.tile(self.log_state, times),
            on=None if self.on is None else np.tile(self.on, times),
            off=None if self.off is None else np.tile(self.off, times),
        )

    def holding(self, at_work: Sequence[Sequence[int]], not_at_work: Sequence[Sequence[int]] = ()) -> "Variants":
        """The only row, once with each list of causes held at work, then once with each held not at work."""
        rows = len(at_work) + len(not_at_work)
        held = np.zeros((2, len(self.log_factor), rows), dtype=np.bool_)
        for row, causes in enumerate(at_work):
            held[0, list(causes), row] = True
        for row, causes in enumerate(not_at_work, start=len(at_work)):
            held[1, list(causes), row] = True
        return replace(self.tiled(rows), on=held[0], off=held[1])

    def beside(self, *others: "Variants") -> "Variants":
        """The rows of all, of the same evidence."""
        parts = (self, *others)
        starts = np.cumsum([0, *(each.rows for each in parts)]).tolist()

        def held(tables: Sequence[NDArray[np.bool_] | None]) -> NDArray[np.bool_] | None:
            if all(each is None for each in tables):
                return None
            empty = (np.zeros(each.log_factor.shape, dtype=np.bool_) for each in parts)
            return np.hstack([none if each is None else each for each, none in zip(tables, empty, strict=True)])

        leaks = [each.log_leak_bits for each in parts]
        log_leak_bits = None
        if any(each is not None for each in leaks):
            log_leak_bits = np.zeros((len(self.reduced.log_leak_absent), starts[-1]))
            for start, each in zip(starts, leaks, strict=False):
                if each is not None:
                    log_leak_bits[:, start : start + each.shape[1]] = each
        return Variants(
            self.reduced,
            np.hstack([each.optional for each in parts]),
            np.hstack([each.log_factor for each in parts]),
            np.concatenate([each.log_leak for each in parts]),
            np.hstack([each.log_state for each in parts]),
            held([each.on for each in parts]),
            held([each.off for each in parts]),
            log_leak_bits,
            tuple((bit, start + row) for start, each in zip(starts, parts, strict=False) for bit, row in each.turned),
        )


def single(model: Model, evidence: Evidence) -> Variants:
    """The evidence as it stands, as one row."""
    return Variants.of(
        model,
        evidence,
        np.ones((1, len(evidence.present) + len(evidence.heard))),
        np.ones((1, len(evidence.absent))),
        np.ones(1),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """Variants with everything but the open bits worked in.

    Args:
        at_work, not_at_work: causes x R. log_probability: R, of everything but the bits.
        linked: indices of the causes that show in a bit. question: the recursion's share, over `linked`.
    """

    variants: Variants
    at_work: Numbers
    not_at_work: Numbers
    log_probability: Numbers
    linked: tuple[int, ...]
    question: OpenBits


def prepared(variants: Variants) -> Prepared:
    """Work in what has closed form: missing symptoms, and causes held one way."""
    reduced = variants.reduced
    at_work = reduced.model.priors[:, None] * np.exp(variants.log_factor)
    not_at_work = np.repeat(1.0 - reduced.model.priors[:, None], variants.rows, axis=1)
    if variants.on is not None:
        not_at_work[variants.on] = 0.0
    if variants.off is not None:
        at_work[variants.off] = 0.0
    total = at_work + not_at_work
    unseen, seen, log_taken = reduced.weights
    log_probability = variants.log_leak + log_of(total).sum(axis=0) + log_taken
    safe = np.where(total > 0.0, total, 1.0)
    at_work, not_at_work = at_work / safe, not_at_work / safe
    strengths = reduced.strengths
    linked = np.flatnonzero((strengths > 0.0).any(axis=1) & (at_work > 0.0).any(axis=1))
    rows = variants.rows
    if rows == 1:
        leak_absent, unseen, seen = reduced.log_leak_absent[:, None], unseen[:, None], seen[:, None]
    else:
        leak_absent = np.repeat(reduced.log_leak_absent[:, None], rows, axis=1)
        unseen, seen = np.repeat(unseen[:, None], rows, axis=1), np.repeat(seen[:, None], rows, axis=1)
    if variants.log_leak_bits is not None:
        leak_absent += variants.log_leak_bits
    for bit, row in variants.turned:
        unseen[bit, row], seen[bit, row] = 1.0, 0.0
    if reduced.unknown:
        seen[: len(reduced.unknown)] = np.exp(variants.log_state)
    if variants.optional.any():
        symptoms, left_out = slice(reduced.first_symptom, None), variants.optional > 0.0
        unseen[symptoms][left_out] = seen[symptoms][left_out] = 1.0
        heard = len(reduced.evidence.heard)
        if heard:  # the factor taken out is not in a weight of 1
            most = np.log(np.maximum(1.0, [ratio for _, ratio in reduced.evidence.heard]))
            log_probability = log_probability - most @ left_out[-heard:]
    question = OpenBits(
        at_work[linked], not_at_work[linked], strengths[linked], reduced.shows, leak_absent, unseen, seen
    )
    return Prepared(variants, at_work, not_at_work, log_probability, tuple(linked.tolist()), question)


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """Args: at_work: causes x R, exact. log_probability: R. prepared: what it was solved from.

    states: U x R, of the unknown states with something known below. log_loosened: (K + H) x R, log of the probability
    of everything but this symptom, in the rows that know it. error, log_error: R, the most that a posterior, or
    log_probability, may be off; 0.0 where the sum is exact (see bounding.py).
    """

    at_work: Numbers
    states: Numbers
    log_loosened: Numbers
    log_probability: Numbers
    prepared: Prepared
    error: Numbers
    log_error: Numbers


def solved(variants: Variants, impossible: bool = False, loosen: bool = False) -> Solved:
    """Exact posteriors and the log of the probability of each row's evidence.

    Args: impossible: rows may have probability 0 (as where a cause is held). loosen: find `log_loosened`, which has
        no bits otherwise.
    Raises: ImpossibleEvidence if a row has probability 0.
    """
    ready = prepared(variants)
    reduced, question = variants.reduced, ready.question
    at_work, log_probability = ready.at_work, ready.log_probability
    sums: Summed | None = None
    if len(question.leak_absent):
        sums = settled(question, loosen)
        at_work = at_work.copy()
        at_work[list(ready.linked)] = sums.at_work
        log_probability = log_probability + sums.log_probability
    if not (impossible or np.isfinite(log_probability).all()):
        raise ImpossibleEvidence(reduced.evidence.present)
    exact = np.zeros(variants.rows)
    if sums is None:
        none = np.zeros((0, variants.rows))
        return Solved(at_work, none, none, log_probability, ready, exact, exact)
    log_loosened = ready.log_probability + sums.log_loosened[reduced.first_symptom :]
    heard = [ratio for _, ratio in reduced.evidence.heard]
    if heard and loosen:
        log_loosened[len(log_loosened) - len(heard) :] -= np.log(np.maximum(1.0, heard))[:, None]
    error, log_error = (exact if each is None else each for each in (sums.error, sums.log_error))
    return Solved(at_work, sums.states, log_loosened, log_probability, ready, error, log_error)


def log_probabilities(variants: Variants) -> tuple[Numbers, Numbers]:
    """solved().log_probability, -inf where impossible, and log_error alone, at half the cost."""
    ready = prepared(variants)
    if not len(ready.question.leak_absent):
        return ready.log_probability, np.zeros(variants.rows)
    logs, log_error = log_sums(ready.question)
    return ready.log_probability + logs, log_error
