"""Reasons why a ranking is refused; each is a SaltriageError whose text can be shown as it stands.

SaltriageError
├── OutOfRange (saltriage.errors)   a probability outside [0, 1), an unknown index, tables that do not fit
├── ContradictoryEvidence           one symptom said to be present and not present
└── ImpossibleEvidence              a present symptom that nothing in the network can produce
"""

from collections.abc import Sequence

from saltriage.errors import SaltriageError


class ContradictoryEvidence(SaltriageError):
    """One symptom (or state) is said to be present and not present; `symptoms` holds the indices."""

    def __init__(self, symptoms: Sequence[int], kind: str = "symptoms") -> None:
        self.symptoms = tuple(symptoms)
        ways = "present, absent, silent and heard" if kind == "symptoms" else "proven and ruled out"
        super().__init__(f"{kind} {list(self.symptoms)}: each can be only one of {ways}")


class ImpossibleEvidence(SaltriageError):
    """No cause and no leak can produce what is said to be present; `present` holds the indices."""

    def __init__(self, present: Sequence[int]) -> None:
        self.present = tuple(present)
        super().__init__(f"present symptoms {list(self.present)}: no cause and no leak can produce them together")
