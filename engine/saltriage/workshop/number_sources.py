"""`rules check --report`: how many numbers the rules hold, by the kind of their source.

A number with a source of its own is counted under the kind of that source; one without (minutes of effort, what is
allowed of a reading) under the first source of its rule.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.knowledge.rule_files import read_base

__all__ = ["NumberCount", "number_sources", "report_text"]

_NOT_COUNTED = ("version",)


@dataclass(frozen=True, slots=True)
class NumberCount:
    """Numbers by kind of source: with a source of their own, and by that of their rule.    nameless: without any."""

    own: dict[str, int]
    of_rule: dict[str, int]
    nameless: tuple[str, ...]


def number_sources(rules: Path) -> NumberCount:
    """Count every number below a folder of rules; rules that do not follow their schema are left out."""
    base = read_base(rules, None)
    kinds = {
        key: entry["kind"] for key, entry in next(iter(base.of("sources").values())).data.items()
    } if base.of("sources") else {}  # fmt: skip
    own: Counter[str] = Counter()
    of_rule: Counter[str] = Counter()
    nameless: list[str] = []
    for rule in [*base.all_sound(), *base.singles()]:
        first = next(iter(rule.data.get("sources", ())), "")
        for source in _numbers(rule.data, ""):
            if source in kinds:
                own[kinds[source]] += 1
            elif first in kinds:
                of_rule[kinds[first]] += 1
            else:
                nameless.append(rule.file)
    return NumberCount(dict(sorted(own.items())), dict(sorted(of_rule.items())), tuple(nameless))


def _numbers(value: Any, source: str) -> Iterator[str]:
    """The source of each number: of the nearest mapping around it that names one, else empty."""
    if isinstance(value, dict):
        source = value.get("source", source) if isinstance(value.get("source"), str) else source
        for key, part in value.items():
            if key not in _NOT_COUNTED:
                yield from _numbers(part, source)
    elif isinstance(value, list):
        for part in value:
            yield from _numbers(part, source)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield source


def report_text(count: NumberCount) -> str:
    """A table, one line a kind of source."""
    lines = ["numbers in rules by kind of source        own   by its rule"]
    for kind in sorted({*count.own, *count.of_rule}):
        lines.append(f"  {kind:<36}{count.own.get(kind, 0):>6}{count.of_rule.get(kind, 0):>14}")
    whole = sum(count.own.values()) + sum(count.of_rule.values()) + len(count.nameless)
    lines.append(f"  {whole} numbers, {len(count.nameless)} without a source")
    return "\n".join([*lines, *(f"    without: {file}" for file in sorted(set(count.nameless)))]) + "\n"
