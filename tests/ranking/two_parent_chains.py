"""A noisy-OR network as pyAgrum takes it best: every symptom, and every state, a chain of two-parent tables."""

import importlib
import warnings
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from saltriage.ranking import Evidence, Network

with warnings.catch_warnings():
    # Its compiled part warns on import under Python 3.11 ("builtin type ... has no __module__ attribute") and dies if
    # the warning is made an error.
    warnings.simplefilter("ignore")
    pyagrum: Any = importlib.import_module("pyagrum")


class ChainNetwork:
    """Holds the chains of `symptoms`; may be asked about any of them."""

    def __init__(self, priors: ArrayLike, strengths: ArrayLike, leaks: ArrayLike, symptoms: Iterable[int]) -> None:
        chances, table, spontaneous = np.asarray(priors), np.asarray(strengths), np.asarray(leaks)
        self.causes = len(chances)
        self.net: Any = pyagrum.BayesNet()
        for cause, prior in enumerate(chances.tolist()):
            self._add(f"cause{cause}", [1 - prior, prior])
        self.symptoms = {
            symptom: self._chain(symptom, table[:, symptom], float(spontaneous[symptom])) for symptom in symptoms
        }

    def _add(self, name: str, table: Any, parents: tuple[str, ...] = ()) -> str:
        self.net.add(pyagrum.LabelizedVariable(name, "", 2))
        for parent in parents:
            self.net.addArc(parent, name)
        self.net.cpt(name)[:] = table
        return name

    def _chain(self, symptom: int, strengths: Any, leak: float) -> str:
        parents = {f"cause{cause}": float(strengths[cause]) for cause in np.flatnonzero(strengths).tolist()}
        return self._or(f"symptom{symptom}", parents, leak)

    def _or(self, called: str, parents: dict[str, float], leak: float) -> str:
        """The last node of a chain that takes in one parent after the other."""
        last = self._add(called, [1 - leak, leak])
        for parent, strength in parents.items():
            name, before = f"{called}of{parent}", last
            self.net.add(pyagrum.LabelizedVariable(name, "", 2))
            self.net.addArc(before, name)
            self.net.addArc(parent, name)
            for produced, at_work, chance in ((0, 0, 0.0), (0, 1, strength), (1, 0, 1.0), (1, 1, 1.0)):
                self.net.cpt(name)[{before: produced, parent: at_work}] = [1 - chance, chance]
            last = name
        return last

    def posteriors(self, present: Iterable[int], absent: Iterable[int]) -> list[float]:
        inference = pyagrum.LazyPropagation(self.net)
        known = {self.symptoms[symptom]: 1 for symptom in present} | {self.symptoms[symptom]: 0 for symptom in absent}
        inference.setEvidence(known)
        inference.makeInference()
        return [float(inference.posterior(f"cause{cause}")[1]) for cause in range(self.causes)]


class LayeredChains(ChainNetwork):
    """Three layers: chains of causes for the states, chains of causes and states for `symptoms`."""

    def __init__(self, network: Network, symptoms: Iterable[int]) -> None:
        tables = network.tables
        super().__init__(tables.priors, tables.strengths, tables.leaks, ())
        self.states: list[str] = []
        for state in range(network.state_count):
            parents = {f"cause{cause}": value for cause, value in enumerate(tables.brings[:, state].tolist()) if value}
            self.states.append(self._or(f"state{state}", parents, float(tables.state_leaks[state])))
        for symptom in symptoms:
            parents = {f"cause{cause}": value for cause, value in enumerate(tables.strengths[:, symptom].tolist())}
            parents |= {self.states[state]: value for state, value in enumerate(tables.shows[:, symptom].tolist())}
            named = {name: value for name, value in parents.items() if value}
            self.symptoms[symptom] = self._or(f"symptom{symptom}", named, float(tables.leaks[symptom]))

    def given(self, evidence: Evidence) -> tuple[list[float], list[float]]:
        """Posteriors of causes and states; what was heard goes in as the library's soft evidence."""
        inference = pyagrum.LazyPropagation(self.net)
        known: dict[str, Any] = {self.symptoms[symptom]: 1 for symptom in evidence.present}
        known |= {self.symptoms[symptom]: 0 for symptom in evidence.absent}
        known |= {self.states[state]: 1 for state in evidence.proven}
        known |= {self.states[state]: 0 for state in evidence.ruled_out}
        known |= {self.symptoms[symptom]: [1.0, ratio] for symptom, ratio in evidence.heard}
        inference.setEvidence(known)
        inference.makeInference()
        causes = [float(inference.posterior(f"cause{cause}")[1]) for cause in range(self.causes)]
        return causes, [float(inference.posterior(name)[1]) for name in self.states]
