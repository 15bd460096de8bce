"""What the HTML templates need beside the diagnosis itself: words, titles, pictures. Formats; decides nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from markupsafe import Markup

from saltriage.believe.tested_water import ARGUMENTS
from saltriage.conditions.nodes import Bound, Number
from saltriage.errors import SaltriageError
from saltriage.guard import danger_look
from saltriage.knowledge import ids
from saltriage.knowledge.model import Knowledge, Target
from saltriage.pool.units import System, show
from saltriage.pool.water import Water
from saltriage.report.diagnosis.change_words import change_words
from saltriage.report.diagnosis.choice import MOST_HOW, MOST_SIGNS, ReportChoice
from saltriage.report.diagnosis.page_words import (
    Distance,
    Tag,
    after_dose,
    distance,
    headline,
    log_columns,
    tag_of,
    under_headline,
)
from saltriage.report.diagnosis.why_words import conclusion_words, sign_titles
from saltriage.report.shared.dose_words import dose_amount, dose_best, dose_first, dose_headline, dose_then
from saltriage.report.shared.pictures import Strip, bullet_bar, pipe, saturation_curve, strip
from saltriage.report.shared.plan_picture import plan_picture
from saltriage.report.shared.reader_words import evidence_groups, first_find_out, odds
from saltriage.report.shared.reading_words import reading_span
from saltriage.report.shared.state_words import state_ends, state_method, state_text, state_value
from saltriage.report.shared.words import CALL, JOB, effort, first_sentence, percent, waiting
from saltriage.result import (
    AdvisedAction,
    Diagnosis,
    DoseAdvice,
    DoubtNote,
    EvidenceLine,
    RankedCause,
    ReadingLine,
    SafetyNote,
    StateLine,
)

__all__ = ["DiagnosisView", "WaterRow"]

_NEEDED = (ids.PH, ids.TOTAL_ALKALINITY, ids.CALCIUM_HARDNESS, ids.WATER_TEMPERATURE)
_VERDICTS = {
    "below": "below the range",
    "above": "above the range",
    "within": "in the range",
    "borderline": "at the edge of the range",
    "no range": "",
}


@dataclass(frozen=True, slots=True)
class WaterRow:
    """One line of the water panel."""

    reading: str
    title: str
    text: str
    target: str
    verdict: str
    picture: Markup


@dataclass(frozen=True)
class DiagnosisView:
    """One diagnosis for one reader in one system of units.

    Args: full: what is folded away otherwise stands open, and is printed.
    """

    diagnosis: Diagnosis
    knowledge: Knowledge
    reader: str
    units: System
    full: bool = False

    @property
    def for_support(self) -> bool:
        return self.reader == "support"

    @property
    def suspect(self) -> str:
        """The part of the plant in which the first cause sits; '' where none can be shown."""
        if not self.diagnosis.causes:
            return ""
        first = self.diagnosis.causes[0]
        rule = self.knowledge.causes.get(first.cause)
        return self.knowledge.pictures.part(rule.part if rule else "", first.area)

    @property
    def pipe(self) -> Markup:
        suspect = self.suspect
        return pipe(suspect, self.knowledge.pictures.parts.get(suspect, ""))

    @cached_property
    def choice(self) -> ReportChoice:
        """What the short part of the page holds."""
        return ReportChoice(self.diagnosis, self.reader)

    @property
    def facts(self) -> tuple[StateLine, ...]:
        return self.diagnosis.states if self.full else self.choice.facts

    def fact(self, state: StateLine) -> str:
        return state_text(state, self.reader, self.units)

    def fact_picture(self, state: StateLine) -> Markup:
        """The value against its range; empty where no reading shows the state or nobody says where it should be."""
        if state.value_low is None or state.value_high is None:
            return Markup()
        reading = Strip(state.value_low, state.value_high, state.target_low, state.target_high)
        if state.bound or reading.verdict == "no range":
            return Markup()
        after = after_dose(state, self.choice)
        return bullet_bar(reading, state_ends(state, self.units), after)

    def fact_value(self, state: StateLine) -> tuple[str, str]:
        """The number with its unit, and how it was found; empty where no reading shows the state."""
        value, _, method = state_value(state, self.units).partition(" (")
        return value.replace(" ", "\u00a0"), state_method(state) if method else ""

    def distance(self, state: StateLine) -> Distance:
        return distance(state, self.units)

    @property
    def marks_dose(self) -> bool:
        """Whether a bar marks where this dose leads."""
        return any(after_dose(state, self.choice) is not None for state in self.facts)

    @property
    def act_line(self) -> str:
        """The headline: what is off and what to do."""
        return headline(self.choice, self.units)

    @property
    def guess_line(self) -> str:
        return under_headline(self.choice).replace(" %", "\u00a0%")

    @property
    def log_columns(self) -> list[str]:
        return log_columns(self.choice, self.knowledge)

    def tag(self, dose: DoseAdvice) -> Tag | None:
        return tag_of(dose, self.units)

    def notes(self, action: AdvisedAction) -> list[SafetyNote]:
        """The cautions of an action, in its order."""
        by_id = {note.note: note for note in self.diagnosis.safety}
        return [by_id[each] for each in action.safety if each in by_id]

    @property
    def danger_titles(self) -> list[str]:
        """The lines of the look for dangers, in short."""
        return [self.knowledge.symptoms[each].title for each in danger_look(self.knowledge)]

    @property
    def conclusion(self) -> list[str]:
        return list(conclusion_words(self.choice))

    def in_short(self, cause: RankedCause) -> str:
        return cause.explain.support if self.for_support else first_sentence(cause.explain.owner)

    def signs(self, cause: RankedCause) -> str:
        """The strongest findings that are there and speak for the cause."""
        return "; ".join(sign_titles(cause.evidence_for)[:MOST_SIGNS])

    @property
    def changes(self) -> list[str]:
        return change_words(self.choice, self.units)

    def how(self) -> tuple[AdvisedAction, ...]:
        """What the orders ask for, with its steps, while a life is at risk."""
        return self.diagnosis.actions if self.full else self.diagnosis.actions[:MOST_HOW]

    def groups(self, cause: RankedCause, *, full: bool = True) -> list[tuple[str, list[EvidenceLine]]]:
        return evidence_groups((*cause.evidence_for, *cause.evidence_against), self.reader, full=full)

    @property
    def told(self) -> list[str]:
        """The readings told, each with what its method leaves open, for support staff."""
        lines = [line for line in self.diagnosis.readings if line.origin == "told"]
        return [f"{each.title} {self.span(each)}{' (not believed)' if each.withdrawn else ''}" for each in lines]

    def headline(self, dose: DoseAdvice) -> str:
        return dose_headline(dose, self.units)

    def effort(self, minutes: float) -> str:
        return effort(minutes)

    def find_out(self, wanted: Sequence[str]) -> str:
        return first_find_out(wanted, self.reader)

    def odds(self, one: EvidenceLine) -> str:
        """What one answer does to the odds, in words for the owner and as a factor for support."""
        if self.for_support:
            return odds(one)
        times = one.factor if one.factor >= 1 else 1 / one.factor
        strength = "strongly" if times >= 5 else "clearly" if times >= 2 else "a little"
        return f"speaks {strength} {'for' if one.factor >= 1 else 'against'} it"

    def needed(self, dose: DoseAdvice) -> str:
        return ", ".join(each.replace("-", " ") for each in dose.missing)

    def call(self, word: str) -> str:
        return CALL.get(word, "")

    def job(self, word: str) -> str:
        return JOB.get(word, word)

    def amount(self, dose: DoseAdvice) -> str:
        return dose_amount(dose, self.units)

    def first(self, dose: DoseAdvice) -> str:
        return dose_first(dose, self.units)

    def percent(self, probability: float) -> str:
        return percent(probability).replace(" %", "\u00a0%")

    def waiting(self, hours: float) -> str:
        return waiting(hours)

    def cause_title(self, cause: str) -> str:
        return self.knowledge.causes[cause].title if cause in self.knowledge.causes else cause

    def action_title(self, action: str) -> str:
        return self.knowledge.actions[action].title if action in self.knowledge.actions else action

    def note_title(self, note: str) -> str:
        return self.knowledge.safety[note].title if note in self.knowledge.safety else note

    def reading_title(self, reading: str) -> str:
        return self.knowledge.readings[reading].title if reading in self.knowledge.readings else reading

    def withdrawn(self, doubt: DoubtNote) -> str:
        """Titles of the readings that a doubt is about; those that were given where any were."""
        given = {line.reading for line in self.diagnosis.readings}
        named = [reading for reading in doubt.withdraws if reading in given] or list(doubt.withdraws)
        return ", ".join(self.reading_title(reading) for reading in named)

    def span(self, line: ReadingLine) -> str:
        if line.reading.endswith("-index"):  # an index is read to one decimal
            ends = [f"{round(value, 1) + 0.0:+.1f}" for value in (line.low, line.high)]
            return ends[0] if ends[0] == ends[1] else " to ".join(ends)
        return reading_span(line, self.units)

    @property
    def target_title(self) -> str:
        target = self.knowledge.targets.get(self.diagnosis.targets)
        return target.cited if target else self.diagnosis.targets

    @property
    def profile_title(self) -> str:
        profile = self.knowledge.equipment.get(self.diagnosis.profile)
        return profile.title if profile else self.diagnosis.profile

    @property
    def believed(self) -> dict[str, ReadingLine]:
        return {line.reading: line for line in self.diagnosis.readings if not line.withdrawn}

    def water_rows(self) -> list[WaterRow]:
        """The water panel: every tested reading of the water against its range."""
        lines, target = self.believed, self.knowledge.targets.get(self.diagnosis.targets)
        return [
            self._row(lines[reading], target, lines) for reading in self.knowledge.forms.water_panel if reading in lines
        ]

    def plan_picture(self) -> Markup:
        """The doses over time; empty where none is planned."""
        return plan_picture(self.diagnosis.dose_course, self.diagnosis.dose_targets)

    def then(self, dose: DoseAdvice) -> str:
        return dose_then(dose)

    def best(self, dose: DoseAdvice) -> str:
        return dose_best(dose, self.units)

    def _row(self, line: ReadingLine, target: Target | None, lines: Mapping[str, ReadingLine]) -> WaterRow:
        wanted = target.ranges.get(line.reading) if target else None
        low, high = (_end(wanted.low, lines), _end(wanted.high, lines)) if wanted else (None, None)
        held = Strip(line.low, line.high, low, high, line.bound)
        picture, verdict = strip_of(held), _VERDICTS[held.verdict]
        ends = [show(end, line.quantity, self.units, unit=line.unit) if end is not None else "" for end in (low, high)]
        text = f"{ends[0]} to {ends[1]}" if all(ends) else f"at least {ends[0]}" if ends[0] else f"at most {ends[1]}"
        return WaterRow(line.reading, line.title, self.span(line), text if any(ends) else "", verdict, picture)

    def saturation_picture(self) -> Markup:
        """The saturation index over pH; empty where a reading that it needs is missing or cannot be."""
        lines = self.believed
        if any(reading not in lines for reading in _NEEDED):
            return Markup()
        if any(lines[reading].bound for reading in ARGUMENTS if reading in lines):
            return Markup()
        given = {
            argument: (lines[reading].low + lines[reading].high) / 2
            for reading, argument in ARGUMENTS.items()
            if reading in lines
        }
        target = self.knowledge.targets.get(self.diagnosis.targets)
        wanted = target.ranges.get(ids.SATURATION_INDEX) if target else None
        low, high = (_end(wanted.low, lines), _end(wanted.high, lines)) if wanted else (None, None)
        if low is None or high is None:
            return Markup()
        try:
            return saturation_curve(Water(**given), low, high)
        except SaltriageError:
            return Markup()


def strip_of(reading: Strip) -> Markup:
    """The picture of a strip; nothing where there is no range to hold the reading against, or no number."""
    return Markup() if reading.bound or reading.verdict == "no range" else strip(reading)


def _end(bound: Bound | None, lines: Mapping[str, ReadingLine]) -> float | None:
    """A target's end as a number; open where it stands for a reading without a number."""
    if bound is None or isinstance(bound, Number):
        return None if bound is None else bound.value
    line = lines.get(bound.reading)
    return None if line is None or line.bound else (line.low + line.high) / 2 + bound.offset
