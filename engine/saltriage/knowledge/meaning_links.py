"""References: every id a rule or case speaks of exists, is of the right kind, is not retired, and is used."""

from collections.abc import Iterator

from saltriage.knowledge.findings import Finding, nearest
from saltriage.knowledge.rule_files import Base, RuleFile
from saltriage.knowledge.rule_links import Link, links

__all__ = ["findings"]

_FOUND_BELOW = {
    "symptom": "symptoms/", "reading": "readings/", "state": "states/", "cause": "causes/", "action": "actions/",
    "safety": "safety/", "order": "orders/",
    "doubt": "doubts/", "equipment": "equipment/", "target": "targets/", "source": "sources.yaml",
    "case": "cases/reference/",
}  # fmt: skip
# Rules that work by themselves; a reading may serve a calculator only.
_MAY_BE_UNUSED = ("state", "cause", "doubt", "equipment", "target", "plan", "reading", "source", "case")


def findings(base: Base) -> Iterator[Finding]:
    known = _known(base)
    used: set[tuple[str, str]] = set()
    for rule in [
        *base.all_kept(),
        *base.singles(),
        *base.all_cases(),
    ]:
        for link in links(rule):
            if any(kind not in known for kind in link.kinds):
                continue
            if rule.kind != "case":
                used |= {(kind, link.id) for kind in link.kinds if link.id != rule.id or kind != rule.kind}
            yield from _followed(rule, link, base, known)
    if all(rule.is_sound for rules in base.rules.values() for rule in rules.values()):
        yield from _unused(base, used)  # else the rule that uses it may be the one that could not be read


def _known(base: Base) -> dict[str, list[str]]:
    """Ids by kind; the kind `case` is left out where cases are not looked at."""
    known = {kind: list(base.of(kind)) for kind in _FOUND_BELOW if kind not in ("source", "case")}
    known["source"] = [key for file in base.of("sources").values() for key in file.data]
    if base.cases is not None:
        known["case"] = list(base.cases)
    return known


def _followed(rule: RuleFile, link: Link, base: Base, known: dict[str, list[str]]) -> Iterator[Finding]:
    allowed = [id for kind in link.kinds for id in known[kind]]
    if link.id not in allowed:
        code = {"source": "R041", "case": "R042"}.get(link.kinds[0], "R040")
        kinds = " or ".join(link.kinds)
        where = " or ".join(_FOUND_BELOW[kind] for kind in link.kinds)
        mend = f"{nearest(link.id, allowed)}Known ones are in {where}."
        yield rule.finding(code, link.path, f'No {kinds} has the id "{link.id}".', mend, at_key=link.at_key)
        return
    for kind in link.kinds:
        data = base.data(kind, link.id)
        if data and data.get("status") == "retired" and rule.data.get("status") != "retired":
            mend = f'Use "{data["replaced-by"]}" in its place.' if "replaced-by" in data else "Take it out."
            yield rule.finding("R043", link.path, f'The {kind} "{link.id}" is retired.', mend, at_key=link.at_key)


def _unused(base: Base, used: set[tuple[str, str]]) -> Iterator[Finding]:
    for kind in _FOUND_BELOW:
        if kind in _MAY_BE_UNUSED:
            continue
        for rule in base.sound(kind):
            is_stop = kind == "safety" and rule.data["kind"] == "stop"
            if (kind, rule.id) not in used and rule.data["status"] != "retired" and not is_stop:
                yield rule.finding(
                    "R056", ("id",), f'No rule uses the {kind} "{rule.id}".', "Refer to it from a rule, or retire it."
                )
    for file in base.of("sources").values():
        for id in file.data:
            if ("source", id) not in used:
                yield file.finding(
                    "R056",
                    (id,),
                    f'No rule uses the source "{id}".',
                    "Refer to it from a rule, or remove it.",
                    at_key=True,
                )
