"""What the desk page shows of one state of a call: danger line, question card, why, what to do, readings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from saltriage.guard import danger_look
from saltriage.interview import Ending, Question, Standing
from saltriage.interview.standing import MOST_QUESTIONS
from saltriage.knowledge import ids
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System, show
from saltriage.report.diagnosis.html_view import DiagnosisView
from saltriage.report.shared.state_words import state_target, state_value
from saltriage.report.shared.words import CALL, JOB, LEVEL, first_sentence, waiting
from saltriage.result import AdvisedAction, Diagnosis, DoseAdvice, RankedCause, StateLine, StopNotice
from saltriage.web.desk_readings import DeskReading, desk_readings

__all__ = ["DeskView", "short_words"]

MOST_CAUSES = 5  # that fit above the readings on a screen of 768 lines (measured)
MOST_STEPS = 4  # read aloud in one go (own judgement)
MOST_OFF = 4  # lines between causes and readings on a screen of 768 lines (measured)
_OUTCOME_SIGNS = 20  # of a cause's title in the list of calls: what its column holds
_SMALL_WORDS = frozenset(
    ("a", "an", "and", "are", "at", "be", "been", "by", "for", "from", "has", "have", "in", "into", "is", "it", "its",
     "of", "on", "or", "so", "that", "the", "to", "too", "was", "were", "with")
)  # fmt: skip
_ENDINGS = {
    Ending.sure: "Enough is known. More questions would change little.",
    Ending.settled: "Enough is known: no quick question is likely to change the advice.",
    Ending.technician: "What is left to find out needs a technician or a long test.",
    Ending.nothing_left: "There is nothing left to ask.",
    Ending.long: "That was enough asking for one call, unless the caller has time.",
}


def short_words(title: str) -> str:
    """The title of a cause in about three words, as the list of calls has room for."""
    words = [word for word in title.partition(",")[0].partition(" (")[0].lower().split() if word not in _SMALL_WORDS]
    while len(words) > 2 and len(" ".join(words)) > _OUTCOME_SIGNS:
        words.pop()
    return " ".join(words)


@dataclass(frozen=True)
class DeskView:
    """One state of a call.

    Args: asked: questions that were asked, newest last. told: the case as it was sent. insists: asks on all the same.
    safe: stop rules whose orders are carried out, with everybody out and well.
    """

    diagnosis: Diagnosis
    standing: Standing
    knowledge: Knowledge
    told: Mapping[str, Any]
    asked: Sequence[str]
    units: System
    insists: bool = False
    safe: Sequence[str] = ()

    @cached_property
    def report(self) -> DiagnosisView:
        return DiagnosisView(self.diagnosis, self.knowledge, "support", self.units)

    # --- dangers

    @property
    def grave(self) -> list[StopNotice]:
        """Dangers under which causes and doses are held back."""
        return [stop for stop in self.diagnosis.stops if stop.level != "unfit"]

    @property
    def stopped(self) -> bool:
        """Whether nothing is asked and no cause shown before everybody is out and well."""
        return self.standing.ending is Ending.stop

    @property
    def keep_out(self) -> list[StopNotice]:
        return [stop for stop in self.diagnosis.stops if stop.level == "unfit"]

    @property
    def look(self) -> tuple[str, ...]:
        return danger_look(self.knowledge)

    @property
    def look_open(self) -> bool:
        """Whether a line of the look for dangers was neither answered nor passed over."""
        told = self.told.get("symptoms", {})
        passed = {row for asked in self.asked for row in asked.split("+")}
        return any(row not in told and row not in passed for row in self.look)

    @property
    def look_unsure(self) -> bool:
        told = self.told.get("symptoms", {})
        return any(told.get(row) != "no" for row in self.look)

    @property
    def danger(self) -> str:
        """The danger line: life, harm, unfit, open, unsure or none."""
        if self.diagnosis.stops:
            return self.diagnosis.stops[0].level
        return "open" if self.look_open else "unsure" if self.look_unsure else "none"

    def takes_back(self, stops: Sequence[StopNotice]) -> list[str]:
        """Symptoms whose denial takes these dangers back: those that were told, of a heard one its own."""
        told, found = self.told.get("symptoms", {}), dict[str, None]()
        for stop in stops:
            when = self.knowledge.safety[stop.stop].when
            rests = sorted(when.references().symptoms) if when is not None else []
            found |= dict.fromkeys(each for each in rests if told.get(each) in ("yes", True) or stop.sure == "heard")
        return list(found)

    def level(self, stop: StopNotice) -> str:
        return LEVEL[stop.level].capitalize()

    def call(self, stop: StopNotice) -> str:
        return CALL.get(stop.call, "")

    @property
    def rescue(self) -> str:
        """Whom to call where somebody is not out and well, whatever the danger calls for."""
        return CALL["emergency-services"]

    # --- the question

    @property
    def question(self) -> Question | None:
        """What to ask; under a danger only once everybody is out and well."""
        return None if self.stopped else self.standing.question

    @property
    def question_id(self) -> str:
        if self.stopped:
            return "safe:" + "+".join(stop.stop for stop in self.grave)
        if self.closing:
            return "more"
        return self.question.id if self.question else ""

    @property
    def is_look(self) -> bool:
        return self.question is not None and self.question.is_list and self.question.items[0].id in self.look

    @property
    def closing(self) -> bool:
        """Whether the questions end here, unless the desk insists."""
        return bool(self.ending) and not self.insists and not self.is_look

    @property
    def ending(self) -> str:
        ending = self.standing.ending
        return _ENDINGS.get(ending, "") if ending is not None else ""

    @property
    def number(self) -> int:
        """Of the question shown, from 1, without the look for dangers."""
        return 1 + sum(1 for asked in self.asked if not set(self.look) & set(asked.split("+")))

    @property
    def progress(self) -> int:
        """How far the asking has come, 0 to 100."""
        if self.is_look or self.number == 0:
            return 0
        return 100 if self.ending else min(95, round(100 * (self.number - 1) / MOST_QUESTIONS))

    @property
    def place(self) -> str:
        if self.ending:
            return "while there is time"
        return f"question {self.number} of about {max(MOST_QUESTIONS, self.number)}"

    # --- why

    @property
    def known(self) -> bool:
        return self.standing.known or bool(self.diagnosis.states)

    @property
    def causes(self) -> tuple[RankedCause, ...]:
        return self.diagnosis.causes[:MOST_CAUSES] if self.known else ()

    @property
    def off(self) -> list[StateLine]:
        """What is a fact or at its limit; what is only possible stands with the causes."""
        return [state for state in self.diagnosis.states if state.standing != "possible"][:MOST_OFF]

    def off_words(self, state: StateLine) -> str:
        value = state_value(state, self.units).partition(" (")[0]
        target = state_target(state, self.units).removeprefix("should be ").removeprefix("your unit wants ")
        return f"{value}, wants {target}" if value and target else value or state.known_by

    @property
    def readings(self) -> list[DeskReading]:
        return desk_readings(self.diagnosis, self.knowledge, self.units)

    @property
    def conclusion(self) -> str:
        """Why no cause is named; what would settle it is the question that stands beside it."""
        return first_sentence(next(iter(self.report.conclusion), "Not enough is known to name the cause."))

    # --- what to do

    @property
    def now(self) -> tuple[AdvisedAction, ...]:
        return () if self.grave else self.report.choice.now

    @property
    def first(self) -> AdvisedAction | None:
        return self.now[0] if self.now else None

    @property
    def then(self) -> tuple[AdvisedAction, ...]:
        return () if self.grave else (*self.now[1:], *self.report.choice.then)

    def is_weighed(self, dose: DoseAdvice | None) -> bool:
        """Whether a dose has all three parts of the tag: now, then test, in all."""
        return dose is not None and dose.computed and dose.first > 0.0 and dose.wait_h > 0.0

    def tests(self, dose: DoseAdvice) -> str:
        titles = [self.knowledge.readings[each].title for each in dose.test if each in self.knowledge.readings]
        return " and ".join(titles) or "again"

    def aloud(self, action: AdvisedAction) -> list[str]:
        return list(action.steps_owner[:MOST_STEPS])

    def steps_left(self, action: AdvisedAction) -> list[str]:
        return list(action.steps_owner[MOST_STEPS:])

    def cautions(self, action: AdvisedAction) -> list[str]:
        """In the caller's wording, the first sentence of each."""
        notes = {note.note: note for note in self.diagnosis.safety}
        return [first_sentence(notes[each].say.owner) for each in action.safety if each in notes]

    def waiting(self, hours: float) -> str:
        return waiting(hours)

    def job(self, word: str) -> str:
        return JOB.get(word, word)

    # --- the head and the list of calls

    @property
    def pool(self) -> str:
        """The pool in few words: its volume, surface and setting, and what its unit wants."""
        lines = {
            line.reading: line for line in self.diagnosis.readings if line.origin in ("told", "setting", "profile")
        }
        pool, words = self.told.get("pool", {}), []
        if ids.POOL_VOLUME in lines:
            line = lines[ids.POOL_VOLUME]
            words.append(
                show((line.low + line.high) / 2, line.quantity, self.units, unit=line.unit).replace("m3", "m³")
            )
        words += [str(pool[key]).replace("-", " ") for key in ("surface", "setting") if isinstance(pool.get(key), str)]
        low, high = lines.get(ids.SALT_BAND_LOW), lines.get(ids.SALT_BAND_HIGH)
        if low and high and "setting" in (low.origin, high.origin):
            ends = [show(each.low, each.quantity, self.units, unit=each.unit) for each in (low, high)]
            words.append(f"unit wants {ends[0].partition(' ')[0]} to {ends[1]}")
        return ", ".join(words)

    @property
    def outcome(self) -> str:
        """Three words for the list of calls."""
        if self.diagnosis.stops:
            return "keep out" if not self.grave else "danger, open"
        if not self.report.choice.settled or not self.causes:
            return "not known yet" if self.known else "nothing told yet"
        return short_words(self.causes[0].title)

    @property
    def state(self) -> dict[str, Any]:
        """For the script: what is shown, without words."""
        return {
            "question": self.question_id,
            "isLook": self.is_look,
            "danger": self.danger,
            "safe": [stop.stop for stop in self.grave if stop.stop in self.safe],
            "stops": [stop.stop for stop in self.diagnosis.stops],
            "takesBack": self.takes_back(self.diagnosis.stops),
            "outcome": self.outcome,
            "look": list(self.look),
            "chances": {id: round(chance, 4) for id, chance in self.diagnosis.posteriors.items() if chance >= 0.0005},
            "withheld": len(self.diagnosis.withheld),
        }
