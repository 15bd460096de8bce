"""Checked data of rule files -> Knowledge.

Only data that passed the check comes here; a mistake in it is a bug of the check.
"""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from saltriage.conditions.condition import condition_from_data
from saltriage.conditions.nodes import Bound, ReadingBound
from saltriage.knowledge import build_settings
from saltriage.knowledge.build_doing import built_action, built_order, built_plan, built_safety
from saltriage.knowledge.build_limit import built_limit
from saltriage.knowledge.build_parts import Data, condition, head, number, some_wording, wording
from saltriage.knowledge.model import (
    Allowed,
    Ask,
    Cause,
    Cure,
    Doubt,
    Edition,
    Equipment,
    HearingRule,
    Knowledge,
    LookAlike,
    Method,
    Range,
    ReadingRule,
    Rule,
    Settle,
    Source,
    State,
    Symptom,
    Target,
)

__all__ = ["Files", "fingerprint", "knowledge_from_files"]

Files = Mapping[str, Data]
"""Path below the folder of rules (with /) -> what the file says."""


def knowledge_from_files(files: Files, known_fingerprint: str = "") -> Knowledge:
    """The knowledge in these files.

    Args:
        files: every rule file, knowledge.yaml and sources.yaml among them.
        known_fingerprint: of the same files, where it is at hand; else it is computed.
    """
    rules: dict[str, dict[str, Any]] = {folder: {} for folder in _READERS}
    retired: dict[str, Rule] = {}
    for path in sorted(files, key=lambda path: path.rpartition("/")[2]):
        folder, _, rest = path.partition("/")
        if not rest:
            continue
        read, kind = _READERS[folder]
        data = files[path]
        rule = read(data, path)
        if data["status"] == "retired":
            retired[f"{kind}/{rule.id}"] = rule
        else:
            rules[folder][rule.id] = rule
    about = files["knowledge.yaml"]
    sources = {
        id: Source(id, data["kind"], data["cite"], data.get("note", "")) for id, data in files["sources.yaml"].items()
    }
    return Knowledge(
        version=about["version"],
        changed=about["changed"],
        title=about.get("title", ""),
        fingerprint=known_fingerprint or fingerprint(files),
        scales=build_settings.scales(about["scales"]),
        kinds=build_settings.kinds(about["symptom-kinds"]),
        asking=build_settings.asking(about["asking"]),
        advising=build_settings.advising(about["advising"]),
        dosing=build_settings.dosing(about["dosing"]),
        learning=build_settings.learning(about["learning"]),
        pictures=build_settings.pictures(files["pictures.yaml"]),
        emergency=build_settings.emergency(files["emergency.yaml"]),
        forms=build_settings.forms(files["forms.yaml"]),
        forecast=build_settings.forecast(files["forecast.yaml"]),
        sources=dict(sorted(sources.items())),
        retired=retired,
        accounts=None,
        **rules,
    )


def fingerprint(files: Files) -> str:
    """Sha256 of what the files say, as sorted JSON without spaces; comments, order and layout do not count."""
    canonical = json.dumps(files, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def _ask(data: Data | None) -> Ask | None:
    if data is None:
        return None
    return Ask(
        wording(data),
        float(data["minutes"]),
        data["risk"],
        data.get("together", ""),
        data.get("needs", ""),
        data.get("who", "owner"),
        build_settings.picture(data.get("picture")),
    )


def _symptom(data: Data, path: str) -> Symptom:
    return Symptom(
        **head(data, path),
        kind=data["kind"],
        background=data["background"],
        circumstance=data.get("circumstance", False),
        silence_counts=data.get("silence-counts", False),
        ask=_ask(data.get("ask")),
        derived=condition(data, "derived", path),
        follow_up=build_settings.answer_after_dose(data.get("follow-up")),
        phrases=tuple(data.get("phrases", ())),
    )


def _method(id: str, data: Data) -> Method:
    absolute = data["absolute"]["value"] if "absolute" in data else 0.0
    return Method(id, data["title"], float(data.get("relative", 0.0)), float(absolute))


def _reading(data: Data, path: str) -> ReadingRule:
    return ReadingRule(
        **head(data, path),
        quantity=data["quantity"],
        unit=data["unit"],
        allowed=Allowed(float(data["allowed"]["low"]), float(data["allowed"]["high"]), data["allowed"]["because"]),
        role=data["role"],
        methods={id: _method(id, method) for id, method in data.get("methods", {}).items()},
        ask=_ask(data.get("ask")),
        computed=data.get("computed", ""),
        also_told=data.get("also-told", False),
        asked_in=data.get("asked-in", ""),
        target_of=data.get("target-of", ""),
        taken_as=float(data["taken-as"]["value"]) if "taken-as" in data else None,
        follow_up=build_settings.reading_after_dose(data.get("follow-up")),
        phrases=tuple(data.get("phrases", ())),
        without_method=_method("", {"title": "", **data["without-method"]}) if "without-method" in data else None,
    )


def _settle(data: Data) -> Settle:
    return Settle(tuple(data["by"]), wording(data["how"]))


def _cures(data: Sequence[Data]) -> tuple[Cure, ...]:
    return tuple(Cure(action["do"], action["cures"], some_wording(action.get("why"))) for action in data)


def _state(data: Data, path: str) -> State:
    return State(
        **head(data, path),
        area=data["area"],
        proof=condition_from_data(data["proof"], f"{path}: proof"),
        measure=data.get("measure", ""),
        explain=wording(data["explain"]),
        background=data["background"],
        shows=dict(sorted(data.get("shows", {}).items())),
        settle=_settle(data["settle"]),
        if_left=wording(data["if-left"]),
        actions=_cures(data.get("actions", ())),
    )


def _cause(data: Data, path: str) -> Cause:
    return Cause(
        **head(data, path),
        area=data["area"],
        part=data.get("part", ""),
        explain=wording(data["explain"]),
        common=data["common"],
        applies=condition(data, "applies", path),
        brings=dict(sorted(data.get("brings", {}).items())),
        shows=dict(sorted(data["shows"].items())),
        look_alikes=tuple(LookAlike(look["cause"], look["split-by"], look["how"]) for look in data["look-alikes"]),
        settle=_settle(data["settle"]),
        actions=_cures(data["actions"]),
        who=data["who"],
        hazard=data["hazard"],
        harmless=data.get("harmless", False),
        covered_by=data.get("covered-by", ""),
    )


def _doubt(data: Data, path: str) -> Doubt:
    return Doubt(
        **head(data, path),
        when=condition_from_data(data["when"], f"{path}: when"),
        withdraws=tuple(data["withdraws"]),
        because=wording(data["because"]),
        instead=data["instead"],
        strength=data["strength"],
    )


def _equipment(data: Data, path: str) -> Equipment:
    settings = {id: number(told) for id, told in sorted(data["settings"].items())}
    return Equipment(
        **head(data, path),
        settings=settings,
        describe=wording(data["describe"]),
        stands_in=data.get("stands-in", False),
    )


def _range_end(data: Data | None) -> Bound | None:
    if data is None:
        return None
    return ReadingBound(data["reading"]) if "reading" in data else number(data)


def _ranges(data: Data) -> dict[str, Range]:
    return {id: Range(_range_end(ends.get("low")), _range_end(ends.get("high"))) for id, ends in data.items()}


def _target(data: Data, path: str) -> Target:
    return Target(
        **head(data, path),
        use=data["use"],
        applies=condition(data, "applies", path),
        edition=Edition(**data["edition"]),
        ranges=_ranges(data["ranges"]),
        closes=_ranges(data.get("closes", {})),
        guidance=data["guidance"],
    )


_OF_EVERY_RULE = frozenset(
    ("id", "version", "changed", "status", "replaced-by", "retired-because", "title", "sources", "order", "examples")
)


def _hearing(data: Data, path: str) -> HearingRule:
    says = {key: part for key, part in data.items() if key not in _OF_EVERY_RULE}
    return HearingRule(**head(data, path), order=data["order"], says=says, examples=tuple(data["examples"]))


_READERS: dict[str, tuple[Callable[[Data, str], Any], str]] = {
    "symptoms": (_symptom, "symptom"), "readings": (_reading, "reading"), "states": (_state, "state"),
    "causes": (_cause, "cause"),
    "doubts": (_doubt, "doubt"), "actions": (built_action, "action"), "safety": (built_safety, "safety"),
    "orders": (built_order, "order"), "equipment": (_equipment, "equipment"),
    "targets": (_target, "target"), "limits": (built_limit, "limit"), "plans": (built_plan, "plan"),
    "hearing": (_hearing, "hearing"),
}  # fmt: skip
