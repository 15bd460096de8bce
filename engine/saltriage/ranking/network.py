"""Causes, symptoms and how strongly the one shows in the other: the two-layer noisy-OR.

    P(symptom absent | causes at work) = (1 - leak) * product over the causes at work of (1 - strength)

Several causes may be at work at once. Sources: Shwe et al. 1991 (Methods of Information in Medicine 30, the QMR-DT
model) and Heckerman 1989 (Quickscore) for the model. Answer error and silence are folded into the numbers, so that
the sum stays exact.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from saltriage.errors import OutOfRange
from saltriage.ranking.evidence import Evidence

Numbers = NDArray[np.float64]


def log_of(chances: Numbers) -> Numbers:
    """log, and -inf without a warning where the number is 0."""
    result: Numbers = np.log(chances, out=np.full_like(chances, -np.inf), where=chances > 0.0)
    return result


@dataclass(frozen=True, slots=True)
class OtherCause:
    """A stand-in for every cause that the network does not know: it shows weakly in every symptom.

    Without it 'none of the known causes' comes out far too rarely. 0.1 and 0.2 were measured on synthetic callers
    (calibration error of 'none of the known' 0.32 -> 0.22); no published source.
    """

    prior: float = 0.1
    strength: float = 0.2


# Share of the strength with which a symptom that nobody mentioned counts as absent. Measured on synthetic callers:
# 0.2 helps (log loss 2.73 -> 1.92), above 0.5 hurts; no published source.
SILENCE = 0.2


def probabilities(name: str, given: ArrayLike, dimensions: int) -> Numbers:
    """A read-only table of probabilities in [0, 1). Raises: OutOfRange naming the table, the place and the number."""
    try:
        table = np.array(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise OutOfRange(name=name, value=given, allowed="a full table of numbers") from None
    if table.size == 0 and dimensions == 2:
        table = table.reshape(table.shape if table.ndim == 2 else (len(table), 0))
    if table.ndim != dimensions:
        raise OutOfRange(name=name, value=f"{table.ndim} dimensions", allowed=f"{dimensions} dimensions")
    fits = (table >= 0.0) & (table < 1.0)
    if not fits.all():
        place = tuple(int(axis) for axis in np.argwhere(~fits)[0])
        raise OutOfRange(name=f"{name}{list(place)}", value=float(table[place]), allowed="0 up to, not including, 1")
    table.setflags(write=False)
    return table


def error_of_answers(given: ArrayLike, symptoms: int) -> Numbers:
    """One answer error a symptom, each in [0, 0.5]. Raises: OutOfRange."""
    try:
        error = np.array(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise OutOfRange(name="answer_error", value=given, allowed="one number, or one for each symptom") from None
    if error.ndim == 0:
        error = np.full(symptoms, float(error))
    if error.shape != (symptoms,):
        raise OutOfRange(name="answer_error", value=f"{error.size} numbers", allowed=f"1 or {symptoms} numbers")
    fits = (error >= 0.0) & (error <= 0.5)
    if not fits.all():
        raise OutOfRange(name="answer_error", value=float(error[~fits][0]), allowed="0 to 0.5")
    error.setflags(write=False)
    return error


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """The numbers of a Network as checked, read-only arrays."""

    priors: Numbers
    strengths: Numbers
    leaks: Numbers
    answer_error: Numbers


@dataclass(frozen=True, eq=False)
class Network:
    """The numbers of one noisy-OR network, checked once and used for many cases. Compared by identity.

    Args:
        priors: n probabilities that a cause is at work. strengths: n rows of m probabilities that a cause at work
            shows in a
        symptom (0: never). leaks: m probabilities that a symptom is present though no cause shows in it. All in [0, 1).
        answer_error: probability in [0, 0.5] that an answer is wrong; one number, or one for each symptom.
        other: the stand-in for unknown causes; None leaves it out.
        silence: share of the strength that silence about a symptom carries, [0, 1).

    Raises: OutOfRange naming the table, the place and the number.
    """

    priors: ArrayLike
    strengths: ArrayLike
    leaks: ArrayLike
    answer_error: ArrayLike = 0.0
    other: OtherCause | None = OtherCause()
    silence: float = SILENCE
    tables: "Tables" = field(init=False, repr=False)

    def __post_init__(self) -> None:
        priors = probabilities("priors", self.priors, 1)
        strengths = probabilities("strengths", self.strengths, 2)
        leaks = probabilities("leaks", self.leaks, 1)
        if strengths.shape != (len(priors), len(leaks)):
            if strengths.size or len(priors) * len(leaks):
                expected = f"{len(priors)} causes x {len(leaks)} symptoms"
                raise OutOfRange(name="strengths", value=" x ".join(map(str, strengths.shape)), allowed=expected)
            strengths = np.zeros((len(priors), len(leaks)))
        probabilities("silence", [self.silence], 1)
        if self.other is not None:
            probabilities("other cause", [self.other.prior, self.other.strength], 1)
        answer_error = error_of_answers(self.answer_error, len(leaks))
        object.__setattr__(self, "tables", Tables(priors, strengths, leaks, answer_error))

    @property
    def causes(self) -> int:
        """How many known causes; in the model's tables the other cause, if any, has this index."""
        return len(self.tables.priors)

    @property
    def symptoms(self) -> int:
        return len(self.tables.leaks)

    @cached_property
    def model(self) -> "Model":
        """The same numbers with the other cause added as the last row and answer error folded in."""
        priors, strengths, leaks = self.tables.priors, self.tables.strengths, self.tables.leaks
        if self.other is not None:
            priors = np.append(priors, self.other.prior)
            strengths = np.vstack([strengths, np.full((1, len(leaks)), self.other.strength)])
        return Model.folded(priors, strengths, leaks, self.tables.answer_error, self.silence)

    def only(self, causes: Sequence[int]) -> "Network":
        """The same network with these causes alone, in this order: equal, to the last digit, to one made anew from
        their numbers, but not checked and folded again.

        Raises: OutOfRange for a cause that the network does not have.
        """
        self.check_causes("causes", causes)
        rows, tables = list(causes), self.tables
        fewer = Tables(tables.priors[rows], tables.strengths[rows], tables.leaks, tables.answer_error)
        part = object.__new__(Network)
        for name, value in (
            ("priors", fewer.priors),
            ("strengths", fewer.strengths),
            ("leaks", fewer.leaks),
            ("answer_error", fewer.answer_error),
            ("other", self.other),
            ("silence", self.silence),
            ("tables", fewer),
            ("model", self.model.only(rows if self.other is None else [*rows, self.causes])),
        ):
            object.__setattr__(part, name, value)
        return part

    def check(self, evidence: Evidence) -> None:
        """Raises: OutOfRange if the evidence names a symptom that the network does not have."""
        self.check_symptoms("evidence", (*evidence.present, *evidence.absent, *evidence.silent))

    def check_symptoms(self, name: str, indices: Iterable[int]) -> None:
        self._check_indices(name, indices, self.symptoms, "symptoms")

    def check_causes(self, name: str, indices: Iterable[int]) -> None:
        self._check_indices(name, indices, self.causes, "causes")

    @staticmethod
    def _check_indices(name: str, indices: Iterable[int], count: int, kind: str) -> None:
        for index in indices:
            if isinstance(index, bool) or not 0 <= index < count:
                raise OutOfRange(name=name, value=index, allowed=f"the {count} {kind} have indices 0 to {count - 1}")


@dataclass(frozen=True, eq=False)
class Model:
    """Tables derived from a Network; rows are causes (the other cause last), columns symptoms unless said otherwise."""

    priors: Numbers
    leaks: Numbers  # answer error folded in
    by_symptom: Numbers  # strengths, answer error folded in, one row a symptom: those of a case are picked often
    log_absent: Numbers  # log(1 - strength), one row a symptom
    log_silent: Numbers  # log(1 - silence * strength), one row a symptom; no answer was given, so no answer error
    log_leak_absent: Numbers  # log(1 - leak), by symptom
    log_leak_silent: Numbers
    log_spared: Numbers  # log(1 - prior * strength): before any answer, a cause does not show in a symptom
    log_spared_silent: Numbers  # the same of silence

    @cached_property
    def log_absent_before(self) -> Numbers:
        """log P(absent) before any answer, by symptom."""
        chances: Numbers = self.log_leak_absent + self.log_spared.sum(axis=0)
        return chances

    @cached_property
    def log_present_before(self) -> Numbers:
        """log P(present) before any answer, by symptom."""
        return log_of(-np.expm1(self.log_absent_before))

    @cached_property
    def log_silent_before(self) -> Numbers:
        """log P(silence) before any answer, by symptom."""
        chances: Numbers = self.log_leak_silent + self.log_spared_silent.sum(axis=0)
        return chances

    @classmethod
    def folded(cls, priors: Numbers, strengths: Numbers, leaks: Numbers, error: Numbers, silence: float) -> "Model":
        """Fold an answer error e in: strength -> s (1 - 2e), leak -> 1 - (1 - leak)(1 - e)."""
        answered = strengths * (1.0 - 2.0 * error)
        answered_leaks = leaks + error - leaks * error
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
        )

    def only(self, rows: Sequence[int]) -> "Model":
        """The tables of these causes alone."""
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
        )

    @classmethod
    def _read_only(cls, **tables: Numbers) -> "Model":
        for table in tables.values():
            table.setflags(write=False)
        return cls(**tables)
