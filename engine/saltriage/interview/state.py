"""The interview: a case, what was asked and answered, what was given up. Every step makes a new one."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from saltriage.ask import SoFar
from saltriage.case import Case, case_to_data
from saltriage.diagnosis import examine
from saltriage.errors import CaseRefused, Refusal
from saltriage.guard import danger_look
from saltriage.interview.question import Question, asked_again
from saltriage.interview.standing import Standing, standing_of
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import asked_kind
from saltriage.pool.units import System

__all__ = ["Interview", "LeaderChange", "Step"]

VERSION = 1
LONGEST_SAID = 4000  # signs of a case's own words, the newest
SKIPPED = "later"  # the answer 'can't now'
_UNHEARD: Mapping[str, float] = {}


@dataclass(frozen=True, slots=True)
class Step:
    """One thing asked or said.

    Args: said: id -> answer as given. asked: ids of the question, empty for what the caller said unasked. minutes: its
    effort, as expected. words: the caller's own, as typed. heard: what else they may mean: symptom id -> chance that it
    is present. safe: stop rules of which the caller said that all is done and everybody is out and well.
    """

    said: Mapping[str, object]
    asked: tuple[str, ...] = ()
    minutes: float = 0.0
    words: str = ""
    heard: Mapping[str, float] = field(default_factory=dict)
    safe: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeaderChange:
    """What an answer would make of the ranking. Args: answer: yes, no. leader: cause. now, then: its probability."""

    item: str
    answer: str
    leader: str
    now: float
    then: float


@dataclass(frozen=True)
class Interview:
    """See `saltriage.interview`.

    Args: beginning: the case before any step. insists: go on though it would end. safe: stop rules that stand and
    whose orders are carried out, with everybody out and well: what is known already may be asked.
    """

    knowledge: Knowledge = field(repr=False, compare=False)
    beginning: Case
    case: Case
    steps: tuple[Step, ...] = ()
    skipped: frozenset[str] = frozenset()
    insists: bool = False
    safe: frozenset[str] = frozenset()

    @classmethod
    def start(cls, knowledge: Knowledge, case: Case | None = None, units: System | None = None) -> "Interview":
        """A new interview, or one that goes on from a case. Args: units: what the caller counts in."""
        begun = case or Case(id="interview", for_units=units)
        return cls(knowledge, begun, begun)

    @cached_property
    def standing(self) -> Standing:
        """Ranking, stop rules, next question; worked out once."""
        asked_for = frozenset(each for step in self.steps for each in step.asked)
        so_far = SoFar(self.skipped, asked_for, self.questions_asked, self.safe)
        return standing_of(self.case, self.knowledge, so_far, self.insists, opens=self.opens)

    @property
    def opens(self) -> bool:
        """Whether it opens with the look for dangers; one that goes on from a case with answers need not."""
        return not (self.beginning.symptoms or self.beginning.readings)

    @property
    def questions_asked(self) -> int:
        """Questions so far, without the look for dangers."""
        look = set(danger_look(self.knowledge))
        return sum(1 for step in self.steps if step.asked and not look & set(step.asked))

    @property
    def minutes(self) -> float:
        """Effort of the questions asked so far."""
        return sum(step.minutes for step in self.steps)

    def next_question(self) -> Question | None:
        """What to ask now; None where the interview has ended, see `standing.ending`."""
        return None if self.standing.ending else self.standing.question

    def answer(
        self,
        said: Mapping[str, object],
        question: Question | None = None,
        *,
        words: str = "",
        heard: Mapping[str, float] = _UNHEARD,
    ) -> "Interview":
        """The interview with these answers.

        Args: said: symptom id -> yes, no, unknown or later (True and False too); reading id -> number and unit as in a
        case file, unknown or later. question: the question that they answer, if one was asked; a line of a list that is
        not among the answers counts as later. words: the caller's own, from which the answers were taken. heard: what
        they may mean beside that, symptom id -> chance that it is present; a hint until it is asked.
        Raises: CaseRefused for what cannot be believed or is not known; nothing of the step is taken then.
        """
        asked = tuple(item.id for item in question.items) if question else ()
        full = {**dict.fromkeys(asked, SKIPPED), **said}
        return self._replayed(Step(full, asked, question.effort if question else 0.0, words.strip(), heard))

    def told(self, words: str, heard: Mapping[str, float] = _UNHEARD) -> "Interview":
        """The interview with the caller's own words kept; a danger in them is heard. Args: heard: as in `answer`."""
        return self._replayed(Step({}, words=words, heard=heard)) if words.strip() else self

    def _with(self, said: Mapping[str, object]) -> tuple[Case, frozenset[str]]:
        case, skipped = self.case, set(self.skipped)
        for key, answer in said.items():
            word = answer.strip().casefold() if isinstance(answer, str) else answer
            kind = asked_kind(key, self.knowledge)
            if not kind:
                raise CaseRefused([Refusal(key, "an unknown id", "the id of a symptom or a reading")])
            if word == SKIPPED or (word == "unknown" and kind == "reading"):
                skipped.add(key)
                continue
            skipped.discard(key)
            change = case.with_symptom if kind == "symptom" else case.with_reading
            case = change(key, answer, self.knowledge)
        return case, frozenset(skipped)

    def undo(self) -> "Interview":
        """Without the last step; the same interview where there was none."""
        if not self.steps:
            return self
        again = replace(self, case=self.beginning, steps=(), skipped=frozenset(), insists=False, safe=frozenset())
        for step in self.steps[:-1]:
            again = again._replayed(step)
        return again

    def _replayed(self, step: Step) -> "Interview":
        case, skipped = self._with(step.said)
        if step.words:
            case = replace(case, said=f"{case.said}\n{step.words}".strip()[-LONGEST_SAID:])
        heard = {**case.heard, **step.heard}
        answered = {*case.symptoms, *case.unknown, *skipped}
        case = replace(case, heard={key: heard[key] for key in sorted(heard.keys() - answered)})
        # Nothing stays safe that has ceased to stand: told anew it is another danger.
        safe = frozenset({*self.safe, *step.safe}) & self._grave if self.safe or step.safe else self.safe
        return replace(self, case=case, skipped=skipped, steps=(*self.steps, step), safe=safe)

    def question_again(self, step: Step) -> Question | None:
        """The question that a step answered, to be asked once more; None where it can no longer be asked."""
        return asked_again(step.asked, step.minutes, self.knowledge, from_memory=bool(self._grave))

    def go_on(self) -> "Interview":
        """Ask on although the interview would end; a danger still ends it."""
        return replace(self, insists=True)

    def all_safe(self) -> "Interview":
        """The orders of the dangers that stand are carried out, and everybody is out and well.

        What the caller knows already is asked then. A danger that comes up later ends the interview again, and so does
        one of these that is told anew after it was denied.
        """
        return self._replayed(Step({}, safe=tuple(sorted(self._grave))))

    def still_safe(self, before: "Interview") -> "Interview":
        """The same, safe also of dangers of the kinds that were safe before: the same words told by their findings."""
        kinds = {stop.hazard for stop in before.standing.stops if stop.stop in before.safe}
        told = {stop.hazard for stop in self.standing.stops if stop.stop in self._grave}
        return self.all_safe() if self._grave - self.safe and told <= kinds else self

    @property
    def _grave(self) -> frozenset[str]:
        return frozenset(stop.stop for stop in self.standing.stops if stop.level != "unfit")

    def what_would_change(self, question: Question) -> tuple[LeaderChange, ...]:
        """For each yes-or-no line of a question, which cause either answer would put first, worked out exactly."""
        now = self.standing.chances
        changes = []
        for item in question.items:
            for answer in ("yes", "no") if item.kind == "symptom" else ():
                then = examine(self.case.with_symptom(item.id, answer, self.knowledge), self.knowledge).chances
                leader = next(iter(then), "")
                changes.append(LeaderChange(item.id, answer, leader, now.get(leader, 0.0), then.get(leader, 0.0)))
        return tuple(changes)

    def to_data(self) -> dict[str, Any]:
        """Mappings, lists, text and numbers, as JSON has them."""
        return {
            "version": VERSION,
            "beginning": case_to_data(self.beginning),
            "steps": [
                {
                    "said": dict(step.said),
                    "asked": list(step.asked),
                    "minutes": step.minutes,
                    **({"words": step.words} if step.words else {}),
                    **({"heard": dict(step.heard)} if step.heard else {}),
                    **({"safe": list(step.safe)} if step.safe else {}),
                }
                for step in self.steps
            ],
            "insists": self.insists,
        }

    @classmethod
    def from_data(cls, data: object, knowledge: Knowledge) -> "Interview":
        """The interview that `to_data` wrote. Raises: CaseRefused for anything else."""
        shape = data if isinstance(data, dict) else {}
        steps = shape.get("steps")
        if shape.get("version") != VERSION or not isinstance(steps, list):
            raise CaseRefused([Refusal("interview", "another form", "an interview as it was saved")])
        begun = Case.from_data(shape.get("beginning"), knowledge)
        interview = cls(knowledge, begun, begun)
        for step in steps:
            interview = interview._replayed(_step(step))
        return interview.go_on() if shape.get("insists") is True else interview


def _step(data: object) -> Step:
    shape = data if isinstance(data, dict) else {}
    said, asked, minutes = shape.get("said"), shape.get("asked", []), shape.get("minutes", 0)
    words, heard, safe = shape.get("words", ""), shape.get("heard", {}), shape.get("safe", [])
    fits = isinstance(said, dict) and isinstance(asked, list) and isinstance(safe, list)
    fits = fits and all(isinstance(each, str) for each in (*asked, *safe, words))
    fits = fits and isinstance(heard, dict) and all(isinstance(each, float) and 0 < each < 1 for each in heard.values())
    if not fits or isinstance(minutes, bool) or not isinstance(minutes, (int, float)) or not 0 <= minutes < 1e6:
        raise CaseRefused([Refusal("interview", "a step of another form", "said, asked and minutes")])
    assert isinstance(said, dict)
    return Step(said, tuple(asked), float(minutes), words, heard, tuple(safe))
