"""One page for one rule: what it says in words, what it refers to and what refers to it, its cases and its history.

Made from the rule's file and its schema's links, so that a new field shows up without a line of code here.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.rule_files import Base, RuleFile, read_base
from saltriage.knowledge.rule_links import Link, links
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.revisions import history

__all__ = ["Library", "Line", "Ref", "RulePage", "library", "page_text", "pages_of"]

_HEAD = ("id", "version", "changed", "status", "title", "cases", "sources")
_COMPARATORS = ("below", "at-most", "above", "at-least", "between")
Path_ = tuple[str | int, ...]
Spoken = Mapping[tuple[Path_, bool], Link]


@dataclass(frozen=True, slots=True)
class Ref:
    """A rule, case or source that is spoken of."""

    kind: str
    id: str
    title: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a page; `depth` counts from 0, parts are text and references in turn."""

    depth: int
    parts: tuple[str | Ref, ...]


@dataclass(frozen=True, slots=True)
class RulePage:
    """Everything that is shown of one rule. `history`: date and subject of each change that git knows, newest first."""

    kind: str
    id: str
    title: str
    about: str
    file: str
    lines: tuple[Line, ...]
    used_by: tuple[Ref, ...]
    cases: tuple[Ref, ...]
    sources: tuple[Ref, ...]
    history: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Library:
    """All rules and cases as read, and who refers to whom."""

    base: Base
    users: Mapping[tuple[str, str], tuple[Ref, ...]]

    def ref(self, kinds: tuple[str, ...], id: str) -> Ref | None:
        """The rule of one of these kinds that has this id."""
        if "source" in kinds:
            entry = next(self.base.sound("sources")).data.get(id)
            return Ref("source", id, entry["cite"]) if entry else None
        if "case" in kinds:
            case = (self.base.cases or {}).get(id)
            return Ref("case", id, str(case.data.get("title", id))) if case else None
        for kind in kinds:
            rule = self.base.of(kind).get(id)
            if rule and rule.is_sound:
                return Ref(kind, id, rule.data["title"])
        return None


def library(rules: Path) -> Library:
    """Read all rules and the cases beside them; what is not sound is left out."""
    cases = rules.parent / "cases"
    base = read_base(rules, cases if cases.is_dir() else None)
    users: dict[tuple[str, str], dict[tuple[str, str], Ref]] = {}
    for rule in base.all_sound():
        me = Ref(rule.kind, rule.id, rule.data["title"])
        for link in links(rule):
            for kind in link.kinds:
                if (kind, link.id) != (rule.kind, rule.id):
                    users.setdefault((kind, link.id), {})[rule.kind, rule.id] = me
    return Library(base, {key: tuple(one[each] for each in sorted(one)) for key, one in users.items()})


def pages_of(id: str, books: Library, with_history: bool = True) -> list[RulePage]:
    """The pages of all rules with this id: a cause and a symptom may share one.

    Raises: UsageRefused: no rule has it.
    """
    found = [rules[id] for kind, rules in sorted(books.base.rules.items()) if kind in FOLDERS.values() and id in rules]
    sound = [rule for rule in found if rule.is_sound]
    if not sound:
        every = {key for kind, rules in books.base.rules.items() if kind in FOLDERS.values() for key in rules}
        told = "its file does not pass the check" if found else f"no rule has this id. {nearest(id, every)}".strip()
        raise UsageRefused(f"{id}: {told}")
    return [rule_page(rule, books, with_history) for rule in sound]


def rule_page(rule: RuleFile, books: Library, with_history: bool = False) -> RulePage:
    """The page of one sound rule."""
    data = rule.data
    spoken = {(link.path, link.at_key): link for link in links(rule)}
    lines: list[Line] = []
    for key, value in data.items():
        if key not in _HEAD:
            lines += _lines(key, value, (key,), 0, spoken=spoken, books=books)
    about = f"{rule.kind}, version {data['version']} of {data['changed']}, {data['status']}"
    return RulePage(
        rule.kind, rule.id, data["title"], about, rule.file, tuple(lines),
        tuple(user for user in books.users.get((rule.kind, rule.id), ()) if user.kind != "case"),
        tuple(ref for id in data.get("cases", ()) if (ref := books.ref(("case",), id))),
        tuple(ref for id in data["sources"] if (ref := books.ref(("source",), id))),
        history(Path(rule.file)) if with_history else (),
    )  # fmt: skip


def _lines(label: str, value: Any, path: Path_, depth: int, *, spoken: Spoken, books: Library) -> Iterator[Line]:
    told = label.replace("-", " ")
    if isinstance(value, Mapping):
        if _is_number(value):
            yield Line(depth, (f"{told}: {_number(value)}",))
        elif "reading" in value and any(word in value for word in _COMPARATORS):
            yield Line(depth, (f"{told}: " if told else "", *_comparison(value, path, spoken, books)))
        else:
            yield Line(depth, (f"{told}:" if told else "together:",))
            for key, part in value.items():
                here = (*path, key)
                if (here, True) in spoken:  # the key itself is an id, as in `shows`
                    yield Line(depth + 1, (_ref(here, True, key, spoken, books), f": {part}"))
                else:
                    yield from _lines(str(key), part, here, depth + 1, spoken=spoken, books=books)
    elif isinstance(value, list):
        if all(not isinstance(part, Mapping | list) for part in value) and sum(len(str(part)) for part in value) < 400:
            parts: list[str | Ref] = [f"{told}: "]
            for n, part in enumerate(value):
                parts += [", "] if n else []
                parts.append(_ref((*path, n), False, part, spoken, books))
            yield Line(depth, tuple(parts))
        else:
            yield Line(depth, (f"{told}:",))
            for n, part in enumerate(value):
                yield from _lines(f"{n + 1}", part, (*path, n), depth + 1, spoken=spoken, books=books)
    else:
        yield Line(depth, (f"{told}: ", _ref(path, False, value, spoken, books)))


def _ref(path: Path_, at_key: bool, value: Any, spoken: Spoken, books: Library) -> str | Ref:
    link = spoken.get((path, at_key))
    found = books.ref(link.kinds, link.id) if link else None
    return found or (str(value).lower() if isinstance(value, bool) else str(value))


def _comparison(node: Mapping[str, Any], path: Path_, spoken: Spoken, books: Library) -> Iterator[str | Ref]:
    yield _ref((*path, "reading"), False, node["reading"], spoken, books)
    word = next(word for word in _COMPARATORS if word in node)
    yield f" {word.replace('-', ' ')} "
    bounds = node[word] if isinstance(node[word], list) else [node[word]]
    for n, bound in enumerate(bounds):
        here: Path_ = (*path, word, n) if isinstance(node[word], list) else (*path, word)
        yield " and " if n else ""
        if "reading" in bound:
            yield _ref((*here, "reading"), False, bound["reading"], spoken, books)
            yield f" plus {_number(bound['plus'])}" if "plus" in bound else ""
            yield f" (margin {bound['margin']:g})" if "margin" in bound else ""
        else:
            yield _number(bound)


def _is_number(value: Mapping[str, Any]) -> bool:
    return "value" in value and "source" in value


def _number(value: Mapping[str, Any]) -> str:
    margin = f", margin {value['margin']:g}" if "margin" in value else ""
    return f"{value['value']:g} {value.get('unit', '')}".strip() + f" ({value['source']}{margin})"


def page_text(page: RulePage) -> str:
    """The page for a terminal."""
    lines = [page.title, f"{page.id}: {page.about}", page.file, ""]
    lines += ["  " * line.depth + "".join(_plain(part) for part in line.parts) for line in page.lines]
    for heading, refs in (("cases", page.cases), ("sources", page.sources), ("used by", page.used_by)):
        lines += ["", f"{heading}:", *(f"  {ref.kind} {ref.id}: {ref.title}" for ref in refs)] if refs else []
    lines += ["", "history:", *(f"  {line}" for line in page.history)] if page.history else []
    return "\n".join(lines) + "\n"


def _plain(part: str | Ref) -> str:
    return part if isinstance(part, str) else f"{part.title} ({part.id})"
