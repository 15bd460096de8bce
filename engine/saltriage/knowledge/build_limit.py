"""Checked data -> limits of doses."""

from collections.abc import Iterator

from saltriage.conditions.nodes import Number
from saltriage.knowledge.build_parts import Data, condition, head, number, some_wording, wording
from saltriage.knowledge.limit_rule import DoseLimit

__all__ = ["built_limit"]


def built_limit(data: Data, path: str) -> DoseLimit:
    ends = {end: data[end] for end in ("low", "high") if end in data}
    return DoseLimit(
        **head(data, path),
        kind=data["kind"],
        say=wording(data["say"]),
        chemical=data.get("chemical", ""),
        products=frozenset(data.get("products", ())),
        purpose=data.get("purpose", ""),
        reading=data.get("reading", ""),
        when=condition(data, "when", path),
        straddles=data.get("straddles") == "holds",
        untested=data.get("untested") == "holds",
        order=data.get("order", 0),
        numbers=dict(_numbers(data)),
        of={f"{end}-share": told["of"] for end, told in ends.items() if "of" in told},
        change_of=data.get("change", {}).get("reading", ""),
        least_of=data.get("least", {}).get("reading", ""),
        keeps=data.get("keeps", {}).get("reading", ""),
        test=tuple(data.get("test", ())),
        apart={other: number(told) for other, told in sorted(data.get("apart", {}).items())},
        hands=data.get("hands", ""),
        instead=data.get("instead", ""),
        how=some_wording(data.get("how")),
        safety=tuple(data.get("safety", ())),
    )


def _numbers(data: Data) -> Iterator[tuple[str, Number]]:
    for key in ("share", "most-steps", "wait"):
        if key in data:
            yield key, number(data[key])
    if "change" in data:
        yield "change", number(data["change"]["most"])
    if "least" in data:
        yield "least", number(data["least"]["by"])
    for end in ("low", "high"):
        if end in data.get("keeps", {}):
            yield f"keeps-{end}", number(data["keeps"][end])
    for key in ("at-once", "in-all"):
        for kind, told in data.get(key, {}).items():
            yield f"{key}-{kind}", number(told)
    for end in ("low", "high"):
        for key, told in data.get(end, {}).items():
            if key != "of":
                yield end if key == "value" else f"{end}-{key}", number(told)
