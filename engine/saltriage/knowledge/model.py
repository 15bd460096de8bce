"""The knowledge base in memory: one frozen dataclass for each kind of rule, and all of them together.

Plain data without behaviour but a few look-ups. Words stay words (`usually`, `rare`); `Scales` holds their numbers.
Built from checked files by `saltriage.knowledge.build`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.conditions.nodes import Bound, Condition, Number
from saltriage.knowledge import settings
from saltriage.knowledge.settings import Scales, Source
from saltriage.pool.forecast.factors import ForecastFactors
from saltriage.result import Wording

__all__ = [
    "Action", "Allowed", "Ask", "Cause", "Cure", "Doubt", "Equipment", "ExpectedChange", "HearingRule", "Knowledge",
    "LookAlike", "Method", "Order", "PlanRule", "PlanRuleStep", "Range", "ReadingRule", "Rule", "Safety", "Scales",
    "Settle", "Source", "Steps", "Symptom", "Target", "Wording",
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
    picture: settings.Picture = settings.NO_PICTURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom(Rule):
    """Something abnormal or telling. `derived` wins over an answer when it is known."""

    kind: str
    background: str
    silence_counts: bool = False
    ask: Ask | None = None
    derived: Condition | None = None
    follow_up: settings.AnswerAfterDose = settings.NO_ANSWER
    phrases: tuple[str, ...] = ()


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
    """A number with a unit. `computed`: its calculator. `target_of`: whose limit it is. `taken_as`: if not tested."""

    quantity: str
    unit: str
    allowed: Allowed
    role: str
    methods: Mapping[str, Method]
    ask: Ask | None = None
    computed: str = ""
    asked_in: str = ""
    target_of: str = ""
    taken_as: float | None = None
    follow_up: settings.ReadingAfterDose = settings.NO_READING
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
    """A fault or wrong condition. `shows`: symptom -> frequency word. `covered_by` (a stop rule), `part`: or empty."""

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
    part: str = ""


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
    touches: frozenset[str] = frozenset()
    moves: frozenset[str] = frozenset()
    under: str = "unfit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Order(Rule):
    """One thing to do or not to do under danger.

    Args:
        rank: place among the orders of several dangers, 1 first.    rescue: it saves somebody.
        place: leaving, here or away.    touches: what following it touches.    beats: orders not given beside it.
        instead: given where a danger forbids what this one touches.    action: whose steps say how. Both may be empty.
    """

    rank: int
    rescue: bool
    place: str
    touches: frozenset[str]
    beats: frozenset[str]
    say: Wording
    instead: str = ""
    action: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety(Rule):
    """A caution. A stop rule says when a danger stands, how grave it is, what it forbids and what it demands.

    Args:
        level: life, harm or unfit.    within: at-once, minutes, hours or days.
        heard: kinds of danger in callers' words that it answers for.
        forbids, forbids_moves: what nobody may touch, and which way nothing may be moved, while it stands.
        demands: ids of orders.    until: what lifts it.    call: whom.
    """

    kind: str
    hazard: str
    say: Wording
    when: Condition | None = None
    until: Wording | None = None
    call: str = "none"
    level: str = ""
    within: str = ""
    heard: frozenset[str] = frozenset()
    forbids: frozenset[str] = frozenset()
    forbids_moves: frozenset[str] = frozenset()
    demands: tuple[str, ...] = ()

    @property
    def is_stop(self) -> bool:
        """True for stop rules."""
        return self.kind == "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment(Rule):
    """Typical numbers of a kind of equipment, by reading id. `stands_in`: taken where nobody named the unit."""

    settings: Mapping[str, Number]
    describe: Wording
    stands_in: bool = False


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
    """One step; `do` an action, `work_out` a sum, `check` a reading or symptom, or empty. `leaves`: readings kept."""

    step: str
    say: Wording
    when: Condition | None = None
    do: str = ""
    work_out: str = ""
    leaves: frozenset[str] = frozenset()
    start: Number | None = None
    every: Number | None = None
    wait: Number | None = None
    check: str = ""
    who: str = "owner"
    safety: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRule(Rule):
    """A sequence of actions over time. `balanced_first`: the water is put right before the unit runs."""

    occasion: str
    why: Wording
    steps: tuple[PlanRuleStep, ...]
    safety: tuple[str, ...]
    applies: Condition | None = None
    balanced_first: bool = False


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
    kinds: settings.SymptomKinds
    asking: settings.AskingCosts
    advising: settings.AdvisingCosts
    pictures: settings.Pictures
    forms: settings.FormLists
    forecast: ForecastFactors
    sources: Mapping[str, Source]
    symptoms: Mapping[str, Symptom]
    readings: Mapping[str, ReadingRule]
    causes: Mapping[str, Cause]
    doubts: Mapping[str, Doubt]
    actions: Mapping[str, Action]
    safety: Mapping[str, Safety]
    orders: Mapping[str, Order]
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
