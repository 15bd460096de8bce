"""The knowledge base in memory: one frozen dataclass for each kind of rule, and all of them together.

Plain data without behaviour but a few look-ups. Words stay words (`usually`, `rare`); `Scales` holds their numbers.
Built from checked files by `saltriage.knowledge.build`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from saltriage.conditions.nodes import Bound, Condition, Number
from saltriage.knowledge import settings
from saltriage.knowledge.doing import Action, ExpectedChange, Order, PlanRule, PlanRuleStep, Safety, Steps
from saltriage.knowledge.limit_rule import DoseLimit
from saltriage.knowledge.rule import Rule
from saltriage.knowledge.settings import Scales, Source
from saltriage.pool.forecast.factors import ForecastFactors
from saltriage.result import Wording

__all__ = [
    "Action", "Allowed", "Ask", "Cause", "Cure", "DoseLimit", "Doubt", "Edition", "Equipment", "ExpectedChange",
    "HearingRule", "Knowledge", "LookAlike", "Method", "Order", "PlanRule", "PlanRuleStep", "Range", "ReadingRule",
    "Rule", "Safety", "Scales", "Settle", "Source", "State", "Steps", "Symptom", "Target", "Wording",
]  # fmt: skip


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
    """Something abnormal or telling. `derived` wins over an answer when it is known.

    `circumstance`: explains, and needs no explaining (weather, season, care).
    """

    kind: str
    background: str
    circumstance: bool = False
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
    """A number with a unit. `computed`: its calculator; `also_told`: some tell it as it is. `target_of`: whose limit it
    is. `taken_as`: if not tested.

    `without_method`: its error where nobody told how it was tested.
    """

    quantity: str
    unit: str
    allowed: Allowed
    role: str
    methods: Mapping[str, Method]
    ask: Ask | None = None
    computed: str = ""
    also_told: bool = False
    asked_in: str = ""
    target_of: str = ""
    taken_as: float | None = None
    follow_up: settings.ReadingAfterDose = settings.NO_READING
    phrases: tuple[str, ...] = ()
    without_method: Method | None = None

    @property
    def is_tellable(self) -> bool:
        """Whether somebody can tell it; all others are only worked out."""
        return self.role != "computed" or self.also_told

    def widest_error(self, value: float) -> float:
        """How far off it may be where nobody told the method: what the rule says, else its coarsest method."""
        if self.without_method is not None:
            return self.without_method.precision(value)
        return max((method.precision(value) for method in self.methods.values()), default=0.0)


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
    """An action for a cause or state, how often it cures (frequency word), and why, where its own reason is not it."""

    action: str
    cures: str
    why: Wording | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class State(Rule):
    """What is wrong with water or plant, as far as readings or eyes can prove it; why, causes tell.

    Args: proof: while it is true the state is a fact. background: how often it is so without a known cause.
    shows: its own consequences, symptom -> frequency word; a state without any is no more than its proof.
    measure: the reading that is shown with its target, or empty. if_left: what it leads to. actions: what puts it
    right while it is proven, whatever the cause.
    """

    area: str
    proof: Condition
    explain: Wording
    background: str
    shows: Mapping[str, str]
    settle: Settle
    if_left: Wording
    measure: str = ""
    actions: tuple[Cure, ...] = ()

    @property
    def signs(self) -> Mapping[str, str]:
        """All that it shows: the symptoms that prove it, nearly always, and its consequences."""
        return {**dict.fromkeys(sorted(self.proof.references().symptoms), "always"), **self.shows}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause(Rule):
    """Why something is so. `brings`: state -> frequency word; `shows`: the same of symptoms it shows by itself.

    `harmless`: it is as it should be. `covered_by` (a stop rule), `part`: or empty.
    """

    area: str
    explain: Wording
    common: str
    brings: Mapping[str, str]
    shows: Mapping[str, str]
    look_alikes: tuple[LookAlike, ...]
    settle: Settle
    actions: tuple[Cure, ...]
    who: str
    hazard: str
    applies: Condition | None = None
    harmless: bool = False
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


@dataclass(frozen=True, slots=True)
class Edition:
    """The text that a profile is from, its date, and how it was seen: text, quoted, memory, practice."""

    name: str
    date: str
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Target(Rule):
    """The ranges of one kind of pool, by reading id.

    `applies`: where it is the default. `closes`: ranges outside which its text closes a pool.
    """

    use: str
    edition: Edition
    ranges: Mapping[str, Range]
    closes: Mapping[str, Range]
    guidance: str
    applies: Condition | None = None

    @property
    def cited(self) -> str:
        """Title with edition and date; that it is from memory where it is."""
        edition = self.edition
        if edition.seen == "practice":
            return self.title
        date = (
            ""
            if edition.date == "not known" or edition.date in f"{edition.name} {self.title}"
            else f" ({edition.date})"
        )
        return f"{self.title}, {edition.name}{date}{', from memory' if edition.seen == 'memory' else ''}"


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
        accounts: reads a caller's words as a whole: cause -> times likelier; None: as the project's corpus taught.
    """

    version: str
    changed: str
    title: str
    fingerprint: str
    scales: Scales
    kinds: settings.SymptomKinds
    asking: settings.AskingCosts
    advising: settings.AdvisingCosts
    learning: settings.Learning
    pictures: settings.Pictures
    dosing: settings.DosingHabits
    emergency: settings.EmergencyNumbers
    forms: settings.FormLists
    forecast: ForecastFactors
    sources: Mapping[str, Source]
    symptoms: Mapping[str, Symptom]
    readings: Mapping[str, ReadingRule]
    states: Mapping[str, State]
    causes: Mapping[str, Cause]
    doubts: Mapping[str, Doubt]
    actions: Mapping[str, Action]
    safety: Mapping[str, Safety]
    orders: Mapping[str, Order]
    equipment: Mapping[str, Equipment]
    targets: Mapping[str, Target]
    limits: Mapping[str, DoseLimit]
    plans: Mapping[str, PlanRule]
    hearing: Mapping[str, HearingRule]
    retired: Mapping[str, Rule]
    accounts: Callable[[str], Mapping[str, float]] | None = None

    @property
    def stops(self) -> tuple[Safety, ...]:
        """The stop rules, in the order of ids."""
        return tuple(rule for rule in self.safety.values() if rule.is_stop)

    @property
    def computed(self) -> Mapping[str, str]:
        """Id of each computed reading -> name of its calculator."""
        return {id: rule.computed for id, rule in self.readings.items() if rule.computed}
