"""What one proposal alone changes for callers: how many get another first cause, as `rules diff` counts it.

A word of frequency, background or commonness changes the ranking and nothing before it. So the way of each sampled
caller is gone once up to the ranking, and each proposal ranks all of them together again.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from saltriage.believe import believe
from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.errors import CaseRefused
from saltriage.explain.explaining import Explained, explain_together
from saltriage.explain.shown import causes_to_show
from saltriage.find import Found, find
from saltriage.knowledge.matching import conditions_of
from saltriage.knowledge.model import Knowledge
from saltriage.learning.learnable import RuleWord
from saltriage.learning.proposals import Proposal

__all__ = ["changed_firsts", "with_word"]


def with_word(knowledge: Knowledge, word: RuleWord, new: str) -> Knowledge:
    """The knowledge with one word anew; the fingerprint differs, since networks are kept by it."""
    rules: Mapping[str, Any] = getattr(knowledge, word.rules)
    rule = rules[word.rule]
    field, *rest = word.path
    value = {**getattr(rule, field), rest[0]: new} if rest else new
    changed: dict[str, Any] = {word.rules: {**rules, word.rule: replace(rule, **{field: value})}}
    return replace(knowledge, **changed, fingerprint=f"{knowledge.fingerprint} {word.name} {new}")


def changed_firsts(
    proposals: Sequence[Proposal], knowledge: Knowledge, callers: Sequence[Mapping[str, Any]]
) -> Iterator[int]:
    """How many of the callers get another first cause by each proposal alone. Args: callers: as case data."""
    matcher = Matcher(conditions_of(knowledge), prefer="plain")
    found = [find(believe(case, knowledge, matcher)) for each in callers if (case := _case(each, knowledge))]
    before = _firsts(found)
    for each in proposals:
        other = with_word(knowledge, each.word, each.proposed)
        after = _firsts([_under(one, other) for one in found])
        yield sum(one != another for one, another in zip(before, after, strict=True))


def _case(data: Mapping[str, Any], knowledge: Knowledge) -> Case | None:
    try:
        return Case.from_data(data, knowledge)
    except CaseRefused:
        return None


def _under(found: Found, knowledge: Knowledge) -> Found:
    """The same case by other words."""
    situation = replace(found.believed.situation, knowledge=knowledge)
    return replace(found, believed=replace(found.believed, situation=situation))


def _firsts(found: Sequence[Found]) -> list[str]:
    return [_first(each) for each in explain_together(found)]


def _first(explained: Explained) -> str:
    return next(iter(causes_to_show(explained)), "")
