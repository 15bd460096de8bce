"""Drafts of reference cases from closed, confirmed calls: what they teach, without who they were.

A draft is made of facts alone: calls that differ in nothing but words, people and dates, and whose numbers come to the
same, give one draft. What a draft may still tell is that its facts are rare: see `Draft.alike`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from saltriage.case import Case
from saltriage.desk.anonymous import anonymous_case
from saltriage.desk.call import Call
from saltriage.desk.writing import write_lines
from saltriage.errors import CaseRefused, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.knowledge.retired import fate_of

__all__ = ["LEAST_ALIKE", "Draft", "Drafts", "draft_text", "drafts_of", "write_drafts"]

LEAST_ALIKE = 5  # calls; the k of k-anonymity (Samarati & Sweeney 1998); 5 is a common choice (both from memory)
ORIGIN = "outcome, anonymised"
_MOST_CAUSES = 3  # that a case can expect: the first three are looked at


@dataclass(frozen=True, slots=True)
class Draft:
    """One draft.

    Args: data: in the shape of a case file, with an empty id and title.    calls: that give this very draft.
    alike: confirmed calls with the same facts, this one counted.    rare: facts that fewer than
    `LEAST_ALIKE` calls have at all.
    """

    data: Mapping[str, Any]
    calls: int
    alike: int
    rare: tuple[str, ...]

    @property
    def is_rare(self) -> bool:
        return self.alike < LEAST_ALIKE


@dataclass(frozen=True, slots=True)
class Drafts:
    """Args: drafts: in an order that tells nothing of the calls'.    left_out: why -> how many calls."""

    drafts: tuple[Draft, ...]
    left_out: Mapping[str, int]


def drafts_of(calls: Iterable[Call], knowledge: Knowledge) -> Drafts:
    """The drafts of all closed, confirmed calls among these; others are passed over.

    Alike are calls with the same confirmed causes, the same signs that are there, and the same pool and equipment, as
    far as a draft tells them. Readings are not compared, nor what is not there.
    """
    left_out: Counter[str] = Counter()
    made: dict[str, tuple[dict[str, Any], frozenset[str]]] = {}
    times: Counter[str] = Counter()
    for call in calls:
        if call.outcome is None or not call.outcome.confirmed:
            continue
        data = _data(call, knowledge, left_out)
        if data is not None:
            key = _body(data)
            made[key] = data, _facts(data)
            times[key] += 1
    whole: Counter[frozenset[str]] = Counter()
    single: Counter[str] = Counter()
    for key, (_, facts) in made.items():
        whole[facts] += times[key]
        single.update(dict.fromkeys(facts, times[key]))
    drafts = [
        Draft(data, times[key], whole[facts], tuple(sorted(each for each in facts if single[each] < LEAST_ALIKE)))
        for key, (data, facts) in sorted(made.items())
    ]
    return Drafts(tuple(drafts), dict(sorted(left_out.items())))


def _data(call: Call, knowledge: Knowledge, left_out: Counter[str]) -> dict[str, Any] | None:
    assert call.outcome is not None, "an open call teaches nothing"
    causes = [_now(each.id, knowledge) for each in call.outcome.confirmed]
    if not all(causes):
        left_out["a confirmed cause is none of these rules any more"] += 1
        return None
    if len(causes) > _MOST_CAUSES:
        left_out[f"more than {_MOST_CAUSES} causes were confirmed"] += 1
        return None
    try:
        facts = anonymous_case(Case.from_data(dict(call.case), knowledge), knowledge)
        Case.from_data(facts, knowledge)
    except CaseRefused:
        left_out["the rules do not believe its numbers, or no longer know its ids"] += 1
        return None
    if not (facts.get("symptoms") or facts.get("readings")):
        left_out["nothing but words was told"] += 1
        return None
    story = f"Draft. Origin: {ORIGIN}. Confirmed by: {call.outcome.how}."
    return {"case": "", "title": "", "story": story, **facts, "expect": _expected(causes)}


def _now(cause: str, knowledge: Knowledge) -> str:
    if cause in knowledge.causes:
        return cause
    fate = fate_of("cause", cause, knowledge)
    return fate.now if fate is not None else ""


def _expected(causes: Sequence[str]) -> dict[str, Any]:
    named = sorted(set(causes))
    if len(named) == 1:
        return {"first": named[0]}
    return {"both" if len(named) == 2 else "among-top": named}


def _facts(data: Mapping[str, Any]) -> frozenset[str]:
    """What calls are compared by, as words for people: 'cause salt-too-low', 'tingle', 'surface vinyl'."""
    causes = (each for value in data["expect"].values() for each in ([value] if isinstance(value, str) else value))
    there = (symptom for symptom, answer in data.get("symptoms", {}).items() if answer == "yes")
    kinds = (
        f"{key} {value}"
        for part in ("pool", "equipment")
        for key, value in data.get(part, {}).items()
        if isinstance(value, str)
    )
    products = (f"{key} {each['product']}" for key, each in data.get("products", {}).items())
    return frozenset((*(f"cause {each}" for each in causes), *there, *kinds, *products))


def write_drafts(drafts: Sequence[Draft], folder: Path) -> None:
    """Write draft-1.yaml and so on, for their owner alone.

    Raises: UsageRefused: something is in the folder already.    OSError: it cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageRefused(f"{folder}: something is there already; name a new folder, or an empty one")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    digits = len(str(len(drafts)))
    for number, draft in enumerate(drafts, 1):
        write_lines(folder / f"draft-{number:0{digits}}.yaml", [draft_text(draft)])


def _body(data: Mapping[str, Any]) -> str:
    return yaml.safe_dump(dict(data), sort_keys=False, allow_unicode=True, width=100)


def draft_text(draft: Draft) -> str:
    """The draft as a YAML file, with what is left to do in comments."""
    head = [
        f"# DRAFT of a reference case. Origin: {ORIGIN}. It does not pass the check until it has an id and a title.",
        "# Read it with the eyes of somebody who knows the pool, and change or drop what would tell it.",
    ]
    if draft.is_rare:
        head.append(f"# RARE: fewer than {LEAST_ALIKE} confirmed calls of the desk are alike.")
        if draft.rare:
            head.append(f"# Rare by themselves: {', '.join(draft.rare)}.")
    return "\n".join(head) + "\n" + _body(draft.data)
