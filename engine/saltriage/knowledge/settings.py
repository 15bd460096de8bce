"""What rules say beside single faults: numbers behind words, costs of asking and doing, pictures, forms, follow-ups.

Plain data like `saltriage.knowledge.model`, which holds the rules themselves.
"""

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = [
    "NO_ANSWER", "NO_PICTURE", "NO_READING", "AdvisingCosts", "AnswerAfterDose", "Answered", "AskingCosts",
    "DosingHabits", "EmergencyNumbers", "FormLists", "Learning", "Picture", "Pictures", "ReadingAfterDose", "Scales",
    "Source", "SymptomKinds",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Source:
    """Where facts come from. Kind: published, library, common-practice, memory, outcomes, invented."""

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
    other_cause_times_background: float
    misjudged: float


@dataclass(frozen=True, slots=True)
class Answered:
    """How often a caller has the answer to a question that has a part in his call, and what follows from that.

    Args:
        kinds, reading, by_id: the chance, 0..1, by kind of symptom, of a reading, and by id where that is another.
        otherwise_symptom, otherwise_reading: share of it where the question has no part in the call.
        look_alikes: causes that a call may be about, its own among them.
        goes_to_look: share of those without an answer who go and look.
        at_hand: a reading known so often may stand in one list with others.
        questions_due, least_bits: after so many questions asking ends where none is expected to tell more.
        questions_after_words: before so many it does not end because words as a whole make one cause sure.
        minutes_to_tell, minutes_of_not_knowing: what an answer takes, and what a line costs that has none.
    """

    kinds: Mapping[str, float]
    reading: float
    by_id: Mapping[str, float]
    otherwise_symptom: float
    otherwise_reading: float
    look_alikes: float
    goes_to_look: float
    minutes_to_tell: float
    minutes_of_not_knowing: float
    at_hand: float
    questions_due: int
    questions_after_words: int
    least_bits: float

    def chance(self, id: str, kind: str) -> float:
        """Args: kind: of the symptom, '' for a reading."""
        return self.by_id.get(id, self.kinds[kind] if kind else self.reading)


@dataclass(frozen=True, slots=True)
class AskingCosts:
    """What a question costs in minutes, and from which chances on asking more is not worth it."""

    answered: Answered

    risk_minutes: Mapping[str, float]
    minutes_of_asking: float
    minutes_a_question_before: float
    minutes_an_item: float
    most_items: int
    least_bits: float
    cheap_minutes: float
    longest_minutes: float
    least_chance: float
    sure: float
    settled: float
    unsure: float


@dataclass(frozen=True, slots=True)
class AdvisingCosts:
    """What an action costs beside its own minutes.

    Args: several_chemicals: note shown where two actions add something.
        all_well: cause whose actions are shown where nothing is wrong and no harmless cause explains what was seen.
        first_test: action that is shown where no cause can be named.
    """

    risk_minutes: Mapping[str, float]
    visit_minutes: float
    several_chemicals: str
    all_well: str
    first_test: str


@dataclass(frozen=True, slots=True)
class DosingHabits:
    """What limits of doses leave open.

    Args:
        usual_demand: chlorine used in a day where nobody measured it, mg/L, least and most.
        least_part: of a whole, what goes in at once where the readings make less sure, 0..1.
        chlorine_step: one step by hand, mg/L.    sour_below_ph: air alone is too slow there.
        air_hours: least time to the test after air.    much_new_water: share after which earlier doses are gone, 0..1.
        soak_parts_of_water: to one part of hydrochloric acid of `soak_acid_percent` by mass.
        products: chemical -> product taken where the case names none.
    """

    usual_demand: tuple[float, float]
    least_part: float
    chlorine_step: float
    sour_below_ph: float
    air_hours: float
    much_new_water: float
    soak_parts_of_water: float
    soak_acid_percent: float
    products: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Learning:
    """When closed calls may change a word.

    Args:
        pseudo_counts: kind of word (frequency, background, common) -> what the word as it stands weighs, in calls.
        wrong_confirmation: chance that a confirmation is wrong.    most_wrong_answers: share of answers, at most.
        interval: chance that an interval holds the number.    least_calls: closed calls for any proposal.
        least_informative: calls that must speak for a word, of which the share `least_asked` was asked or measured.
    """

    pseudo_counts: Mapping[str, float]
    wrong_confirmation: float
    most_wrong_answers: float
    interval: float
    least_calls: int
    least_informative: int
    least_asked: float


@dataclass(frozen=True, slots=True)
class SymptomKinds:
    """Kinds of symptoms that are complained of, told without going near, asked as a list."""

    complaints: frozenset[str]
    from_afar: frozenset[str]
    listed: frozenset[str]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing, and the part ringed in it; both may be empty."""

    drawing: str = ""
    part: str = ""


NO_PICTURE = Picture()


@dataclass(frozen=True, slots=True)
class Pictures:
    """Part -> name, area -> part or 'none', word of `together` -> heading, picture, why an owner is asked."""

    parts: Mapping[str, str]
    areas: Mapping[str, str]
    headings: Mapping[str, str]
    looks: Mapping[str, Picture]
    reasons: Mapping[str, str]

    def part(self, own: str, area: str) -> str:
        """The part of a cause, '' where no single one can be shown. Args: own: as its rule says, or ''."""
        word = own or self.areas[area]
        return "" if word == "none" else word

    def look(self, own: Picture, together: str) -> Picture:
        """What shows where to look: the question's own picture, else that of its place."""
        return own if own.drawing else self.looks.get(together, NO_PICTURE)

    def heading(self, together: str) -> str:
        """Heading over the questions of one place."""
        return self.headings.get(together, together.replace("-", " ").capitalize())


@dataclass(frozen=True, slots=True)
class EmergencyNumbers:
    """What to dial, by the region that a case names. Args: by_region: word -> number, in the order to be said."""

    by_region: Mapping[str, str]

    def numbers(self, region: str) -> tuple[str, ...]:
        """The number of the region; every one there is where it is not known."""
        known = self.by_region.get(region)
        return (known,) if known else tuple(dict.fromkeys(self.by_region.values()))

    def said(self, region: str) -> str:
        """As it stands after 'Call'."""
        *others, last = self.numbers(region)
        return f"your emergency number ({', '.join(others)} or {last})" if others else last


@dataclass(frozen=True, slots=True)
class FormLists:
    """Ids of readings in the order in which forms, plans and reports show them."""

    owner_first: tuple[str, ...]
    settings: tuple[str, ...]
    first_tests: tuple[str, ...]
    water_panel: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AnswerAfterDose:
    """What a follow-up makes of a symptom.

    Args:
        new_water: water came or went where it is present.    dose_of: reading raised by the dose that sets it, or ''.
        after: verdicts after which its condition answers it.    otherwise: the answer where that is false.
        share_left: present below this share (0..1) of the rise.    within_h: present up to so long after the dose.
    """

    new_water: bool = False
    dose_of: str = ""
    after: tuple[str, ...] = ()
    otherwise: str = ""
    share_left: float | None = None
    within_h: float | None = None

    @property
    def is_judged(self) -> bool:
        """Told by what a dose brought, so that it belongs to one follow-up and is gone at the next."""
        return bool(self.after) or self.share_left is not None


NO_ANSWER = AnswerAfterDose()


@dataclass(frozen=True, slots=True)
class ReadingAfterDose:
    """What a follow-up makes of a reading.

    Args:
        tells_volume: nothing but doses and water moves it.    dose_of: reading raised by the dose that sets it, or ''.
        earlier: it is the test of this reading before the dose.    expected_rise: it is what the dose should give.
    """

    tells_volume: bool = False
    dose_of: str = ""
    earlier: str = ""
    expected_rise: bool = False


NO_READING = ReadingAfterDose()
