"""The room's one function: a case that is explained -> the dangers that stand."""

from dataclasses import dataclass

from saltriage.conditions import Truth
from saltriage.conditions.condition import explain as explain_condition
from saltriage.explain import Explained
from saltriage.knowledge.model import Knowledge, Safety
from saltriage.result import StopNotice, Wording

__all__ = ["Dangers", "Raised", "guard"]

COVERED = 0.5  # a cause as likely as this raises the stop rule that covers it


@dataclass(frozen=True, slots=True)
class Raised:
    """A stop rule that stands. Args: because: what raised it, in words."""

    rule: Safety
    because: tuple[str, ...]

    @property
    def notice(self) -> StopNotice:
        rule = self.rule
        until = rule.until or Wording("", "")
        return StopNotice(rule.id, rule.title, rule.hazard, rule.say, until, rule.call, self.because)


@dataclass(frozen=True, slots=True)
class Dangers:
    """The stop rules that stand, in the order of the rules."""

    raised: tuple[Raised, ...]

    @property
    def rules(self) -> tuple[Safety, ...]:
        return tuple(each.rule for each in self.raised)

    @property
    def notices(self) -> tuple[StopNotice, ...]:
        return tuple(each.notice for each in self.raised)

    @property
    def somebody_is_called(self) -> bool:
        """Nobody is sent to the plant or the water before the one who is called has been."""
        return any(rule.call != "none" for rule in self.rules)


def guard(explained: Explained) -> Dangers:
    """The stop rules that stand, each with what raised it."""
    found, knowledge = explained.found, explained.knowledge
    likely = [knowledge.causes[cause] for cause, chance in explained.chances.items() if chance >= COVERED]
    raised: list[Raised] = []
    for stop in knowledge.stops:
        because: list[str] = []
        if found.truths.get(f"safety.{stop.id}.when") is Truth.TRUE and stop.when is not None:
            leaves = explain_condition(stop.when, found.facts).leaves()
            because = [_because(knowledge, leaf.text) for leaf in leaves if leaf.truth is Truth.TRUE]
        because += [f"{cause.title} is likely" for cause in likely if cause.covered_by == stop.id]
        if because:
            raised.append(Raised(stop, tuple(because)))
    return Dangers(tuple(raised))


def _because(knowledge: Knowledge, text: str) -> str:
    """A leaf's text with the title of the symptom, reading or doubt it begins with in place of the id."""
    key, _, rest = text.partition(" ")
    if key in knowledge.symptoms:
        return knowledge.symptoms[key].title
    if key in knowledge.doubts:
        return knowledge.doubts[key].title
    return f"{knowledge.readings[key].title} {rest}" if key in knowledge.readings else text
