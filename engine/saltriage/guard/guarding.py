"""The room's one function: a case as told -> the dangers that stand, whatever else is wrong with it."""

from dataclasses import replace

from saltriage.believe.situation import prepared
from saltriage.case import Case, Readable
from saltriage.conditions import ConditionSet, Facts, Matcher, Truth
from saltriage.conditions.condition import References
from saltriage.conditions.condition import explain as explain_condition
from saltriage.errors import CaseRefused
from saltriage.guard.dangers import Danger, Dangers, dangers_of
from saltriage.guard.hearing import heard_in
from saltriage.knowledge.kept import of_knowledge
from saltriage.knowledge.model import Knowledge

__all__ = ["guard", "guard_refused"]


def guard(case: Case, knowledge: Knowledge, given: Facts | None = None) -> Dangers:
    """The dangers that a case tells of, the gravest first.

    Everything counts as it was told: no doubt takes a danger away. Never raises for what a caller reported.

    Args: given: the facts that the case's situation starts from, where somebody has worked them out.
    """
    facts = _derived(given or prepared(replace(case, products={}), knowledge).facts, knowledge)
    matcher = _matcher(knowledge)
    truths = matcher.final(facts)
    standing = []
    for stop in knowledge.stops:
        if truths.get(stop.id) is Truth.TRUE and stop.when is not None:
            leaves = explain_condition(stop.when, facts).leaves()
            because = tuple(_because(knowledge, leaf.text) for leaf in leaves if leaf.truth is Truth.TRUE)
            standing.append(Danger(stop, stop.level, because))
    heard, asked_back = heard_in(case, knowledge)
    told = {each.rule.id for each in standing}
    found = dangers_of([*standing, *(each for each in heard if each.rule.id not in told)], knowledge, asked_back)
    return replace(found, emergency=knowledge.emergency.said(case.contexts.get("region", "")))


def guard_refused(refused: CaseRefused) -> Dangers:
    """The dangers in what could be read of a refused case; none where nothing could."""
    readable = refused.readable
    if isinstance(readable, Readable) and isinstance(readable.case, Case):
        return guard(readable.case, readable.knowledge)
    return Dangers((), ())


def _derived(given: Facts, knowledge: Knowledge) -> Facts:
    """Answers and readings as told, with what stop rules need derived from them."""
    matcher = _matcher(knowledge)
    doubts = matcher.doubts(given)
    raised = {doubt: truth is Truth.TRUE for doubt, truth in doubts.items() if truth is not Truth.UNKNOWN}
    told = Facts(given.readings, given.symptoms, raised, given.contexts)
    derived = matcher.derived(told)
    known = {symptom: truth is Truth.TRUE for symptom, truth in derived.items() if truth is not Truth.UNKNOWN}
    return Facts(given.readings, {**given.symptoms, **known}, raised, given.contexts)


@of_knowledge
def _matcher(knowledge: Knowledge) -> Matcher:
    """A matcher of the stop rules alone and of what their conditions rest on; small, so the plain evaluator does."""
    final = {stop.id: stop.when for stop in knowledge.stops if stop.when is not None}
    derived = {key: rule.derived for key, rule in knowledge.symptoms.items() if rule.derived is not None}
    wanted, doubts = set[str](), set[str]()
    waiting = [condition.references() for condition in final.values()]
    while waiting:
        references: References = waiting.pop()
        doubts |= {doubt for doubt in references.doubts if doubt in knowledge.doubts}
        for symptom in references.symptoms & derived.keys() - wanted:
            wanted.add(symptom)
            waiting.append(derived[symptom].references())
    conditions = ConditionSet(
        doubts={doubt: knowledge.doubts[doubt].when for doubt in sorted(doubts)},
        derived={symptom: derived[symptom] for symptom in sorted(wanted)},
        final=final,
    )
    return Matcher(conditions, prefer="plain")


def _because(knowledge: Knowledge, text: str) -> str:
    """A leaf's text with titles of symptom, doubt and readings in place of ids."""
    key, *rest = text.split(" ")
    if key in knowledge.symptoms:
        return knowledge.symptoms[key].title
    if key in knowledge.doubts:
        return knowledge.doubts[key].title
    if key not in knowledge.readings:
        return text
    others = (
        f"the {_begun_small(knowledge.readings[one].title)}" if one in knowledge.readings else one for one in rest
    )
    return " ".join([knowledge.readings[key].title, *others])


def _begun_small(title: str) -> str:
    return title if title.startswith("pH") else title[:1].lower() + title[1:]
