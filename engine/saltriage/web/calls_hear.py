"""Calls that read words: what a caller's text may mean, with its places; a case file."""

from collections.abc import Mapping, Sequence
from itertools import accumulate
from typing import Any

from saltriage.case import Case, load_case_text
from saltriage.case.saving import case_to_data
from saltriage.guard import guard
from saltriage.knowledge.model import Knowledge
from saltriage.report.diagnosis.json_form import plain_data
from saltriage.web.engine import dangers_first
from saltriage.web.second_reader import SecondHearing, second_told
from saltriage.words import Heard, hear
from saltriage.words.danger import DangerHeard, dangers_in

__all__ = ["case_read", "heard_bytes"]

_UTF_16_PAIR = 0xFFFF  # signs above it are two units in UTF-16 (RFC 2781)


def heard_bytes(sent: Mapping[str, Any], knowledge: Knowledge, others: Sequence[SecondHearing] = ()) -> bytes:
    """What a text may mean: dangers first, then every piece of it in the order of the words, with its place."""
    text, units = sent["text"], sent.get("units")
    dangers, heard = (
        guard(Case(id="words", said=text), knowledge),
        hear(text, knowledge, "us" if units == "us" else None, others=others),
    )
    spans = _spans(heard, dangers_in(text), knowledge)
    if sent.get("positions") == "utf-16":
        places = _places(text)
        spans = [{**each, "start": places[each["start"]], "end": places[each["end"]]} for each in spans]
    told = {
        "read": len(heard.text),
        "positions": sent.get("positions", "code-points"),
        "spans": spans,
        "second-reader": second_told(others),
    }
    return dangers_first(dangers.notices, dangers.order_lines, told)


def _spans(heard: Heard, dangers: tuple[DangerHeard, ...], knowledge: Knowledge) -> list[dict[str, Any]]:
    """Every piece, by where it begins; a danger before what else the same words mean."""
    found = [_span("danger", each, each.kind) for each in dangers]
    for meaning, symptoms in (("symptom", heard.symptoms), ("likely", heard.likely)):
        found += [
            {
                **_span(meaning, each, each.id, knowledge.symptoms[each.id].title),
                "answer": "yes" if each.present else "no",
                "reliability": round(each.reliability, 6),
                "hedged": each.hedged,
            }
            for each in symptoms
        ]
    found += [
        {
            **_span("reading", each, each.id, knowledge.readings[each.id].title),
            "entry": None if each.needs_unit else each.entry(),
            "number": each.number,
            "bound": each.bound,
            "may-be": list(each.may_be),
            "hedged": each.hedged,
        }
        for each in heard.readings
    ]
    found += [_span("not-understood", each) for each in heard.unheard]
    return sorted(found, key=lambda each: (each["start"], each["meaning"] != "danger", each["end"]))


def _span(meaning: str, piece: Any, id: str = "", title: str = "") -> dict[str, Any]:
    told = {"meaning": meaning, "start": piece.start, "end": piece.end, "words": piece.words, "id": id, "title": title}
    if isinstance(piece, DangerHeard):
        told |= {key: plain_data(piece)[key] for key in ("severity", "chance", "sureness")}
    return told


def _places(text: str) -> list[int]:
    """For every place in the text, how many UTF-16 units stand before it."""
    return list(accumulate((1 + (ord(sign) > _UTF_16_PAIR) for sign in text), initial=0))


def case_read(sent: Mapping[str, Any], knowledge: Knowledge) -> bytes:
    """The case in the text of a file, YAML or JSON. Raises: CaseRefused."""
    case = load_case_text(sent["text"], knowledge, "case file")
    dangers = guard(case, knowledge)
    told = {"case": case_to_data(case), "notes": [each.said for each in case.retired]}
    return dangers_first(dangers.notices, dangers.order_lines, told)
