"""The sentences that stand with hearing rules, and what is heard in them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from saltriage.knowledge.model import Knowledge
from saltriage.pool.one_sided import Side, one_sided, worded
from saltriage.words import Ear, Heard, ear_of, hear_with, reply_words_of, rules_in_order

__all__ = ["ExampleOutcome", "HearingExample", "examples_of", "run_examples", "unmet"]

Fact = tuple[str, str]
"""What was heard of an id: a symptom 'present' or 'absent'; a reading as number and unit, or all units that it may be
in; 'guessed', 'hedged', and 'by METHOD' beside them. Of 'a short answer': what it is."""
_REPLY = "a short answer"


@dataclass(frozen=True, slots=True)
class HearingExample:
    """A sentence of a rule. Args: wanted: facts that must be heard. also: ids of which anything may be."""

    rule: str
    say: str
    wanted: frozenset[Fact]
    also: frozenset[str]


@dataclass(frozen=True, slots=True)
class ExampleOutcome:
    """One example heard; no failure means that it came out as it says."""

    example: HearingExample
    failure: str


def examples_of(knowledge: Knowledge) -> list[HearingExample]:
    """Every example in the order of the rules."""
    return [
        HearingExample(rule.id, entry["say"], frozenset(_wanted(entry)), frozenset(entry.get("also", ())))
        for rule in rules_in_order(knowledge)
        for entry in rule.examples
    ]


def _wanted(entry: Mapping[str, object]) -> Iterator[Fact]:
    if "reply" in entry:
        yield _REPLY, str(entry["reply"])
    for kind in ("present", "absent", "guessed", "hedged"):
        ids = entry.get(kind, ())
        for id in ids if isinstance(ids, Sequence) else ():
            yield str(id), kind
    readings, methods = entry.get("readings", {}), entry.get("methods", {})
    for id, amount in readings.items() if isinstance(readings, Mapping) else ():
        side, told = one_sided(str(amount))
        number, _, unit = told.partition(" ")
        yield str(id), _amount(float(number), unit, side)
    for id, method in methods.items() if isinstance(methods, Mapping) else ():
        yield str(id), f"by {method}"


def _amount(number: float, unit: str, side: Side = "") -> str:
    return worded(side, f"{number:g} {unit}".strip())


def _facts(heard: Heard) -> set[Fact]:
    facts = {(each.id, "present" if each.present else "absent") for each in heard.symptoms}
    facts |= {
        (each.id, _amount(each.number, each.unit or " or ".join(each.may_be), each.bound)) for each in heard.readings
    }
    facts |= {(each.id, "guessed") for each in heard.symptoms if each.guessed}
    facts |= {(each.id, "hedged") for each in heard.symptoms if each.hedged}
    facts |= {(each.id, "hedged") for each in heard.readings if each.hedged}
    return facts | {(each.id, f"by {each.method}") for each in heard.readings if each.method}


def unmet(example: HearingExample, knowledge: Knowledge, ear: Ear) -> str:
    """What is missing in the sentence, or heard though it should not be; '' where all is as the example says."""
    found = _facts(hear_with(ear, example.say, knowledge))
    if any(id == _REPLY for id, _ in example.wanted):  # other sentences are not said to a question
        reply = reply_words_of(knowledge).shown(example.say)  # changed rules may have the fingerprint of others
        found |= {(_REPLY, reply)} if reply else set()
    missing = sorted(example.wanted - found)
    extra = sorted(fact for fact in found - example.wanted if fact[0] not in example.also)
    told = [f"not heard: {id} {what}" for id, what in missing] + [f"heard: {id} {what}" for id, what in extra]
    return "; ".join(told)


def run_examples(knowledge: Knowledge) -> list[ExampleOutcome]:
    """Every example with what is wrong in it."""
    ear = ear_of(knowledge)
    return [ExampleOutcome(example, unmet(example, knowledge, ear)) for example in examples_of(knowledge)]
