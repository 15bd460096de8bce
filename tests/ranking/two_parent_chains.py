"""A noisy-OR network as pyAgrum takes it best: every symptom a chain of two-parent tables."""

import importlib
import warnings
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

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
        last = self._add(f"symptom{symptom}", [1 - leak, leak])
        for cause in np.flatnonzero(strengths).tolist():
            strength = float(strengths[cause])
            name, before = f"symptom{symptom}cause{cause}", last
            self.net.add(pyagrum.LabelizedVariable(name, "", 2))
            self.net.addArc(before, name)
            self.net.addArc(f"cause{cause}", name)
            for produced, at_work, chance in ((0, 0, 0.0), (0, 1, strength), (1, 0, 1.0), (1, 1, 1.0)):
                self.net.cpt(name)[{before: produced, f"cause{cause}": at_work}] = [1 - chance, chance]
            last = name
        return last

    def posteriors(self, present: Iterable[int], absent: Iterable[int]) -> list[float]:
        inference = pyagrum.LazyPropagation(self.net)
        known = {self.symptoms[symptom]: 1 for symptom in present} | {self.symptoms[symptom]: 0 for symptom in absent}
        inference.setEvidence(known)
        inference.makeInference()
        return [float(inference.posterior(f"cause{cause}")[1]) for cause in range(self.causes)]
