"""The HTML report: self-contained, complete, and closed to whatever a caller may have typed."""

import re
from dataclasses import fields, is_dataclass, replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from saltriage.case import Case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.report.diagnosis.html import diagnosis_html
from saltriage.report.shared.page_engine import style_hash
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[2]
EVIL = "</style></textarea>\"'><script>alert(1)</script><img src=x onerror=alert(1)>{{7*7}}&lt;"


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


CASE: dict[str, Any] = {
    "title": "Salt low",
    "symptoms": {"low-salt-warning": "yes", "heavy-rain": "yes"},
    "readings": {
        "salt": {"value": 2100, "unit": "mg/L", "method": "drop-test"},
        "salt-earlier": "3200 mg/L",
        "ph": 7.3,
        "total-alkalinity": "70 mg/L",
        "calcium-hardness": "210 mg/L",
        "water-temperature": "23 degC",
    },
    "pool": {"volume": "42 m3"},
    "equipment": {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}},
}


@cache
def usual() -> Diagnosis:
    return diagnose(Case.from_data(CASE, rules()), rules())


class Tags(HTMLParser):
    """Every tag with its attributes; refuses tags that are not closed in order."""

    VOID = frozenset(["meta", "link", "br", "hr", "img", "input", "path", "circle", "rect", "ellipse", "polyline"])

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read(html: str) -> Tags:
    tags = Tags()
    tags.feed(html)
    tags.close()
    assert tags.open == []
    return tags


@pytest.mark.parametrize("reader", ["owner", "support"])
def test_nothing_is_loaded_and_no_script_runs(reader: str) -> None:
    """No address of anything, no script, no inline style or handler; one style sheet inside."""
    html = diagnosis_html(usual(), rules(), reader=reader)
    tags = read(html)

    names = [name for name, _ in tags.found]
    assert names.count("style") == 1
    assert not {"script", "link", "img", "iframe", "object", "embed", "base", "form", "image", "use"} & set(names)
    for name, attributes in tags.found:
        assert not any(key.startswith("on") or key in ("style", "src", "srcset") for key in attributes), name
        assert (attributes.get("href") or "#").startswith("#")
    assert "url(" not in html
    assert "@import" not in html


def test_ids_are_there_once_and_links_lead_to_them() -> None:
    tags = read(diagnosis_html(usual(), rules()))

    ids = [attributes["id"] for _, attributes in tags.found if "id" in attributes]
    assert len(ids) == len(set(ids))
    targets = {(attributes["href"] or "")[1:] for _, attributes in tags.found if "href" in attributes}
    assert targets <= set(ids)


@pytest.mark.parametrize("reader", ["owner", "support"])
def test_everything_that_is_advised_is_shown(reader: str) -> None:
    """Causes, steps, doses, sums, cautions, checks: each text of the diagnosis stands in the page."""
    found = usual()
    text = " ".join(" ".join(read(diagnosis_html(found, rules(), reader=reader)).text).split())

    wanted = [cause.title for cause in found.causes]
    wanted += [step for action in found.actions for step in action.steps_for(reader)]
    wanted += [line for action in found.actions if action.dose for line in action.dose.arithmetic]
    wanted += [note.say.for_reader(reader) for note in found.safety]
    wanted += [check.ask.for_reader(reader) for check in found.next_checks]
    wanted += [action.expectation.see.for_reader(reader) for action in found.actions if action.expectation]
    assert len(wanted) > 20
    for each in wanted:
        assert " ".join(each.split()) in text


def test_a_stop_comes_before_everything() -> None:
    case = {"symptoms": {"smoke-or-scorch": "yes", "low-salt-warning": "yes"}}
    found = diagnose(Case.from_data(case, rules()), rules())
    html = diagnosis_html(found, rules(), reader="support")

    assert html.index('class="stop life"') < html.index("Most likely why")
    assert "DANGER TO LIFE." in html
    assert "Most likely why" not in diagnosis_html(found, rules())


def test_what_an_owner_needs_stands_before_the_fold() -> None:
    """In the order of the text; the rest is folded, closed, and open in the full page."""
    html = diagnosis_html(usual(), rules())
    order = ["What is off", "Most likely why", "Do this now", "Next, look at", '<details class="more">', "Cautions"]
    places = [html.index(each) for each in order]

    assert places == sorted(places)
    assert '<details class="more whole" open>' in diagnosis_html(usual(), rules(), full=True)


def test_a_fact_is_drawn_against_its_target_and_said_in_words() -> None:
    """The picture is for the eye alone: the words beside it say the same."""
    html = diagnosis_html(usual(), rules())
    facts = html.partition('class="facts"')[2].partition("</ul>")[0]

    assert facts.count('<svg class="bullet" aria-hidden="true"') == 2
    assert "▼ 600 short" in facts
    assert "2100 mg/L (drop-count test for chloride); your unit wants 2700 to 3400 mg/L" in facts


def test_the_headline_says_what_is_off_and_what_to_do() -> None:
    """The fact without a chance, the act with its amount; the guess stands below it, with its chance."""
    html = diagnosis_html(usual(), rules())
    head = html.partition("<h1>")[2].partition("</h1>")[0]
    assert head.startswith(usual().states[0].title)
    assert "%" not in head
    assert re.search(r": [\d.]+ (kg|g|L|mL) now, then test$", head)
    assert "Most likely:" in html.partition("</h1>")[2][:120]


def test_a_tag_has_all_three_parts() -> None:
    """This much now, then which test, in all how much; a dose without an amount has no tag."""
    html = diagnosis_html(usual(), rules())
    tag = html.partition('class="tag dose-now"')[2].partition("</div>")[0]

    assert [part in tag for part in ("now", "then <b>wait ", "in all <b>about ")] == [True] * 3
    without = {**CASE, "pool": {}}
    lacking = diagnosis_html(diagnose(Case.from_data(without, rules()), rules()), rules())
    assert 'class="tag' not in lacking
    assert "no amount yet" in lacking


def _poisoned(value: Any) -> Any:
    """The same data with every text that is shown turned into an attack; ids that choose words or rules are kept."""
    if is_dataclass(value) and not isinstance(value, type):
        kept = {"reading", "quantity", "unit", "call", "who", "job", "strength", "origin", "kind", "cause", "area"}
        changed = {
            field.name: _poisoned(getattr(value, field.name)) for field in fields(value) if field.name not in kept
        }
        return replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(_poisoned(each) for each in value)
    if isinstance(value, str):
        return EVIL
    return value


@pytest.mark.parametrize("reader", ["owner", "support"])
def test_an_attack_in_every_text_comes_out_as_text(reader: str) -> None:
    """Not a tag, attribute or template of it comes to life, in titles, ids, steps, evidence, anywhere."""
    html = diagnosis_html(_poisoned(usual()), rules(), reader=reader)

    assert html.count("&lt;script&gt;") > 30
    assert "<script" not in html
    assert "onerror=alert(1)>" not in html
    names = {name for name, _ in read(html).found}
    assert not names & {"script", "img", "textarea"}
    for _, attributes in read(html).found:
        assert "onerror" not in attributes


def test_the_policy_names_the_style_sheet_that_is_inside() -> None:
    """The hash is that of the bytes between the tags: SHA-256, base64 (Content Security Policy Level 3)."""
    import base64
    import hashlib

    html = diagnosis_html(usual(), rules())
    inside = html[html.index("<style>") + 7 : html.index("</style>")]

    assert style_hash() == f"'sha256-{base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()}'"


def test_units_of_the_reader() -> None:
    us = diagnosis_html(usual(), rules(), units="us")

    assert " lb" in us
    assert " kg " not in us[us.index("dose-now") : us.index("Show the sum")]
