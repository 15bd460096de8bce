"""Which rules a rule or case speaks of, kind by kind."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from saltriage.knowledge.limit_links import limit_links
from saltriage.knowledge.places import Path
from saltriage.knowledge.rule_files import RuleFile

__all__ = ["Link", "links"]

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Link:
    """A rule speaks of another.

    Args:
        path: where the id stands; `at_key` when it is the key there.
        kinds: kinds one of which has the id.
        id: the id.
    """

    path: Path
    kinds: tuple[str, ...]
    id: str
    at_key: bool = False


def links(rule: RuleFile) -> Iterator[Link]:
    """Every id that a sound rule or case speaks of."""
    data = rule.data
    if rule.kind == "case":
        yield from _case_links(data)
        return
    for key, kind in (("sources", "source"), ("cases", "case")):
        yield from _each(data.get(key, ()), (key,), (kind,))
    yield from _numbers(data, ())
    if "replaced-by" in data:
        yield Link(("replaced-by",), (rule.kind,), data["replaced-by"])
    for key in ("derived", "proof", "applies", "when", "requires"):
        if key in data:
            yield from _condition_links(data[key], (key,))
    yield from _OF_KIND.get(rule.kind, lambda _: iter(()))(data)


def _each(ids: Iterable[str], path: Path, kinds: tuple[str, ...]) -> Iterator[Link]:
    for n, id in enumerate(ids):
        yield Link((*path, n), kinds, id)


def _keys(mapping: Iterable[str], path: Path, kinds: tuple[str, ...]) -> Iterator[Link]:
    for id in mapping:
        yield Link((*path, id), kinds, id, at_key=True)


def _numbers(node: object, path: Path) -> Iterator[Link]:
    """The single sources of numbers, scales and methods, wherever they stand."""
    if isinstance(node, dict):
        if isinstance(node.get("source"), str):
            yield Link((*path, "source"), ("source",), node["source"])
        for key, part in node.items():
            yield from _numbers(part, (*path, key))
    elif isinstance(node, list):
        for n, part in enumerate(node):
            yield from _numbers(part, (*path, n))


def _condition_links(node: object, path: Path) -> Iterator[Link]:
    if isinstance(node, list):
        for n, part in enumerate(node):
            yield from _condition_links(part, (*path, n))
    elif isinstance(node, dict):
        for key, part in node.items():
            if key in ("reading", "symptom", "doubt") and isinstance(part, str):
                yield Link((*path, key), (key,), part)
            else:
                yield from _condition_links(part, (*path, key))


_EITHER = ("symptom", "reading")


def _state_links(data: Data) -> Iterator[Link]:
    yield from _keys(data.get("shows", ()), ("shows",), ("symptom",))
    yield from _each(data.get("settle", {}).get("by", ()), ("settle", "by"), _EITHER)
    if "measure" in data:
        yield Link(("measure",), ("reading",), data["measure"])
    for n, action in enumerate(data.get("actions", ())):
        yield Link(("actions", n, "do"), ("action",), action["do"])


def _cause_links(data: Data) -> Iterator[Link]:
    yield from _keys(data.get("brings", ()), ("brings",), ("state",))
    yield from _keys(data.get("shows", ()), ("shows",), ("symptom",))
    for n, other in enumerate(data.get("look-alikes", ())):
        yield Link(("look-alikes", n, "cause"), ("cause",), other["cause"])
        yield Link(("look-alikes", n, "split-by"), _EITHER, other["split-by"])
    yield from _each(data.get("settle", {}).get("by", ()), ("settle", "by"), _EITHER)
    for n, action in enumerate(data.get("actions", ())):
        yield Link(("actions", n, "do"), ("action",), action["do"])
    if "covered-by" in data:
        yield Link(("covered-by",), ("safety",), data["covered-by"])


def _doubt_links(data: Data) -> Iterator[Link]:
    yield from _each(data.get("withdraws", ()), ("withdraws",), ("reading",))
    if "instead" in data:
        yield Link(("instead",), ("action",), data["instead"])


def _action_links(data: Data) -> Iterator[Link]:
    yield from _each(data.get("safety", ()), ("safety",), ("safety",))
    yield from _each(data.get("finds", ()), ("finds",), _EITHER)
    for key in ("reading", "symptom"):
        if key in data.get("expect", {}):
            yield Link(("expect", key), (key,), data["expect"][key])


def _safety_links(data: Data) -> Iterator[Link]:
    yield from _each(data.get("demands", ()), ("demands",), ("order",))


def _order_links(data: Data) -> Iterator[Link]:
    yield from _each(data["beats"], ("beats",), ("order",))
    if "instead" in data:
        yield Link(("instead",), ("order",), data["instead"])
    if "action" in data:
        yield Link(("action",), ("action",), data["action"])


def _equipment_links(data: Data) -> Iterator[Link]:
    yield from _keys(data.get("settings", ()), ("settings",), ("reading",))


def _target_links(data: Data) -> Iterator[Link]:
    for key in ("ranges", "closes"):
        yield from _keys(data.get(key, ()), (key,), ("reading",))
        yield from _condition_links(data.get(key, {}), (key,))


def _limit_links(data: Data) -> Iterator[Link]:
    yield from (Link(*each) for each in limit_links(data))


def _wording_links(data: Data) -> Iterator[Link]:
    for chemical, told in data.get("chemicals", {}).items():
        yield from _each(told["cautions"], ("chemicals", chemical, "cautions"), ("safety",))


def _follow_up_links(data: Data) -> Iterator[Link]:
    told = data.get("follow-up", {})
    for key in ("dose-of", "earlier"):
        if key in told:
            yield Link(("follow-up", key), ("reading",), told[key])


def _reading_links(data: Data) -> Iterator[Link]:
    if "target-of" in data:
        yield Link(("target-of",), ("reading",), data["target-of"])
    yield from _follow_up_links(data)


def _knowledge_links(data: Data) -> Iterator[Link]:
    # A part that breaks its schema is left out here, and is a finding of its own.
    if "advising" in data:
        yield Link(("advising", "several-chemicals"), ("safety",), data["advising"]["several-chemicals"])
        yield Link(("advising", "all-well"), ("cause",), data["advising"]["all-well"])
        yield Link(("advising", "first-test"), ("action",), data["advising"]["first-test"])
    if "asking" in data:
        yield from _keys(data["asking"]["answered"]["by-id"], ("asking", "answered", "by-id"), _EITHER)


def _forms_links(data: Data) -> Iterator[Link]:
    for key in ("owner-first", "settings", "first-tests", "water-panel"):
        yield from _each(data[key], (key,), ("reading",))


def _plan_links(data: Data) -> Iterator[Link]:
    yield from _each(data.get("safety", ()), ("safety",), ("safety",))
    for n, step in enumerate(data.get("steps", ())):
        yield from _condition_links(step.get("when", {}), ("steps", n, "when"))
        if "do" in step:
            yield Link(("steps", n, "do"), ("action",), step["do"])
        if "check" in step:
            yield Link(("steps", n, "check"), _EITHER, step["check"])
        yield from _each(step.get("leaves", ()), ("steps", n, "leaves"), ("reading",))
        yield from _each(step.get("safety", ()), ("steps", n, "safety"), ("safety",))


def _hearing_links(data: Data) -> Iterator[Link]:
    for n, entry in enumerate(data.get("denials", ())):
        yield from _each(entry["denies"], ("denials", n, "denies"), ("symptom",))
    for n, entry in enumerate(data.get("implications", ())):
        for key in ("said", "also"):
            yield Link(("implications", n, key), ("symptom",), entry[key])
    for n, entry in enumerate(data.get("together", ())):
        for key in ("add", "at", "drop", "turn", "into"):
            if key in entry:
                yield Link(("together", n, key), ("symptom",), entry[key])
        for key in ("present", "absent", "unless"):
            yield from _each(entry.get(key, ()), ("together", n, key), ("symptom",))
    yield from _named_reading_links(data)
    yield from _compared_links(data)
    for n, entry in enumerate(data.get("examples", ())):
        for key in ("present", "absent", "guessed"):
            yield from _each(entry.get(key, ()), ("examples", n, key), ("symptom",))
        yield from _keys(entry.get("readings", ()), ("examples", n, "readings"), ("reading",))
        yield from _keys(entry.get("methods", ()), ("examples", n, "methods"), ("reading",))
        for key in ("hedged", "also"):
            yield from _each(entry.get(key, ()), ("examples", n, key), _EITHER)


def _compared_links(data: Data) -> Iterator[Link]:
    for n, entry in enumerate(data.get("comparisons", ())):
        yield Link(("comparisons", n, "says"), ("symptom",), entry["says"])
        yield from _each(entry.get("readings", ()), ("comparisons", n, "readings"), ("reading",))
        if "as-symptom" in entry:
            yield Link(("comparisons", n, "as-symptom", "symptom"), ("symptom",), entry["as-symptom"]["symptom"])


def _named_reading_links(data: Data) -> Iterator[Link]:
    yield from _keys(data.get("readings", ()), ("readings",), ("reading",))
    for id, entry in data.get("readings", {}).items():
        here = ("readings", id)
        for key in ("on-display", "at-dusk", "at-dawn"):
            if key in entry:
                yield Link((*here, key), ("reading",), entry[key])
        if "from-size-on" in entry:
            yield Link((*here, "from-size-on", "reading"), ("reading",), entry["from-size-on"]["reading"])
        for unit, other in entry.get("told-in", {}).items():
            yield Link((*here, "told-in", unit), ("reading",), other)


_OF_KIND = {
    "state": _state_links, "cause": _cause_links, "doubt": _doubt_links, "action": _action_links,
    "safety": _safety_links, "order": _order_links, "equipment": _equipment_links,
    "target": _target_links, "limit": _limit_links, "plan": _plan_links,
    "wording": _wording_links, "symptom": _follow_up_links, "reading": _reading_links,
    "knowledge": _knowledge_links, "forms": _forms_links, "hearing": _hearing_links,
}  # fmt: skip

_EXPECTED = {
    "among-top": ("cause",), "both": ("cause",), "stops": ("safety",), "advise": ("action",), "next": _EITHER,
    "states": ("state",), "no-states": ("state",), "doubts": ("doubt",),
    "present": ("symptom",), "absent": ("symptom",), "unknown": ("symptom",),
    "orders": ("order",), "hides": ("action",), "leaves": ("action",),
}  # fmt: skip


def _case_links(data: Data) -> Iterator[Link]:
    yield from _keys(data.get("symptoms", ()), ("symptoms",), ("symptom",))
    yield from _keys(data.get("readings", ()), ("readings",), ("reading",))
    if "profile" in data.get("equipment", {}):
        yield Link(("equipment", "profile"), ("equipment",), data["equipment"]["profile"])
    if "targets" in data.get("pool", {}):
        yield Link(("pool", "targets"), ("target",), data["pool"]["targets"])
    expect = data.get("expect", {})
    if isinstance(expect.get("first"), str):
        yield Link(("expect", "first"), ("cause",), expect["first"])
    else:
        yield from _each(expect.get("first", ()), ("expect", "first"), ("cause",))
    for key, kinds in _EXPECTED.items():
        yield from _each(expect.get(key, ()), ("expect", key), kinds)
    for key, kind in (("causes", "cause"), ("actions", "action")):
        yield from _each(expect.get("never", {}).get(key, ()), ("expect", "never", key), (kind,))
    if "dose" in expect:
        yield Link(("expect", "dose", "action"), ("action",), expect["dose"]["action"])
    if "targets" in expect:
        yield Link(("expect", "targets"), ("target",), expect["targets"])
    for chemical, limit in expect.get("water", {}).get("refused", {}).items():
        yield Link(("expect", "water", "refused", chemical), ("limit",), limit)
    yield from _each(expect.get("plan", {}).get("actions", ()), ("expect", "plan", "actions"), ("action",))
