"""Causes, states, symptoms and how strongly the one shows in the other: a noisy-OR of two or three layers.

    P(symptom absent | what is at work) = (1 - leak) * product over the causes and states at work of (1 - strength)
    P(state not at work | causes at work) = (1 - leak) * product over the causes at work of (1 - strength)

Several may be at work at once. Sources: Shwe et al. 1991 (Methods of Information in Medicine 30, the QMR-DT
model) and Heckerman 1989 (Quickscore) for the model. Answer error and silence are folded into the numbers, so that
the sum stays exact.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from saltriage.errors import OutOfRange
from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers, Tables


@dataclass(frozen=True, slots=True)
class OtherCause:
    """A stand-in for every cause that the network does not know: it shows weakly in every symptom.

    Without it 'none of the known causes' comes out far too rarely. 0.1 and 0.2 were measured on synthetic callers
    (calibration error of 'none of the known' 0.32 -> 0.22); no published source.

    Args:
        strength: one number, or one for each symptom.
        brings: how often it brings a state about; None: as often as it shows in a symptom. 0.0 where the leak of a
            state is meant to hold all reasons that nobody knows.
    """

    prior: float = 0.1
    strength: float | tuple[float, ...] = 0.2
    brings: float | None = None


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


def matrix(name: str, given: ArrayLike, rows: int, kind: str, columns: tuple[int, str]) -> Numbers:
    """probabilities() of `rows` by `columns`. Raises: OutOfRange, also where the table has another shape."""
    table = probabilities(name, given, 2)
    if table.shape == (rows, columns[0]):
        return table
    if table.size or rows * columns[0]:
        expected = f"{rows} {kind} x {columns[0]} {columns[1]}"
        raise OutOfRange(name=name, value=" x ".join(map(str, table.shape)), allowed=expected)
    empty = np.zeros((rows, columns[0]))
    empty.setflags(write=False)
    return empty


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
class States:
    """What stands between causes and symptoms: a state is at work by its leak or brought about by causes at work.

    Args:
        leaks: S probabilities that a state is at work though no cause brings it about. brings: n rows (causes) of S
            strengths. shows: S rows of m strengths with which a state at work shows in a symptom. All in [0, 1).
    """

    leaks: ArrayLike
    brings: ArrayLike
    shows: ArrayLike


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
        states: what causes bring about and what shows in symptoms in its turn; the other cause brings about each of
            them. None: two layers.

    Raises: OutOfRange naming the table, the place and the number.
    """

    priors: ArrayLike
    strengths: ArrayLike
    leaks: ArrayLike
    answer_error: ArrayLike = 0.0
    other: OtherCause | None = OtherCause()
    silence: float = SILENCE
    states: States | None = None
    tables: "Tables" = field(init=False, repr=False)

    def __post_init__(self) -> None:
        priors = probabilities("priors", self.priors, 1)
        leaks = probabilities("leaks", self.leaks, 1)
        strengths = matrix("strengths", self.strengths, len(priors), "causes", (len(leaks), "symptoms"))
        probabilities("silence", [self.silence], 1)
        if self.other is not None:
            shown = self.other.strength if isinstance(self.other.strength, tuple) else (self.other.strength,)
            probabilities("other cause", [self.other.prior, self.other.brings or 0.0, *shown], 1)
            if len(shown) not in (1, len(leaks)):
                raise OutOfRange(
                    name="other cause", value=f"{len(shown)} numbers", allowed=f"1 or {len(leaks)} numbers"
                )
            if self.other.brings is None and len(shown) != 1:
                raise OutOfRange(name="other cause", value=None, allowed="how often it brings a state about")
        answer_error = error_of_answers(self.answer_error, len(leaks))
        given = self.states or States([], np.zeros((len(priors), 0)), np.zeros((0, len(leaks))))
        state_leaks = probabilities("state leaks", given.leaks, 1)
        count = len(state_leaks)
        brings = matrix("brings", given.brings, len(priors), "causes", (count, "states"))
        shows = matrix("shows", given.shows, count, "states", (len(leaks), "symptoms"))
        tables = Tables(priors, strengths, leaks, answer_error, state_leaks, brings, shows)
        object.__setattr__(self, "tables", tables)

    @property
    def causes(self) -> int:
        """How many known causes; in the model's tables the other cause, if any, has this index."""
        return len(self.tables.priors)

    @property
    def symptoms(self) -> int:
        return len(self.tables.leaks)

    @property
    def state_count(self) -> int:
        return len(self.tables.state_leaks)

    @cached_property
    def model(self) -> Model:
        """The same numbers with the other cause added as the last row and answer error folded in."""
        made = self.tables
        if self.other is None:
            return Model.folded(made, self.silence)
        strength = np.broadcast_to(self.other.strength, self.symptoms)
        brings = self.other.strength if self.other.brings is None else self.other.brings
        with_other = replace(
            made,
            priors=np.append(made.priors, self.other.prior),
            strengths=np.vstack([made.strengths, strength]),
            brings=np.vstack([made.brings, np.full((1, self.state_count), brings)]),
        )
        return Model.folded(with_other, self.silence)

    def only(self, causes: Sequence[int], states: Sequence[int] | None = None) -> "Network":
        """The same network with these causes alone, and with these states (None: all), in this order: equal, to the
        last digit, to one made anew from their numbers, but not checked and folded again.

        Raises: OutOfRange for a cause or state that the network does not have.
        """
        self.check_causes("causes", causes)
        kept = list(range(self.state_count) if states is None else states)
        self.check_states("states", kept)
        rows, tables = list(causes), self.tables
        fewer = replace(
            tables,
            priors=tables.priors[rows],
            strengths=tables.strengths[rows],
            state_leaks=tables.state_leaks[kept],
            brings=tables.brings[np.ix_(rows, kept)],
            shows=tables.shows[kept],
        )
        part = object.__new__(Network)
        for name, value in (
            ("priors", fewer.priors),
            ("strengths", fewer.strengths),
            ("leaks", fewer.leaks),
            ("answer_error", fewer.answer_error),
            ("other", self.other),
            ("silence", self.silence),
            ("states", self.states and States(fewer.state_leaks, fewer.brings, fewer.shows)),
            ("tables", fewer),
            ("model", self.model.only(rows if self.other is None else [*rows, self.causes], kept)),
        ):
            object.__setattr__(part, name, value)
        return part

    def leaning(self, ratios: Mapping[int, float]) -> "Network":
        """The same network after something was learned of causes themselves, each by itself: virtual evidence (Pearl
        1988, Probabilistic Reasoning in Intelligent Systems, 2.2.2), which on a root is a prior of its own.

        Args: ratios: cause -> P(learned | at work) / P(learned | not at work), above 0.
        Raises: OutOfRange for a cause that the network does not have, or a ratio that is none.
        """
        self.check_causes("ratios", ratios)
        priors = self.tables.priors.copy()
        for cause, ratio in ratios.items():
            if not 0.0 < ratio < np.inf:
                raise OutOfRange(name=f"ratios[{cause}]", value=ratio, allowed="above 0")
            priors[cause] = priors[cause] * ratio / (1.0 - priors[cause] + priors[cause] * ratio)
        priors.setflags(write=False)
        leaning = object.__new__(Network)
        for each in fields(self):
            object.__setattr__(leaning, each.name, getattr(self, each.name))
        object.__setattr__(leaning, "priors", priors)
        object.__setattr__(leaning, "tables", replace(self.tables, priors=priors))
        with_other = np.append(priors, self.model.priors[self.causes :])
        object.__setattr__(leaning, "model", self.model.with_priors(with_other, self.silence))
        return leaning

    def check(self, evidence: Evidence) -> None:
        """Raises: OutOfRange if the evidence names a symptom or a state that the network does not have."""
        heard = (symptom for symptom, _ in evidence.heard)
        self.check_symptoms("evidence", (*evidence.present, *evidence.absent, *evidence.silent, *heard))
        self.check_states("evidence", (*evidence.proven, *evidence.ruled_out))

    def check_symptoms(self, name: str, indices: Iterable[int]) -> None:
        self._check_indices(name, indices, self.symptoms, "symptoms")

    def check_causes(self, name: str, indices: Iterable[int]) -> None:
        self._check_indices(name, indices, self.causes, "causes")

    def check_states(self, name: str, indices: Iterable[int]) -> None:
        self._check_indices(name, indices, self.state_count, "states")

    @staticmethod
    def _check_indices(name: str, indices: Iterable[int], count: int, kind: str) -> None:
        for index in indices:
            if isinstance(index, bool) or not 0 <= index < count:
                raise OutOfRange(name=name, value=index, allowed=f"the {count} {kind} have indices 0 to {count - 1}")
