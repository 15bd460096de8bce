"""The numbers of a network as the sums take them: answer error folded in, logarithms taken, the other cause added."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


def log_of(chances: Numbers) -> Numbers:
    """log, and -inf without a warning where the number is 0."""
    result: Numbers = np.log(chances, out=np.full_like(chances, -np.inf), where=chances > 0.0)
    return result


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """The numbers of a Network as checked, read-only arrays; `brings` and `shows` have no states where it has none."""

    priors: Numbers
    strengths: Numbers
    leaks: Numbers
    answer_error: Numbers
    state_leaks: Numbers
    brings: Numbers
    shows: Numbers


@dataclass(frozen=True, eq=False)
class Model:
    """Tables derived from a Network; causes (the other cause last) are columns, unless said otherwise.

    'Answered' numbers have the answer error folded in: strength -> s (1 - 2e), leak -> 1 - (1 - leak)(1 - e). Silent
    and heard symptoms were not answered, so they keep the plain ones.
    """

    priors: Numbers
    leaks: Numbers  # answered
    by_symptom: Numbers  # answered strengths, one row a symptom: those of a case are picked often
    log_absent: Numbers  # log(1 - answered strength), one row a symptom
    log_silent: Numbers  # log(1 - silence * strength), one row a symptom
    log_leak_absent: Numbers  # log(1 - answered leak), by symptom
    log_leak_silent: Numbers
    log_spared: Numbers  # causes x symptoms, log(1 - prior * strength): before any answer, it does not show
    log_spared_silent: Numbers  # the same of silence
    plain_by_symptom: Numbers  # strengths, one row a symptom
    log_plain_leak_absent: Numbers
    brought: Numbers  # strengths, one row a state
    log_not_brought: Numbers  # log(1 - strength), one row a state
    log_state_absent: Numbers  # log(1 - leak), by state
    shown: Numbers  # answered strengths of states, one row a symptom
    log_not_shown: Numbers  # log(1 - answered strength of states), one row a symptom
    log_not_shown_silent: Numbers
    plain_shown: Numbers

    @property
    def states(self) -> int:
        return len(self.log_state_absent)

    @cached_property
    def log_state_absent_before(self) -> Numbers:
        """log P(state not at work) before any answer, by state."""
        chances: Numbers = self.log_state_absent + np.log1p(-self.brought * self.priors).sum(axis=1)
        return chances

    @cached_property
    def log_absent_before(self) -> Numbers:
        """log P(absent) before any answer, by symptom; states are taken as independent of each other and of causes."""
        at_work = -np.expm1(self.log_state_absent_before)
        by_state = np.log1p(-self.shown * at_work).sum(axis=1)
        chances: Numbers = self.log_leak_absent + self.log_spared.sum(axis=0) + by_state
        return chances

    @cached_property
    def log_present_before(self) -> Numbers:
        """log P(present) before any answer, by symptom."""
        return log_of(-np.expm1(self.log_absent_before))

    @cached_property
    def log_silent_before(self) -> Numbers:
        """log P(silence) before any answer, by symptom."""
        spared = np.log1p(np.expm1(self.log_not_shown_silent) * -np.expm1(self.log_state_absent_before))
        chances: Numbers = self.log_leak_silent + self.log_spared_silent.sum(axis=0) + spared.sum(axis=1)
        return chances

    def log_heard_before(self, symptom: int, ratio: float) -> float:
        """log of what is heard of a symptom before any answer, relative to P(heard | absent)."""
        missing = self.log_plain_leak_absent[symptom] + np.log1p(-self.plain_by_symptom[symptom] * self.priors).sum()
        missing += np.log1p(np.expm1(self.log_state_absent_before) * self.plain_shown[symptom]).sum()
        return float(np.log(ratio * -np.expm1(missing) + np.exp(missing)))

    @classmethod
    def folded(cls, tables: Tables, silence: float) -> "Model":
        """Args: tables: with the other cause, if any, as the last row."""
        priors, strengths, leaks, error = tables.priors, tables.strengths, tables.leaks, tables.answer_error
        answered = strengths * (1.0 - 2.0 * error)
        answered_leaks = leaks + error - leaks * error
        shown = np.ascontiguousarray((tables.shows * (1.0 - 2.0 * error)).T)
        return cls._read_only(
            priors=priors,
            leaks=answered_leaks,
            by_symptom=np.ascontiguousarray(answered.T),
            log_absent=np.log1p(-np.ascontiguousarray(answered.T)),
            log_silent=np.log1p(-silence * np.ascontiguousarray(strengths.T)),
            log_leak_absent=np.log1p(-answered_leaks),
            log_leak_silent=np.log1p(-silence * leaks),
            log_spared=np.log1p(-priors[:, None] * answered),
            log_spared_silent=np.log1p(-silence * priors[:, None] * strengths),
            plain_by_symptom=np.ascontiguousarray(strengths.T),
            log_plain_leak_absent=np.log1p(-leaks),
            brought=np.ascontiguousarray(tables.brings.T),
            log_not_brought=np.log1p(-np.ascontiguousarray(tables.brings.T)),
            log_state_absent=np.log1p(-tables.state_leaks),
            shown=shown,
            log_not_shown=np.log1p(-shown),
            log_not_shown_silent=np.log1p(-silence * np.ascontiguousarray(tables.shows.T)),
            plain_shown=np.ascontiguousarray(tables.shows.T),
        )

    def only(self, rows: Sequence[int], states: Sequence[int] | None = None) -> "Model":
        """The tables of these causes, and of these states, alone."""
        kept = list(range(self.states)) if states is None else list(states)
        by_state = {
            name: getattr(self, name).take(kept, axis=1)
            for name in ("shown", "log_not_shown", "log_not_shown_silent", "plain_shown")
        }
        return self._read_only(
            priors=self.priors[rows],
            leaks=self.leaks,
            by_symptom=self.by_symptom.take(rows, axis=1),
            log_absent=self.log_absent.take(rows, axis=1),
            log_silent=self.log_silent.take(rows, axis=1),
            log_leak_absent=self.log_leak_absent,
            log_leak_silent=self.log_leak_silent,
            log_spared=self.log_spared[rows],
            log_spared_silent=self.log_spared_silent[rows],
            plain_by_symptom=self.plain_by_symptom.take(rows, axis=1),
            log_plain_leak_absent=self.log_plain_leak_absent,
            brought=self.brought[kept].take(rows, axis=1),
            log_not_brought=self.log_not_brought[kept].take(rows, axis=1),
            log_state_absent=self.log_state_absent[kept],
            **by_state,
        )

    def with_priors(self, priors: Numbers, silence: float) -> "Model":
        """The same tables with other priors."""
        plain = self.plain_by_symptom.T
        answered = self.by_symptom.T
        return self._read_only(
            **{each.name: getattr(self, each.name) for each in fields(self)}
            | {
                "priors": priors,
                "log_spared": np.log1p(-priors[:, None] * answered),
                "log_spared_silent": np.log1p(-silence * priors[:, None] * plain),
            }
        )

    @classmethod
    def _read_only(cls, **tables: Numbers) -> "Model":
        for table in tables.values():
            table.setflags(write=False)
        return cls(**tables)


def padded(rows: Iterable[Sequence[int]], blank: int) -> NDArray[np.intp]:
    """Lists of indices as one table, short ones filled up with `blank`."""
    given = list(rows)
    most = max(map(len, given), default=0)
    return np.array([[*row, *[blank] * (most - len(row))] for row in given], dtype=np.intp).reshape(len(given), most)
