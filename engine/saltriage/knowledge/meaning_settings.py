"""What keys for follow-ups, forecasts and pictures mean beside each other, which a schema cannot say."""

from collections.abc import Iterator
from itertools import pairwise

from saltriage.knowledge.findings import Finding, nearest
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import Base, RuleFile

__all__ = ["findings"]


def findings(base: Base) -> Iterator[Finding]:
    for symptom in base.sound("symptom"):
        yield from _after_dose(symptom)
    for reading in base.sound("reading"):
        yield from _target(reading)
    stand_ins = [rule for rule in base.sound("equipment") if rule.data.get("stands-in")]
    for rule in stand_ins[1:]:
        message = f'"{stand_ins[0].id}" stands in already where nobody named the unit.'
        yield rule.finding("R061", ("stands-in",), message, "Keep one of them.", at_key=True)
    for forecast in base.sound("forecast"):
        yield from _spans(forecast, (), forecast.data)
        yield from _rising(forecast)
    for pictures in base.sound("pictures"):
        yield from _looks(pictures, base)


def _after_dose(symptom: RuleFile) -> Iterator[Finding]:
    told = symptom.data.get("follow-up", {})
    if "after" in told and "derived" not in symptom.data:
        message = "The symptom has no condition that could judge a dose."
        mend = "Give it `derived`, or say the share of the rise that is left with `share-left`."
        yield symptom.finding("R061", ("follow-up", "after"), message, mend, at_key=True)
    if "share-left" in told and "derived" in symptom.data:
        message = "The symptom has a condition of its own, which judges a dose."
        mend = "Take `share-left` out and say `after` which verdicts it is asked."
        yield symptom.finding("R061", ("follow-up", "share-left"), message, mend, at_key=True)


def _target(reading: RuleFile) -> Iterator[Finding]:
    if "target-of" in reading.data and reading.data.get("role") != "computed":
        message = "A reading that is measured or set is nobody's upper target."
        yield reading.finding("R061", ("target-of",), message, "Take it out, or let it be computed.", at_key=True)


def _spans(rule: RuleFile, path: Path, node: object) -> Iterator[Finding]:
    """Every pair of least and most, wherever it stands."""
    if isinstance(node, dict):
        for key, part in node.items():
            yield from _spans(rule, (*path, key), part)
    elif isinstance(node, list):
        if len(node) == 2 and all(isinstance(end, int | float) for end in node):
            if node[0] > node[1]:
                yield rule.finding("R058", path, f"{node[0]:g} is above {node[1]:g}.", "Swap the two.")
        else:
            for number, part in enumerate(node):
                yield from _spans(rule, (*path, number), part)


def _rising(forecast: RuleFile) -> Iterator[Finding]:
    for number, (before, row) in enumerate(pairwise(forecast.data["sun"]), 1):
        if row["cyanuric-acid"] <= before["cyanuric-acid"]:
            message = f"{row['cyanuric-acid']:g} mg/L does not lie above {before['cyanuric-acid']:g}."
            yield forecast.finding("R058", ("sun", number, "cyanuric-acid"), message, "Put the rows in rising order.")


def _looks(pictures: RuleFile, base: Base) -> Iterator[Finding]:
    asks = [rule.data["ask"] for kind in ("symptom", "reading") for rule in base.sound(kind) if "ask" in rule.data]
    places = sorted({ask["together"] for ask in asks if "together" in ask})
    for look in pictures.data["looks"]:
        if look not in places:
            mend = f"{nearest(look, places)}Take it out, or let a question name it."
            yield pictures.finding("R056", ("looks", look), f'No question is asked at "{look}".', mend, at_key=True)
