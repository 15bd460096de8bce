"""The whole way on one page: case -> guard -> believe -> find -> explain -> advise -> ask -> Diagnosis."""

from saltriage.advise import advise
from saltriage.ask import ask
from saltriage.ask.next_checks import next_checks
from saltriage.believe import believe
from saltriage.believe.notes import doubt_notes, reading_lines
from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.explain import Explained, explain
from saltriage.explain.conclusion import CONTRADICTORY, ENOUGH, conclusion
from saltriage.explain.shown import MOST_CAUSES, shown_causes, two_faults
from saltriage.explain.shown_states import shown_states
from saltriage.find import find
from saltriage.find.notes import answers, borderline, disagreements
from saltriage.guard import Dangers, guard
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis

__all__ = ["dangers_of_case", "diagnose", "diagnosis_of", "examine"]


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
    knowledge = knowledge or load_knowledge()
    dangers = guard(case, knowledge)
    return _told(examine(case, knowledge, matcher), dangers, next_check=next_check)


def examine(case: Case, knowledge: Knowledge, matcher: Matcher | None = None) -> Explained:
    """The middle of the way: what is so and why, before anything is advised. Raises: as `diagnose`."""
    return explain(find(believe(case, knowledge, matcher)))


def dangers_of_case(case: Case, knowledge: Knowledge) -> Dangers:
    """The dangers told, and those of causes that are likely. Raises: as `diagnose`."""
    return guard(case, knowledge).and_likely(examine(case, knowledge).chances, knowledge)


def diagnosis_of(explained: Explained, *, next_check: bool = True) -> Diagnosis:
    """The diagnosis of a case that is explained already."""
    return _told(explained, guard(explained.found.believed.case, explained.knowledge), next_check=next_check)


def _told(explained: Explained, told: Dangers, *, next_check: bool) -> Diagnosis:
    """The end of the way: what to do and what to ask next, within the dangers told and those that are likely."""
    found, believed = explained.found, explained.found.believed
    chances, knowledge = explained.chances, explained.knowledge
    dangers = told.and_likely(chances, knowledge)
    advice, kind = advise(explained, dangers), conclusion(explained)
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
        undecided=not explained.anything_known or chances.get(explained.leading, 0.0) < ENOUGH,
        none_known=explained.ranking.probability_unexplained,
        do_not_fit=kind == CONTRADICTORY,
        actions=advice.actions,
        withheld=advice.withheld,
        next_checks=next_checks(ask(explained, dangers, advice)) if next_check else (),
        safety=advice.safety,
        targets=believed.situation.targets.id,
        profile=believed.situation.profile,
        assumptions=believed.situation.assumptions,
        posteriors=chances,
    )
