"""What the operations on kept calls do: plain data in, plain data out. Dangers open every answer that holds a call."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from saltriage.case import Case, case_to_data
from saltriage.desk.call import Call, CallOutcome, Person
from saltriage.desk.clean import LONGEST, clean_text
from saltriage.desk.closing import OutcomeTold, outcome_told
from saltriage.desk.desk import Desk
from saltriage.desk.forms import call_data
from saltriage.desk.listed import DueLine, ListedCall
from saltriage.desk.seeing import note_listed, note_searched, note_seen
from saltriage.desk.taking import call_of
from saltriage.desk.times import end_of_today, is_moment, now, start_of_today
from saltriage.errors import CallChanged, CallClosed, CallMissing, UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.web.desk_view import short_words
from saltriage.web.kept_desk import Acting
from saltriage.web.problems import Problem

__all__ = ["about", "called", "closed", "listed", "looked", "noted", "reopened", "saved", "searched"]

FORMAT = 1
_NAME = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_UNSHOWN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]")
_EARLIER = 20  # earlier calls of a caller that are shown; nobody reads more while he is on the line


def about(desk: Desk, who: Acting, knowledge: Knowledge) -> dict[str, Any]:
    """Who works here, and how many calls of today, open ones and due ones there are."""
    counts = {
        "today": len(desk.since(start_of_today())),
        "open": len(desk.open()),
        "due": len({each.call.number for each in desk.due(end_of_today())}),
    }
    return {"format": FORMAT, "agent": who.name, "role": who.role, "signed-in": who.signed_in, **counts}


def listed(desk: Desk, who: Acting, which: str, knowledge: Knowledge) -> dict[str, Any]:
    """Calls of today, open ones, all, or those to be followed up by tonight with what is due of them."""
    if which == "due":
        lines = _due_lines(desk.due(end_of_today()), knowledge)
    else:
        lists = {"today": lambda: desk.since(start_of_today()), "open": desk.open, "all": desk.newest}
        found = lists[which]()
        lines = [_line(each, knowledge) for each in found]
    note_listed(desk.connected, who.name, which, len(lines))
    return {"format": FORMAT, "calls": lines}


def searched(desk: Desk, who: Acting, sent: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Calls by words, by the number of a caller with who he was, or by a cause."""
    people: dict[tuple[str, ...], dict[str, Any]] = {}
    if "phone" in sent:
        found = desk.lines_from(sent["phone"])
        for each in found:
            key = (each.name.casefold(), each.address.casefold())
            told = people.setdefault(key, {"name": each.name, "phone": each.phone, "address": each.address, "calls": 0})
            told["calls"] += 1
    else:
        found = desk.of_cause(_plain(sent["cause"])) if "cause" in sent else desk.find(sent["words"])
    note_searched(desk.connected, who.name, len(found))
    return {"format": FORMAT, "calls": [_line(each, knowledge) for each in found], "people": list(people.values())}


def called(desk: Desk, who: Acting, name: str, knowledge: Knowledge) -> dict[str, Any]:
    """A whole call with the earlier ones of its caller. That it was seen is kept in the trail."""
    return _seen(desk, who, desk.call(_number(desk, name)), knowledge)


def saved(desk: Desk, who: Acting, name: str, sent: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Keep the state of a call. Raises: CaseRefused.    Problem: somebody was quicker, with what he changed."""
    if not _NAME.fullmatch(name):
        raise Problem("request-refused", "The name of a call is a UUID in small letters, made by who keeps it first.")
    fresh = _fresh(desk, who, name, sent, knowledge)
    try:
        kept = desk.save(fresh, who.name, sent["seen"])
    except CallChanged as late:
        changes = [
            {"at": each.at, "who": each.who, "did": each.did, "fields": [what for what in each.what if " " not in what]}
            for each in desk.changes(late.number, sent["seen"])
        ]
        current = _seen(desk, who, desk.call(late.number), knowledge)
        told = f"It has version {late.now} now; yours began with {late.seen}, and nothing of it was written."
        raise Problem("call-changed", told, more={"now": late.now, "changes": changes, "call": current}) from None
    # Who sends what is kept already changes nothing, and is given what others wrote beside it.
    return _whole(desk, kept, knowledge) if _changed_by(desk, kept) == who.name else _seen(desk, who, kept, knowledge)


def _fresh(desk: Desk, who: Acting, name: str, sent: Mapping[str, Any], knowledge: Knowledge) -> Call:
    """The call as it was sent, diagnosed unless its case is the one that is kept."""
    case = Case.from_data(sent["case"], knowledge)
    person = Person(**{key: _plain((sent["person"] or {}).get(key, "")) for key in ("name", "phone", "address")})
    beside: dict[str, Any] = {
        "uid": name,
        "person": None if person == Person() else person,
        "minutes": float(sent.get("minutes", 0.0)),
        "questions": sent.get("questions", 0),
        "asked": tuple(dict.fromkeys(each for each in sent.get("asked", ()) if each in knowledge.symptoms)),
        "ring_back": _moment(sent.get("ring-back", ""), "ring-back"),
        "sheet": _shown(sent["sheet"]) if sent.get("sheet") else None,
    }
    try:
        kept = desk.call(desk.number_of(name))
    except CallMissing:
        kept = None
    if kept is not None and kept.case == case_to_data(case):
        return replace(kept, **beside)
    begun = min(_moment(sent.get("begun", ""), "begun") or now(), now())
    return replace(call_of(case, knowledge, who.name), taken=begun, **beside)


def noted(desk: Desk, who: Acting, name: str, sent: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Add a note; the same of the same agent is kept once."""
    text = clean_text(sent["text"], "text", LONGEST, lines=True)
    call = desk.call(_number(desk, name))
    if any(each.by == who.name and each.text == text for each in call.notes):
        return _seen(desk, who, call, knowledge)
    return _whole(desk, desk.note(call.number, text, who.name), knowledge)


def closed(desk: Desk, who: Acting, name: str, sent: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Close a call with what came of it; the same outcome again is kept once."""
    told = OutcomeTold(
        sent.get("causes", ()), sent.get("how"), sent.get("cured-by", ()), sent.get("failed", ()),
        clean_text(sent.get("remark", ""), "remark", LONGEST, lines=True),
    )  # fmt: skip
    outcome = outcome_told(told, who.name, knowledge)
    call = desk.call(_number(desk, name))
    try:
        call = desk.close(call.number, outcome, sent.get("seen"))
    except (CallClosed, CallChanged):
        call = desk.call(call.number)
        if not _is_same(call.outcome, outcome):
            raise
        return _seen(desk, who, call, knowledge)
    return _whole(desk, call, knowledge)


def _is_same(kept: CallOutcome | None, told: CallOutcome) -> bool:
    return kept is not None and replace(kept, closed=told.closed) == told


def reopened(desk: Desk, who: Acting, name: str, knowledge: Knowledge) -> dict[str, Any]:
    """Take the outcome back; a call that is open stays so."""
    call = desk.call(_number(desk, name))
    if call.is_open:
        return _seen(desk, who, call, knowledge)
    return _whole(desk, desk.reopen(call.number, who.name), knowledge)


def looked(desk: Desk, who: Acting, name: str, knowledge: Knowledge) -> dict[str, Any]:
    """Tick off what is due of a call by tonight, its ringing back as well; nothing due is no fault."""
    number = _number(desk, name)
    try:
        call, _ = desk.looked(number, who.name, end_of_today())
    except CallMissing:
        raise
    except UsageRefused:
        return _seen(desk, who, desk.call(number), knowledge)
    return _whole(desk, call, knowledge)


# Forms


def _seen(desk: Desk, who: Acting, call: Call, knowledge: Knowledge) -> dict[str, Any]:
    """A whole call for who changed nothing of it, and so left no line in the trail yet."""
    note_seen(desk.connected, call.number, who.name)
    return _whole(desk, call, knowledge)


def _whole(desk: Desk, call: Call, knowledge: Knowledge) -> dict[str, Any]:
    phone = call.person.phone if call.person else ""
    earlier = [each for each in desk.lines_from(phone) if each.number != call.number] if phone else []
    return {
        "format": FORMAT,
        "stops": plain_data(call.last.stops),
        "orders": plain_data(call.last.orders),
        "number": call.number,
        "title": call.title,
        "is-open": call.is_open,
        "changed-by": _changed_by(desk, call),
        **call_data(call),
        "earlier": [_line(each, knowledge) for each in earlier[:_EARLIER]],
    }


def _changed_by(desk: Desk, call: Call) -> str:
    """Who made this version."""
    return next((each.who for each in reversed(desk.changes(call.number, call.version - 1))), call.by)


def _due_lines(due: Sequence[DueLine], knowledge: Knowledge) -> list[dict[str, Any]]:
    """A line for each call, with all that is due of it."""
    found: dict[int, dict[str, Any]] = {}
    for each in due:
        line = found.setdefault(each.call.number, {**_line(each.call, knowledge), "promised": []})
        line["promised"].append({"title": each.due.title, "see": each.due.see, "due": each.due.due})
    return list(found.values())


def _line(each: ListedCall, knowledge: Knowledge) -> dict[str, Any]:
    leading = knowledge.causes[each.leading].title if each.leading in knowledge.causes else each.leading
    return {
        "number": each.number,
        "uid": each.uid,
        "taken": each.taken,
        "by": each.by,
        "version": each.version,
        "name": each.name,
        "phone": each.phone,
        "title": each.title,
        "danger": each.danger,
        "leading": leading,
        "short": short_words(leading),
        "is-open": each.is_open,
        "ring-back": each.ring_back,
        "confirmed": list(each.confirmed),
        "cured": list(each.cured),
    }


def _number(desk: Desk, name: str) -> int:
    """Raises: CallMissing."""
    return int(name) if name.isdecimal() and len(name) < 10 else desk.number_of(_plain(name))


def _moment(told: str, what: str) -> str:
    if told and not is_moment(told):
        raise UsageRefused(f"{what}: {told[:40]!r} is no moment; write it as 2026-11-30T14:05:00Z", what)
    return told


def _plain(text: str) -> str:
    """One line of signs that can be shown; what is typed is never refused for a sign that was pasted with it."""
    return " ".join(_UNSHOWN.sub(" ", text).split())


def _shown(data: Any) -> Any:
    """The same data with signs that can be kept."""
    if isinstance(data, str):
        return _UNSHOWN.sub(" ", data)
    if isinstance(data, dict):
        return {_UNSHOWN.sub(" ", key): _shown(each) for key, each in data.items()}
    return [_shown(each) for each in data] if isinstance(data, list) else data
