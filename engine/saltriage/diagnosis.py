"""The whole way on one page: case -> guard -> believe -> find -> explain -> advise -> ask -> Diagnosis."""

from saltriage.advise import Advice, advise
from saltriage.ask import Questions, SoFar, ask
from saltriage.ask.next_checks import next_checks
from saltriage.believe import believe
from saltriage.believe.notes import doubt_notes, reading_lines
from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.explain import Explained, explain
from saltriage.explain.conclusion import CONTRADICTORY, conclusion, enough_known
from saltriage.explain.shown import MOST_CAUSES, shown_causes, two_faults
from saltriage.explain.shown_states import shown_states
from saltriage.find import find
from saltriage.find.notes import answers, borderline, disagreements
from saltriage.guard import Dangers, guard
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis

__all__ = ["Way", "dangers_of_case", "diagnose", "diagnosis_of", "examine"]


_NOTHING = SoFar()


class Way:
    """The way of one case. Each stretch is gone once, when it is first wanted.

    Whoever needs two of them, such as a page with question and result, so pays for none twice. Raises: as `diagnose`.
    """

    def __init__(self, case: Case, knowledge: Knowledge, matcher: Matcher | None = None) -> None:
        self.case, self.knowledge, self._matcher = case, knowledge, matcher
        self._explained: Explained | None = None
        self._dangers: Dangers | None = None
        self._advice: Advice | None = None
        self._questions: dict[SoFar, Questions] = {}

    @classmethod
    def from_explained(cls, explained: Explained) -> "Way":
        """The rest of the way."""
        way = cls(explained.found.believed.case, explained.knowledge)
        way._explained = explained
        return way

    @property
    def explained(self) -> Explained:
        """What is so and why."""
        if self._explained is None:
            self._explained = examine(self.case, self.knowledge, self._matcher)
        return self._explained

    @property
    def dangers(self) -> Dangers:
        """The dangers told, and those of causes that are likely by what can be denied, not by the tone of the words."""
        if self._dangers is None:
            told = guard(self.case, self.knowledge, self.explained.found.believed.situation.facts)
            self._dangers = told.and_likely(self.explained.chances_before_words, self.knowledge)
        return self._dangers

    @property
    def advice(self) -> Advice:
        """What to do, within what the dangers leave allowed."""
        if self._advice is None:
            self._advice = advise(self.explained, self.dangers)
        return self._advice

    def questions(self, so_far: SoFar = _NOTHING) -> Questions:
        """What to ask next."""
        if so_far not in self._questions:
            self._questions[so_far] = ask(self.explained, self.dangers, self.advice, so_far)
        return self._questions[so_far]

    def diagnosis(self, *, next_check: bool = True) -> Diagnosis:
        """All of it, told."""
        return _told(self, next_check=next_check)


def diagnose(
    case: Case, knowledge: Knowledge | None = None, matcher: Matcher | None = None, *, next_check: bool = True
) -> Diagnosis:
    """The diagnosis of one case.

    Args:
        case: as loaded; see `saltriage.case`.    knowledge: the rules; the shipped ones where left out.
        matcher: to force a matching engine; the default uses durable-rules where it can be imported.
        next_check: False leaves out what to ask next, which takes most of the time.

    Raises:
        CaseRefused: the case names a product that is not known.
        MatcherFailed: the outside rule engine broke its contract.
    """
    return Way(case, knowledge or load_knowledge(), matcher).diagnosis(next_check=next_check)


def examine(case: Case, knowledge: Knowledge, matcher: Matcher | None = None) -> Explained:
    """The middle of the way: what is so and why, before anything is advised. Raises: as `diagnose`."""
    return explain(find(believe(case, knowledge, matcher)))


def dangers_of_case(case: Case, knowledge: Knowledge) -> Dangers:
    """The dangers told, and those of causes that are likely. Raises: as `diagnose`."""
    return Way(case, knowledge).dangers


def diagnosis_of(explained: Explained, *, next_check: bool = True) -> Diagnosis:
    """The diagnosis of a case that is explained already."""
    return Way.from_explained(explained).diagnosis(next_check=next_check)


def _told(way: Way, *, next_check: bool) -> Diagnosis:
    """The end of the way: what to do and what to ask next, within the dangers told and those that are likely."""
    explained, dangers, advice = way.explained, way.dangers, way.advice
    found, believed = explained.found, explained.found.believed
    chances, knowledge, kind = explained.chances, explained.knowledge, conclusion(explained)
    return Diagnosis(
        case=believed.case.id,
        title=believed.case.title,
        knowledge_version=knowledge.version,
        fingerprint=knowledge.fingerprint,
        matcher=believed.matcher.engine,
        stops=dangers.notices,
        orders=dangers.order_lines,
        doubts=doubt_notes(believed),
        readings=reading_lines(believed),
        answers=answers(found),
        borderline=borderline(found, list(chances)[:MOST_CAUSES]),
        disagreements=disagreements(found),
        states=shown_states(explained),
        causes=shown_causes(explained),
        two_faults=two_faults(explained),
        conclusion=kind,
        undecided=not enough_known(explained),
        none_known=explained.ranking.probability_unexplained,
        do_not_fit=kind == CONTRADICTORY,
        actions=advice.actions,
        withheld=advice.withheld,
        afterwards=advice.afterwards,
        next_checks=next_checks(way.questions()) if next_check else (),
        safety=advice.safety,
        targets=believed.situation.targets.id,
        profile=believed.situation.profile,
        assumptions=believed.situation.assumptions,
        posteriors=chances,
        dose_course=advice.course,
        dose_targets=dict(advice.course_targets),
    )
