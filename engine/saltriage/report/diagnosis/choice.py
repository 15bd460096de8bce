"""What of a diagnosis a short report shows, and in which of its places; text and page go by the same choice.

A worried owner acts on the report within a minute, so what is left out here stands in the full report.
"""

from dataclasses import dataclass
from functools import cached_property

from saltriage.explain.conclusion import CAUSE, NOTHING_WRONG
from saltriage.report.shared.danger_lines import danger_lines
from saltriage.result import AdvisedAction, Diagnosis, RankedCause, SafetyNote, StateLine, TurningPoint, WithheldAction

__all__ = ["MOST_HOW", "ReportChoice"]

MOST_FACTS = 4
MOST_UNSURE = 1  # of those that a test cannot tell, and of those that are only likely (own judgement)
MOST_OTHERS = 2
MOST_NOW = 3
MOST_HOW = 2  # beside the orders of a danger to life, which are read first (own judgement)
MOST_THEN = 3
MOST_HELD = 3
MOST_SIGNS = 2  # findings named beside the first cause

# Silent reading of English goes at 238 words a minute (Brysbaert 2019, Journal of Memory and Language 109): with half
# a minute spent on what is wrong and why, about so many words of steps are read in the other half (own judgement).
WORDS_NOW = 110
WORDS_NOW_SUPPORT = 200  # what fits on two printed pages beside the reasons (measured)
MOST_GROUNDED = 3  # causes with their evidence on support staff's two pages (own judgement)
LEAST_POSSIBLE = 0.5  # an owner is told what is more likely than not (own judgement)
LEAST_OTHER = 0.1  # and of no cause that is 'very unlikely'


@dataclass(frozen=True)
class ReportChoice:
    """The parts of one short report.

    Args: reader: owner or support; support staff are spared less.
    """

    diagnosis: Diagnosis
    reader: str

    @property
    def for_support(self) -> bool:
        return self.reader == "support"

    @property
    def grave(self) -> bool:
        """Whether somebody can be hurt: then nobody goes looking for a cause first."""
        return any(stop.level != "unfit" for stop in self.diagnosis.stops)

    @cached_property
    def facts(self) -> tuple[StateLine, ...]:
        """What is off: proven first, then borderline, then possible."""
        states = self.diagnosis.states
        if self.for_support:
            return states
        proven = [state for state in states if state.standing == "proven"]
        # A test at its limit says more than a number worked out from several of them.
        unsure = sorted((each for each in states if each.standing == "borderline"), key=lambda one: one.value is None)
        likely = [each for each in states if each.standing == "possible" and each.probability >= LEAST_POSSIBLE]
        return tuple([*proven, *unsure[:MOST_UNSURE], *likely[:MOST_UNSURE]][:MOST_FACTS])

    @property
    def facts_left(self) -> tuple[StateLine, ...]:
        """Proven ones that are named by their titles only."""
        return tuple(each for each in self.diagnosis.states if each.standing == "proven" and each not in self.facts)

    @property
    def settled(self) -> bool:
        """Whether a cause is named."""
        return self.diagnosis.conclusion == CAUSE and bool(self.diagnosis.causes)

    @property
    def first(self) -> RankedCause | None:
        """The cause that is named: the likeliest, or where nothing is wrong what it is instead."""
        causes, kind = self.diagnosis.causes, self.diagnosis.conclusion
        fits = kind == CAUSE or (kind == NOTHING_WRONG and bool(causes) and causes[0].probability >= LEAST_POSSIBLE)
        return causes[0] if causes and fits else None

    @property
    def others(self) -> tuple[RankedCause, ...]:
        """What else is possible; where no cause is named, the candidates."""
        rest = self.diagnosis.causes[1:] if self.first else self.diagnosis.causes
        if self.for_support:
            return rest
        if self.diagnosis.conclusion == NOTHING_WRONG or (self.grave and self.first is None):
            return ()
        return tuple(cause for cause in rest if cause.probability >= LEAST_OTHER)[:MOST_OTHERS]

    @property
    def grounded(self) -> tuple[RankedCause, ...]:
        """Causes that support staff are given the evidence for and against."""
        return self.diagnosis.causes[:MOST_GROUNDED] if self.for_support else ()

    @cached_property
    def now(self) -> tuple[AdvisedAction, ...]:
        """What to do now, in order: never two chemicals at once, and no more than is read in time."""
        taken: list[AdvisedAction] = []
        left = (WORDS_NOW_SUPPORT if self.for_support else WORDS_NOW) - self._words_of_dangers
        for action in self.diagnosis.actions:
            if action not in self.in_brief:
                left -= sum(len(step.split()) for step in action.steps_for(self.reader))
            second = action.adds != "none" and any(each.adds != "none" for each in taken)
            told_how = any(each not in self.in_brief for each in taken)
            if len(taken) == MOST_NOW or second or (told_how and left < 0):
                break
            taken.append(action)
        return tuple(taken)

    @cached_property
    def in_brief(self) -> tuple[AdvisedAction, ...]:
        """Tests and looks that come before the first work: their titles say what to do, and the work with its dose must
        not vanish behind their steps. Empty where no work comes, or where a danger stands."""
        before: list[AdvisedAction] = []
        if self.grave or self.for_support:
            return ()
        for action in self.diagnosis.actions[:MOST_NOW]:
            if action.kind != "check":
                return tuple(before)
            before.append(action)
        return ()

    @property
    def _words_of_dangers(self) -> int:
        return sum(len(line.split()) for line in danger_lines(self.diagnosis.stops, self.diagnosis.orders, self.reader))

    @property
    def then(self) -> tuple[AdvisedAction, ...]:
        """What comes after it, in order."""
        return self.diagnosis.actions[len(self.now) :][:MOST_THEN]

    @property
    def later(self) -> tuple[AdvisedAction, ...]:
        """All that comes after what is to be done now."""
        return self.diagnosis.actions[len(self.now) :]

    @property
    def later_notes(self) -> tuple[SafetyNote, ...]:
        """Cautions that no action of now has: of what is named as coming then, and of several chemicals together."""
        said = {note for action in self.now for note in action.safety}
        own = {note for action in self.diagnosis.actions for note in action.safety}
        after = {note for action in self.then for note in action.safety}
        several = {note.note for note in self.diagnosis.safety} - own
        wanted = (after | several) - said - {note.note for note in self.by_itself}
        return tuple(note for note in self.diagnosis.safety if note.note in wanted)

    @property
    def by_itself(self) -> tuple[SafetyNote, ...]:
        """Cautions that what was told calls for, whatever is advised."""
        return tuple(note for note in self.diagnosis.safety if note.by_itself)

    @property
    def waiting(self) -> tuple[WithheldAction, ...]:
        """What is to be done once something is found out."""
        return tuple(each for each in self._held if each.first_find_out)

    @property
    def held(self) -> tuple[WithheldAction, ...]:
        """What is not to be done now, whatever is found out."""
        return tuple(each for each in self._held if not each.first_find_out and not each.later)

    @property
    def after_doses(self) -> tuple[WithheldAction, ...]:
        """Doses that are needed and come after another one."""
        return tuple(each for each in self._held if each.later)

    @property
    def _held(self) -> tuple[WithheldAction, ...]:
        return tuple(each for each in self.diagnosis.withheld if not each.opposite_of)[:MOST_HELD]

    @property
    def dropped(self) -> tuple[WithheldAction, ...]:
        """What was left out as the opposite of what is shown."""
        return tuple(each for each in self.diagnosis.withheld if each.opposite_of)

    @property
    def turning(self) -> TurningPoint | None:
        """The reading, else the answer, that would take the first action back."""
        return next((point for action in self.now[:1] for point in action.unless), None)
