"""What a rule means beside other rules: names, look-alikes, decisive tests, safety, calculators, circles."""

from collections.abc import Iterator
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter
from typing import Any

from saltriage.knowledge.edits import ordered, schema_line, written_anew
from saltriage.knowledge.findings import Finding, finding_at, nearest, words_allowed
from saltriage.knowledge.meaning_conditions import readings_behind, reads_computed, symptoms_in
from saltriage.knowledge.places import Document, Place
from saltriage.knowledge.rule_files import SINGLE, Base, RuleFile
from saltriage.knowledge.schemas import key_order
from saltriage.knowledge.ways import with_states

__all__ = ["findings"]

WORDS_SAID_FIRST = 40  # ten seconds at 238 words a minute (Brysbaert 2019, from memory)


def findings(base: Base) -> Iterator[Finding]:
    singles = [rule for kind in SINGLE.values() for rule in base.of(kind).values()]
    cases = list(base.all_cases())
    for rule in [*base.all_kept(), *singles, *cases]:
        yield from _form(rule, base)
    invented = {
        id for file in base.sound("sources") for id, source in file.data.items() if source["kind"] == "invented"
    }
    for rule in base.all_kept():
        yield from _names(rule, base)
        yield from _invented(rule, invented)
    for case in cases:
        if case.data:
            yield from _case(case, base)
    for cause in base.kept("cause"):
        if cause.data.get("status") != "retired":
            yield from _look_alikes(cause, base)
            yield from _settle(cause, base)
            yield from _stop(cause, base)
    for action in base.kept("action"):
        yield from _safety(action, base)
    for stop in base.kept("safety"):
        yield from _rescue(stop, base)
    yield from _calculators(base)
    yield from _circles(base)


def _form(rule: RuleFile, base: Base) -> Iterator[Finding]:
    if rule.document is None or rule.file.endswith(".json"):
        return
    wanted = f"# yaml-language-server: $schema={'../' * _depth(rule)}schemas/{rule.kind}.schema.json"
    first = rule.document.lines[0]
    if first.rstrip() != wanted:
        place = Place(1, 1, len(first))
        mend = f"Begin the file with: {wanted}"
        found = finding_at(
            "R030", rule.file, place, "The first line does not name the schema.", mend, lines=rule.document.lines
        )
        yield replace(found, edit=schema_line(wanted, rule.document))
    if rule.kind != "sources":
        yield from _order(rule, rule.document, base)


def _order(rule: RuleFile, document: Document, base: Base) -> Iterator[Finding]:
    order = [key for key in key_order(rule.kind, base.schemas) if key in rule.data]
    for key, expected in zip(rule.data, order, strict=True):
        if key != expected:
            mend = words_allowed("Order", order, 40)
            message = f'"{key}" stands where "{expected}" comes first.'
            found = rule.finding("R031", (key,), message, mend, at_key=True)
            yield replace(found, edit=ordered(document, order) if rule.is_sound else None)
            return


def _depth(rule: RuleFile) -> int:
    """How many folders up the schemas' parent is."""
    if rule.kind == "case":
        return 2 + len([part for part in rule.area.split("/") if part])
    return 1 if rule.kind in SINGLE.values() else 3 if rule.kind == "cause" else 2


def _names(rule: RuleFile, base: Base) -> Iterator[Finding]:
    if rule.data.get("id", rule.id) != rule.id:
        mend = f'Write "{rule.id}", or name the file {rule.data["id"]}.yaml.'
        yield _id_as_file_name(rule, "id", mend)
    if rule.kind == "cause" and rule.area and rule.data.get("area", rule.area) != rule.area:
        mend = f'Write "{rule.area}", or move the file to causes/{rule.data["area"]}/.'
        yield rule.finding(
            "R033", ("area",), f'The area is "{rule.data["area"]}" but the file lies in causes/{rule.area}/.', mend
        )
    if rule.kind == "reading" and rule.id in base.of("symptom"):
        yield rule.finding(
            "R036", ("id",), f'"{rule.id}" is also the id of a symptom.', "Give one of them another id and file name."
        )
    if "replaced-by" in rule.data and rule.id in (ring := _successors(rule, base)):
        told = f" in the end: {' -> '.join([rule.id, *ring])}" if len(ring) > 1 else ""
        yield rule.finding("R054", ("replaced-by",), f"The rule replaces itself{told}.", "Name another rule.")


def _successors(rule: RuleFile, base: Base) -> list[str]:
    """The rules that took its place, one after the other, up to the last or to one that comes again."""
    found: list[str] = []
    data: dict[str, Any] | None = rule.data
    while data and (now := data.get("replaced-by")) and now not in found:
        found.append(now)
        data = base.data(rule.kind, now)
    return found


def _id_as_file_name(rule: RuleFile, key: str, mend: str) -> Finding:
    found = rule.finding("R032", (key,), f'The id "{rule.data[key]}" is not the name of the file.', mend)
    document = rule.document
    edit = written_anew(rule.data[key], rule.id, document.place((key,)), document) if document else None
    return replace(found, edit=edit)


def _invented(rule: RuleFile, invented: set[str]) -> Iterator[Finding]:
    for n, id in enumerate(rule.data.get("sources", ())):
        if id in invented and rule.kind != "equipment":
            message = f'The source "{id}" is invented for the demo.'
            yield rule.finding("R062", ("sources", n), message, "Name what the rule rests on.")


def _case(case: RuleFile, base: Base) -> Iterator[Finding]:
    needed = ("case", "title", "expect") if case is (base.cases or {}).get(case.id) else ("case", "title")
    for key in needed:
        if key not in case.data and key not in case.cut:
            yield case.finding("R020", (), f'The key "{key}" is missing.', f"It has {', '.join(needed)}.", at_key=True)
    if case.data.get("case", case.id) != case.id:
        mend = f'Write "{case.id}", or name the file {case.data["case"]}.yaml.'
        yield _id_as_file_name(case, "case", mend)
    for id, reading in case.data.get("readings", {}).items():
        rule = base.data("reading", id)
        if (
            rule
            and isinstance(reading, dict)
            and "method" in reading
            and reading["method"] not in rule.get("methods", {})
        ):
            allowed = list(rule.get("methods", {}))
            mend = nearest(reading["method"], allowed) + (
                words_allowed("Methods", allowed) if allowed else "It is not measured; leave the method out."
            )
            yield case.finding(
                "R040", ("readings", id, "method"), f'The reading {id} has no method "{reading["method"]}".', mend
            )
    for n, id in enumerate(case.data.get("expect", {}).get("stops", ())):
        safety = base.data("safety", id)
        if safety and safety["kind"] != "stop":
            yield case.finding(
                "R061",
                ("expect", "stops", n),
                f'"{id}" is a note, not a stop rule.',
                "Name a rule of safety/ with kind stop.",
            )


def _all_shown(cause: dict[str, Any], base: Base) -> dict[str, str]:
    """What a cause shows by itself and by way of the states it brings about."""
    brings = cause.get("brings", {})
    states = {
        id: {**dict.fromkeys(sorted(symptoms_in([data["proof"]])), "always"), **data.get("shows", {})}
        for id in brings
        if (data := base.data("state", id)) and "proof" in data
    }
    return with_states(cause["shows"], brings, states)


def _look_alikes(cause: RuleFile, base: Base) -> Iterator[Finding]:
    for n, look in enumerate(cause.data.get("look-alikes", ())):
        if look["cause"] == cause.id:
            yield cause.finding(
                "R054", ("look-alikes", n, "cause"), "The cause is named as its own look-alike.", "Name another cause."
            )
            continue
        other = base.data("cause", look["cause"])
        if other is None or "shows" in cause.cut:
            continue
        mine, theirs = _all_shown(cause.data, base), _all_shown(other, base)
        if not set(mine) & set(theirs):
            mend = words_allowed(f"{look['cause']} shows", list(theirs), 8)
            yield cause.finding(
                "R053", ("look-alikes", n, "cause"), f'"{look["cause"]}" shares no symptom with this cause.', mend
            )
        split = look["split-by"]
        if split in base.of("symptom") and mine.get(split) == theirs.get(split):
            how = f"{mine[split]} in both" if split in mine else "by neither"
            mend = "Split by what one of the two shows more often."
            yield cause.finding("R055", ("look-alikes", n, "split-by"), f'"{split}" is shown {how}.', mend)


def _settle(cause: RuleFile, base: Base) -> Iterator[Finding]:
    if {"shows", "applies"} & cause.cut:
        return  # what is cut away may be what it is settled by
    shown = list(_all_shown(cause.data, base))
    conditions = [data["derived"] for id in shown if (data := base.data("symptom", id)) and "derived" in data]
    if "applies" in cause.data:
        conditions.append(cause.data["applies"])
    behind = readings_behind(conditions, base)
    # What a computed reading is computed from is known to the engine only, so any reading may stand behind it.
    open_ended = reads_computed(behind, base)
    for n, id in enumerate(cause.data.get("settle", {}).get("by", ())):
        if id in base.of("symptom") and id not in shown and id not in symptoms_in(conditions):
            mend = nearest(id, shown) + words_allowed("It shows", shown, 12)
            yield cause.finding("R052", ("settle", "by", n), f'The cause does not show "{id}".', mend)
        elif id in base.of("reading") and id not in behind and not open_ended:
            mend = "Let it show a symptom derived from this reading, or settle it by another one."
            yield cause.finding(
                "R052", ("settle", "by", n), f'No symptom it shows is derived from the reading "{id}".', mend
            )


def _stop(cause: RuleFile, base: Base) -> Iterator[Finding]:
    if "covered-by" not in cause.data:
        return
    stop = base.data("safety", cause.data["covered-by"])
    if stop is None:
        return
    if stop["kind"] != "stop":
        yield cause.finding(
            "R050",
            ("covered-by",),
            f'"{stop["id"]}" is a note, not a stop rule.',
            "Name a rule of safety/ with kind stop.",
        )
        return
    actions = [action["do"] for action in cause.data.get("actions", ())]
    if actions and not any(_is_left(base.data("action", action), stop, base) for action in actions):
        message = f'While the stop rule "{stop["id"]}" stands none of the actions may be shown.'
        mend = "Let one of them call the one who repairs it, or be what an order of the stop rule asks for."
        yield cause.finding("R051", ("actions", 0, "do"), message, mend)


def _is_left(action: dict[str, Any] | None, stop: dict[str, Any], base: Base) -> bool:
    """Whether a stop rule leaves an action, or asks for it; what is not sound is looked at elsewhere."""
    if action is None:
        return True
    orders = (base.data("order", order) for order in stop.get("demands", ()))
    if any(order is not None and order.get("action") == action["id"] for order in orders):
        return True
    if action["job"] == stop["call"]:
        return True
    levels = {"life": ("life",), "harm": ("life", "harm"), "unfit": ("life", "harm", "unfit")}
    free = action["under"] in levels[stop["level"]]
    return free and not {*action["touches"]} & {*stop["forbids"]} and not {*action["moves"]} & {*stop["forbids-moves"]}


def _rescue(stop: RuleFile, base: Base) -> Iterator[Finding]:
    """A danger to life gives an order that saves, and what is said first is short."""
    data = stop.data
    if data.get("kind") != "stop":
        return
    orders = [base.data("order", order) for order in data.get("demands", ())]
    if data.get("level") == "life" and None not in orders and not any(order and order["rescue"] for order in orders):
        mend = "Demand an order whose `rescue` is true, such as leaving, calling or switching off from afar."
        yield stop.finding("R067", ("demands",), "A danger to life gives no order that saves anybody.", mend)
    said = data.get("say", {}).get("owner", "")
    if len(said.split()) > WORDS_SAID_FIRST:
        message = f"{len(said.split())} words are said first."
        yield stop.finding("R068", ("say", "owner"), message, f"At most {WORDS_SAID_FIRST}: the act, then the call.")


def _safety(action: RuleFile, base: Base) -> Iterator[Finding]:
    data = action.data
    reason = ("adds", f"adds {data['adds']}") if data.get("adds", "none") != "none" else None
    reason = reason or (("opens-equipment", "opens equipment") if data.get("opens-equipment") else None)
    reason = reason or (("risk", "has risk caution") if data.get("risk") == "caution" else None)
    if reason and not data.get("safety") and "safety" not in action.cut:
        key, does = reason
        yield action.finding(
            "R049",
            (key,),
            f"The action {does} but names no safety note.",
            "Add safety: [ids of notes in safety/].",
            at_key=True,
        )
    for n, id in enumerate(data.get("safety", ())):
        note = base.data("safety", id)
        if note and note["kind"] != "note":
            yield action.finding(
                "R061", ("safety", n), f'"{id}" is a stop rule, not a note.', "Name a rule of safety/ with kind note."
            )


def _calculators(base: Base) -> Iterator[Finding]:
    if base.calculators is None:
        return
    named: list[tuple[RuleFile, tuple[str, ...], Any]] = [
        *((rule, ("computed",), rule.data["computed"]) for rule in base.kept("reading") if "computed" in rule.data),
        *(
            (rule, ("dose", "calculator"), rule.data["dose"]["calculator"])
            for rule in base.kept("action")
            if "dose" in rule.data
        ),
    ]
    known = sorted(base.calculators)
    for rule, path, name in named:
        if name not in base.calculators:
            mend = nearest(name, known) + words_allowed("Registered", known)
            yield rule.finding("R057", path, f'No calculator is named "{name}".', mend)


def _circles(base: Base) -> Iterator[Finding]:
    uses = {rule.id: symptoms_in([rule.data["derived"]]) for rule in base.sound("symptom") if "derived" in rule.data}
    sorter = TopologicalSorter({id: sorted(others & set(uses)) for id, others in uses.items()})
    try:
        sorter.prepare()
    except CycleError as reason:
        circle = list(reversed(reason.args[1]))
        first = min(circle)
        turn = circle.index(first)
        ring = [*circle[turn:-1], *circle[:turn], first] if turn else circle
        yield base.of("symptom")[first].finding(
            "R045",
            ("derived",),
            f"It is derived from itself: {' -> '.join(ring)}.",
            "Take one of these references out.",
            at_key=True,
        )
