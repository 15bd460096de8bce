"""What a diagnosis says of what is off and why: plain frozen data. Import it from `saltriage.result`."""

from dataclasses import dataclass

__all__ = ["EvidenceLine", "RankedCause", "StateLine", "TwoFaults", "Wording"]


@dataclass(frozen=True, slots=True)
class Wording:
    """One statement in two wordings; `owner` is plain, `support` adds the reason."""

    owner: str
    support: str

    def for_reader(self, reader: str) -> str:
        return self.support if reader == "support" else self.owner


@dataclass(frozen=True, slots=True)
class StateLine:
    """What is wrong with water or plant: a fact, or how likely it is and what would prove it.

    Args:
        standing: ``proven`` (by readings or a look), ``borderline`` (a reading too imprecise to tell) or ``possible``.
        probability, word: 1.0 and empty where proven; a measured number carries no chance.
        reading, value_low, value_high, quantity, unit, typed, method: the reading that shows it and the interval that
            its method leaves open; empty and None where a look or an answer shows it.
        value: what was typed, in `unit`; None where the reading was worked out from others.
        bound: below or above where the value is only a limit; '' else.
        target_low, target_high: where the reading should be; None where that end is open.
        target_of: ``unit`` where the equipment sets the range, ``water`` where the targets do; empty without a range.
        known_by: ``reading``, ``seen`` or ``told``: what proves it; empty while nothing does.
        explain: what it means.    if_left: what it leads to.    prove: what would prove it or rule it out.
    """

    state: str
    title: str
    area: str
    standing: str
    probability: float
    word: str
    explain: Wording
    if_left: Wording
    prove: Wording
    reading: str = ""
    reading_title: str = ""
    value_low: float | None = None
    value_high: float | None = None
    target_low: float | None = None
    target_high: float | None = None
    quantity: str = ""
    unit: str = ""
    typed: str = ""
    method: str = ""
    value: float | None = None
    target_of: str = ""
    known_by: str = ""
    bound: str = ""


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """What one thing known does to one cause: `factor` multiplies its odds (above 1 for it, below 1 against it).

    Args: symptom: its id, or that of a state where `kind` is ``state``. Where it is ``heard`` words may mean it that
    nobody has confirmed; where it is ``words`` the caller's account as a whole speaks.
    """

    symptom: str
    title: str
    present: bool
    factor: float
    kind: str = "symptom"


@dataclass(frozen=True, slots=True)
class RankedCause:
    """A cause with its probability of being at work; several may be at work at once, so they need not sum to 1."""

    cause: str
    title: str
    area: str
    probability: float
    word: str
    explain: Wording
    who: str
    hazard: str
    settle: Wording
    evidence_for: tuple[EvidenceLine, ...] = ()
    evidence_against: tuple[EvidenceLine, ...] = ()


@dataclass(frozen=True, slots=True)
class TwoFaults:
    """Two causes that are probably at work together."""

    causes: tuple[str, str]
    probability: float
