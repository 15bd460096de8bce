"""What is known of a case, with known states worked in: two layers, and between them the unknown states that matter.

A proven state is a bit that is present, with causes above it, and a factor in the leaks of its symptoms; a state ruled
out is a factor of its causes. An unknown state with nothing known below it has no influence and is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.model import Model, Numbers


@dataclass(frozen=True, eq=False)
class Reduced:
    """The bits of one case: unknown states (U), proven states (P), present symptoms (K), heard symptoms (H).

    Args: unknown: indices of the states with something known below. proven: states whose symptoms show them at work.
    """

    model: Model
    evidence: Evidence
    unknown: tuple[int, ...]

    @classmethod
    def of(cls, model: Model, evidence: Evidence) -> "Reduced":
        if not model.states:
            return cls(model, evidence, ())
        known = {*evidence.proven, *evidence.ruled_out}
        below = [*evidence.present, *evidence.absent, *evidence.silent, *(symptom for symptom, _ in evidence.heard)]
        matters = model.plain_shown[below].any(axis=0)
        return cls(model, evidence, tuple(s for s in np.flatnonzero(matters).tolist() if s not in known))

    @property
    def symptoms(self) -> tuple[int, ...]:
        """Present, then heard symptoms."""
        return (*self.evidence.present, *(symptom for symptom, _ in self.evidence.heard))

    @property
    def first_symptom(self) -> int:
        return len(self.unknown) + len(self.evidence.proven)

    @cached_property
    def strengths(self) -> Numbers:
        """Causes x bits."""
        model, evidence = self.model, self.evidence
        present = model.by_symptom[list(evidence.present)]
        heard = model.plain_by_symptom[[symptom for symptom, _ in evidence.heard]]
        states = model.brought[[*self.unknown, *evidence.proven]]
        table: Numbers = np.concatenate([states, present, heard]).T if len(states) or len(heard) else present.T
        return table

    @cached_property
    def shows(self) -> Numbers:
        """U x bits."""
        table = np.zeros((len(self.unknown), self.strengths.shape[1]))
        if self.unknown:
            states, heard = list(self.unknown), [symptom for symptom, _ in self.evidence.heard]
            shown = [self.model.shown[list(self.evidence.present)], self.model.plain_shown[heard]]
            table[:, self.first_symptom :] = np.concatenate(shown)[:, states].T
        return table

    @cached_property
    def log_leak_absent(self) -> Numbers:
        """By bit; the proven states are in the leaks of the symptoms."""
        model, evidence = self.model, self.evidence
        present, proven = list(evidence.present), list(evidence.proven)
        heard = [symptom for symptom, _ in evidence.heard]
        answered, plain = model.log_leak_absent[present], model.log_plain_leak_absent[heard]
        if proven:
            answered = answered + model.log_not_shown[np.ix_(present, proven)].sum(axis=1)
            plain = plain + np.log1p(-model.plain_shown[np.ix_(heard, proven)]).sum(axis=1)
        return np.concatenate([model.log_state_absent[[*self.unknown, *proven]], answered, plain])

    @cached_property
    def weights(self) -> tuple[Numbers, Numbers, float]:
        """Weight of each bit unseen and seen, and the log of a factor taken out of them."""
        ratios = np.array([value for _, value in self.evidence.heard])
        free, asked = len(self.unknown), len(self.evidence.proven) + len(self.evidence.present)
        most = np.maximum(1.0, ratios)
        unseen = np.concatenate([np.ones(free), np.zeros(asked), 1.0 / most])
        seen = np.concatenate([np.ones(free + asked), ratios / most])
        return unseen, seen, float(np.log(most).sum())

    def absent(self, symptoms: Sequence[int], silent: bool = False) -> tuple[Numbers, Numbers, Numbers]:
        """Logs of what each of these symptoms, missing, multiplies with: a cause at work (a row a symptom), the leaks
        and proven states, and an unknown state at work (a row a symptom)."""
        model, rows = self.model, list(symptoms)
        by_cause = (model.log_silent if silent else model.log_absent)[rows]
        leaks = (model.log_leak_silent if silent else model.log_leak_absent)[rows]
        if not model.states:
            return by_cause, leaks, np.zeros((len(rows), 0))
        by_state = (model.log_not_shown_silent if silent else model.log_not_shown)[rows]
        return by_cause, leaks + by_state[:, list(self.evidence.proven)].sum(axis=1), by_state[:, list(self.unknown)]

    def at_work(self, state: int) -> tuple[float, Numbers]:
        """Logs of what a known state, where it is at work, multiplies the chance of what is missing with, and the
        chance that no leak produces a bit (B)."""
        model, evidence = self.model, self.evidence
        missing = model.log_not_shown[list(evidence.absent), state].sum()
        missing += model.log_not_shown_silent[list(evidence.silent), state].sum()
        bits = np.zeros(len(self.log_leak_absent))
        present = len(evidence.present)
        symptoms = bits[self.first_symptom :]
        symptoms[:present] = model.log_not_shown[list(evidence.present), state]
        symptoms[present:] = np.log1p(-model.plain_shown[[symptom for symptom, _ in evidence.heard], state])
        return float(missing), bits

    def ruled_out(self) -> tuple[Numbers, float]:
        """The same of the states ruled out: of causes, and of the leaks."""
        rows = list(self.evidence.ruled_out)
        return self.model.log_not_brought[rows].sum(axis=0), float(self.model.log_state_absent[rows].sum())


def flipped(evidence: Evidence, state: int) -> Evidence:
    """The evidence with a known state known the other way."""
    proven, ruled_out = set(evidence.proven), set(evidence.ruled_out)
    proven ^= {state}
    ruled_out ^= {state}
    return replace(evidence, proven=tuple(sorted(proven)), ruled_out=tuple(sorted(ruled_out)))


def knowing(evidence: Evidence, state: int, at_work: bool) -> Evidence:
    """The evidence with one more state known."""
    if at_work:
        return replace(evidence, proven=(*evidence.proven, state))
    return replace(evidence, ruled_out=(*evidence.ruled_out, state))
