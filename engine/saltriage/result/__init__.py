"""What a diagnosis says: plain frozen data that every report, page and file is made from.

Quantities are canonical (mg/L, L, degC, kPa, g, mL, h, %); a report turns them into the reader's units. Texts come in
two wordings, for the owner at the pool and for support staff. Nothing here computes anything.
"""

from dataclasses import dataclass, field

from saltriage.result.why import EvidenceLine, RankedCause, StateLine, TwoFaults, Wording

__all__ = [
    "AdvisedAction",
    "Answer",
    "BorderlineReading",
    "CoursePoint",
    "Diagnosis",
    "DoseAdvice",
    "DoubtNote",
    "EvidenceLine",
    "Expectation",
    "LaterAction",
    "NextCheck",
    "OrderLine",
    "RankedCause",
    "ReadingLine",
    "SafetyNote",
    "StateLine",
    "StopNotice",
    "TargetEnds",
    "TurningPoint",
    "TwoFaults",
    "WithheldAction",
    "Wording",
]


@dataclass(frozen=True, slots=True)
class Answer:
    """A symptom that is known: told by the caller or derived from readings."""

    symptom: str
    title: str
    present: bool
    origin: str  # told | derived


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """A reading as used: canonical value and the interval that its method leaves open.

    bound: below or above where only a limit is known, the end `high` or `low`; '' else.
    """

    reading: str
    title: str
    unit: str
    quantity: str
    low: float
    high: float
    typed: str
    method: str
    origin: str  # told | computed | setting | profile
    withdrawn: bool = False
    bound: str = ""


@dataclass(frozen=True, slots=True)
class BorderlineReading:
    """A reading whose interval straddles the limit of a symptom, so that the symptom stays unknown."""

    reading: str
    symptom: str
    text: Wording


@dataclass(frozen=True, slots=True)
class DoubtNote:
    """A reading that is not believed, and what to do instead."""

    doubt: str
    title: str
    withdraws: tuple[str, ...]
    because: Wording
    instead: str
    strength: str  # withdraw | warn


@dataclass(frozen=True, slots=True)
class StopNotice:
    """A danger that stands: it comes before everything else.

    Args: level: life, harm or unfit. sure: told, heard or inferred. words: the caller's own, where it was heard.
    """

    stop: str
    title: str
    hazard: str
    say: Wording
    until: Wording
    call: str
    because: tuple[str, ...]
    level: str = "life"
    sure: str = "told"
    words: str = ""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One thing to do under danger, in its place among the orders of all dangers. Args: action: says how, or empty."""

    order: str
    title: str
    say: Wording
    action: str
    rescue: bool


@dataclass(frozen=True, slots=True)
class SafetyNote:
    """A caution that belongs to the actions shown, or to what was told whatever is advised.

    Args: by_itself: it belongs to what was told.
    """

    note: str
    title: str
    hazard: str
    say: Wording
    by_itself: bool = False


@dataclass(frozen=True, slots=True)
class DoseAdvice:
    """How much of what: a range from the readings' uncertainty, in canonical units of `quantity`.

    `low` and `high` bound what could be needed; `first` is what to give now, before the retest. `arithmetic` shows the
    sum behind the middle value, one line a step. `missing` names readings without which no dose is computed; the
    numbers are then all zero and `computed` is False, and `state` says whether it is refused, later (something else
    comes first), missing (a reading), retest (the test is too coarse) or fine (nothing is wanted).

    Args:
        starts_h: hours after the first dose of the day.    wait_h: least time to the test of the readings in `test`.
        parts: about so many parts in all.    hands: who doses.    limits: ids of those that made it smaller or refused.
        how: how it goes into the water.
    """

    calculator: str
    product: str
    quantity: str  # mass | volume | percent | duration
    unit: str
    low: float
    high: float
    middle: float
    first: float
    computed: bool
    arithmetic: tuple[str, ...] = ()
    side_effects: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    reason: str = ""
    strength: str = ""
    state: str = ""
    starts_h: float = 0.0
    wait_h: float = 0.0
    test: tuple[str, ...] = ()
    parts: int = 1
    hands: str = "owner"
    limits: tuple[str, ...] = ()
    how: Wording | None = None


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """The water at one time of a plan of doses: reading -> least, as given, most; hours after the first step."""

    hour: float
    values: dict[str, tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class TargetEnds:
    """Ends of the wished range of one reading; None where it is open."""

    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Expectation:
    """What should be seen after an action, and by when."""

    see: Wording
    by_hours: float
    reading: str = ""
    moves: str = ""
    symptom: str = ""
    if_not: Wording | None = None


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A reading or an answer under which an action is no longer to be done.

    Args:
        kind, id, title: of a ``reading``, or of a ``symptom`` that was told.
        turns: of a reading ``at-least``, ``above``, ``at-most`` or ``below`` the value; of a symptom ``present`` or
            ``absent``.
        value, quantity, unit: the limit; None and empty for a symptom.
    """

    kind: str
    id: str
    title: str
    turns: str
    value: float | None = None
    quantity: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class AdvisedAction:
    """One thing to do, in order, with its dose, cautions and what to see by when.

    Args: unless: each of these by itself would take it back, as far as the conditions of the rules say so.
    """

    action: str
    title: str
    kind: str
    job: str
    adds: str
    why: Wording
    steps_owner: tuple[str, ...]
    steps_support: tuple[str, ...]
    for_causes: tuple[str, ...]
    for_states: tuple[str, ...]
    chance_of_cure: float
    minutes: float
    safety: tuple[str, ...]
    expectation: Expectation | None = None
    dose: DoseAdvice | None = None
    unless: tuple[TurningPoint, ...] = ()

    def steps_for(self, reader: str) -> tuple[str, ...]:
        return self.steps_support if reader == "support" else self.steps_owner


@dataclass(frozen=True, slots=True)
class WithheldAction:
    """An action that is not offered yet, why, and what would decide it.

    Args: opposite_of: the action shown beside which it cannot stand; empty where that is not why.
        later: it is needed, and comes after another dose.
    """

    action: str
    title: str
    because: Wording
    first_find_out: tuple[str, ...] = ()
    opposite_of: str = ""
    later: bool = False


@dataclass(frozen=True, slots=True)
class LaterAction:
    """An action that a danger forbids while it stands.

    Args: job: whose work it is.    after_a_check: its own condition is not shown to be true yet.
    """

    action: str
    title: str
    job: str
    after_a_check: bool


@dataclass(frozen=True, slots=True)
class NextCheck:
    """A question or reading that would settle most for its effort."""

    check: str  # the question's id: a reading, a symptom or a look that answers several
    settles: tuple[str, ...]
    kind: str  # symptom | reading
    ask: Wording
    minutes: float
    risk: str
    needs: str
    who: str
    information: float  # expected bits about the causes
    per_minute: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The whole answer to one case. The same case with the same fingerprint gives the same diagnosis, byte for byte."""

    case: str
    title: str
    knowledge_version: str
    fingerprint: str
    matcher: str
    stops: tuple[StopNotice, ...]
    orders: tuple[OrderLine, ...]
    doubts: tuple[DoubtNote, ...]
    readings: tuple[ReadingLine, ...]
    answers: tuple[Answer, ...]
    borderline: tuple[BorderlineReading, ...]
    disagreements: tuple[str, ...]
    states: tuple[StateLine, ...]
    causes: tuple[RankedCause, ...]
    two_faults: TwoFaults | None
    conclusion: str  # cause | all-well | not-enough-known | contradictory
    undecided: bool
    none_known: float
    do_not_fit: bool
    actions: tuple[AdvisedAction, ...]
    withheld: tuple[WithheldAction, ...]
    afterwards: tuple[LaterAction, ...]
    next_checks: tuple[NextCheck, ...]
    safety: tuple[SafetyNote, ...]
    targets: str
    profile: str
    assumptions: tuple[str, ...] = ()
    posteriors: dict[str, float] = field(default_factory=dict)
    dose_course: tuple[CoursePoint, ...] = ()
    dose_targets: dict[str, TargetEnds] = field(default_factory=dict)
