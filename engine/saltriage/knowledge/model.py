"""The knowledge base in memory: one frozen dataclass for each kind of rule, and all of them together.

Plain data without behaviour but a few look-ups. Words stay words (`usually`, `rare`); `Scales` holds their numbers.
Built from checked files by `saltriage.knowledge.build`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.conditions.nodes import Bound, Condition, Number
from saltriage.result import Wording

__all__ = [
    "Action", "Allowed", "Ask", "Cause", "Cure", "Doubt", "Equipment", "ExpectedChange", "HearingRule", "Knowledge",
    "LookAlike",
    "Method", "PlanRule", "PlanRuleStep", "Range", "ReadingRule", "Rule", "Safety", "Scales", "Settle", "Source",
    "Steps", "Symptom", "Target", "Wording",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What every rule has. `file`: its path below the folder of rules. `replaced_by`, `retired_because`: or empty."""

    id: str
    version: int
    changed: str
    status: str
    title: str
    cases: tuple[str, ...]
    sources: tuple[str, ...]
    replaced_by: str = ""
    retired_because: str = ""
    file: str = ""


@dataclass(frozen=True, slots=True)
class Ask:
    """How to find out. Questions with the same `together` are settled by one look; `together`, `needs` may be empty."""

    question: Wording
    minutes: float
    risk: str
    together: str = ""
    needs: str = ""
    who: str = "owner"


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom(Rule):
    """Something abnormal or telling. `derived` wins over an answer when it is known."""

    kind: str
    background: str
    silence_counts: bool = False
    ask: Ask | None = None
    derived: Condition | None = None
    phrases: tuple[str, ...] = ()
    means: Wording | None = None


@dataclass(frozen=True, slots=True)
class Method:
    """One way to measure a reading: plus or minus the larger of a share of the value and a number in its unit."""

    id: str
    title: str
    relative: float = 0.0
    absolute: float = 0.0

    def precision(self, value: float) -> float:
        """How far the true value may be off, in the unit of the reading."""
        return max(self.relative * abs(value), self.absolute)


@dataclass(frozen=True, slots=True)
class Allowed:
    """What is believed of a reading, in its unit, and why nothing outside can be right."""

    low: float
    high: float
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRule(Rule):
    """A number with a unit. `computed` names its calculator or is empty."""

    quantity: str
    unit: str
    allowed: Allowed
    role: str
    methods: Mapping[str, Method]
    ask: Ask | None = None
    computed: str = ""
    phrases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A cause that is mistaken for this one, and the symptom or reading that tells them apart."""

    cause: str
    split_by: str
    how: str


@dataclass(frozen=True, slots=True)
class Settle:
    """The cheapest decisive test: ids of symptoms or readings, and how."""

    by: tuple[str, ...]
    how: Wording


@dataclass(frozen=True, slots=True)
class Cure:
    """An action for a cause, and how often it cures (frequency word)."""

    action: str
    cures: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause(Rule):
    """A fault or wrong condition. `shows`: symptom -> frequency word. `covered_by`: a stop rule or empty."""

    area: str
    explain: Wording
    common: str
    shows: Mapping[str, str]
    look_alikes: tuple[LookAlike, ...]
    settle: Settle
    actions: tuple[Cure, ...]
    who: str
    hazard: str
    applies: Condition | None = None
    covered_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt(Rule):
    """Readings not to be believed while `when` holds; `instead` names the action to take. Strength: withdraw, warn."""

    when: Condition
    withdraws: tuple[str, ...]
    because: Wording
    instead: str
    strength: str


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps in order, in two wordings that need not have the same number."""

    owner: tuple[str, ...]
    support: tuple[str, ...]

    def for_reader(self, reader: str) -> tuple[str, ...]:
        """The steps for `owner` or `support`."""
        return self.support if reader == "support" else self.owner


@dataclass(frozen=True, slots=True)
class ExpectedChange:
    """What should be seen, and by when (min, h, days or years); `reading`, `moves`, `symptom` may be empty."""

    see: Wording
    by: Number
    reading: str = ""
    moves: str = ""
    symptom: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Action(Rule):
    """What to do. `adds`: a chemical or `none`. `finds`: what a check makes known. `calculator`: of its dose."""

    job: str
    kind: str
    adds: str
    opens_equipment: bool
    minutes: float
    cost: str
    risk: str
    why: Wording
    steps: Steps
    expect: ExpectedChange
    if_not: Wording
    when: Condition | None = None
    requires: Condition | None = None
    finds: tuple[str, ...] = ()
    calculator: str = ""
    safety: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety(Rule):
    """A caution. A stop rule has `when` and `until`, whom to call, and the only actions it allows."""

    kind: str
    hazard: str
    say: Wording
    when: Condition | None = None
    until: Wording | None = None
    call: str = "none"
    allows: tuple[str, ...] = ()

    @property
    def is_stop(self) -> bool:
        """True for stop rules."""
        return self.kind == "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment(Rule):
    """Typical numbers of a kind of equipment, by reading id."""

    settings: Mapping[str, Number]
    describe: Wording


@dataclass(frozen=True, slots=True)
class Range:
    """Where a reading should be; each end a number, another reading, or open (None)."""

    low: Bound | None = None
    high: Bound | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Target(Rule):
    """The ranges of one kind of pool, by reading id. `applies`: where it is the default."""

    use: str
    ranges: Mapping[str, Range]
    guidance: str
    applies: Condition | None = None


@dataclass(frozen=True, slots=True)
class PlanRuleStep:
    """One step of a plan; `do` names an action, `work_out` a sum, `check` a reading or symptom; each may be empty."""

    step: str
    say: Wording
    when: Condition | None = None
    do: str = ""
    work_out: str = ""
    start: Number | None = None
    every: Number | None = None
    wait: Number | None = None
    check: str = ""
    who: str = "owner"
    safety: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRule(Rule):
    """A sequence of actions over time."""

    occasion: str
    why: Wording
    steps: tuple[PlanRuleStep, ...]
    safety: tuple[str, ...]
    applies: Condition | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HearingRule(Rule):
    """How callers say things. Rules apply in the order of `order`, their entries as they stand.

    Args:
        says: kind of entry (`synonyms`, `denials`, `comparisons`, ...; see its schema) -> entries as written. They
            stay as the file has them, since only who listens needs them: `saltriage.words` reads them when first asked.
        examples: sentences and what must be heard in each, as written.
    """

    order: int
    says: Mapping[str, Any]
    examples: Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Source:
    """Where facts come from. Kind: published, library, common-practice, memory, invented."""

    id: str
    kind: str
    cite: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Scales:
    """Numbers behind the words: probabilities (0..1), minutes by cost word, error (0..0.5) by kind of symptom."""

    frequency: Mapping[str, float]
    background: Mapping[str, float]
    common: Mapping[str, float]
    cures: Mapping[str, float]
    cost_minutes: Mapping[str, float]
    answer_error: Mapping[str, float]
    other_cause_prior: float
    other_cause_strength: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """A whole rule set; every mapping is by id, in the order of ids, without retired rules.

    Args:
        version, changed, title: of the rule set, from knowledge.yaml.
        fingerprint: sha256 (hexadecimal) of what all files say; comments and layout do not count.
        retired: retired rules by ``kind/id``.
    """

    version: str
    changed: str
    title: str
    fingerprint: str
    scales: Scales
    sources: Mapping[str, Source]
    symptoms: Mapping[str, Symptom]
    readings: Mapping[str, ReadingRule]
    causes: Mapping[str, Cause]
    doubts: Mapping[str, Doubt]
    actions: Mapping[str, Action]
    safety: Mapping[str, Safety]
    equipment: Mapping[str, Equipment]
    targets: Mapping[str, Target]
    plans: Mapping[str, PlanRule]
    hearing: Mapping[str, HearingRule]
    retired: Mapping[str, Rule]

    @property
    def stops(self) -> tuple[Safety, ...]:
        """The stop rules, in the order of ids."""
        return tuple(rule for rule in self.safety.values() if rule.is_stop)

    @property
    def computed(self) -> Mapping[str, str]:
        """Id of each computed reading -> name of its calculator."""
        return {id: rule.computed for id, rule in self.readings.items() if rule.computed}
