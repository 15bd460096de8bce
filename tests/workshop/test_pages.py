"""Pages, book and picture: complete, escaped, linked, and loading nothing from anywhere."""

import re
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from rule_edits import change

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.home import data_folder
from saltriage.workshop.book import write_book
from saltriage.workshop.pages import library, page_text, pages_of
from saltriage.workshop.picture import map_html, map_svg

VOID = {"meta", "input"}


class Reader(HTMLParser):
    """Collects ids, links and anything that would be fetched; fails on tags that do not match."""

    def __init__(self, text):
        super().__init__()
        self.open, self.ids, self.links, self.fetched = [], set(), [], []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        self.ids |= {told["id"]} if "id" in told else set()
        self.links += [told["href"]] if tag == "a" else []
        self.fetched += [told[key] for key in ("src", "srcset", "data", "action") if told.get(key)]
        self.fetched += [told["href"]] if tag in ("link", "use", "image") and "href" in told else []
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_a_page_says_everything(rules):
    """What the rule shows, its look-alikes, its test, actions, cases, sources and users, with titles beside ids."""
    (page,) = pages_of("salt-too-low", library(rules))
    text = page_text(page)

    for part in ("Not enough salt in the water", "version 1", "usually", "look alikes", "split by", "cures: always",
                 "Low salt after heavy rain", "hazard: none"):  # fmt: skip
        assert part in text
    assert any(ref.id == "water-too-cold" for ref in page.used_by)
    assert "Add salt (add-salt)" in text


def test_conditions_read_as_sentences(rules):
    """A comparison is one line with its margin."""
    text = page_text(pages_of("salt-below-band", library(rules))[0])

    assert re.search(r"derived:\n  any:\n    1: .*\(salt\) below .*\(salt-band-low\) \(margin 200\)\n", text)


def test_every_shipped_rule_has_a_page(tmp_path):
    """Every rule of every kind, its links leading to pages and places that exist, nothing fetched from outside."""
    write_book(tmp_path / "book", data_folder("rules"))
    read = {path: Reader(path.read_text(encoding="utf-8")) for path in (tmp_path / "book").rglob("*.html")}

    knowledge = load_knowledge()
    kinds = (
        "states", "causes", "symptoms", "readings", "doubts", "actions", "safety", "orders", "equipment", "targets",
        "plans", "hearing", "limits",
    )  # fmt: skip
    assert len(read) == sum(len(getattr(knowledge, kind)) for kind in kinds) + len(knowledge.retired) + 3
    assert {link for page in read.values() for link in page.fetched} == set()
    places = {path.resolve(): page.ids for path, page in read.items()}
    broken = set()
    for path, page in read.items():
        for name, _, place in (link.partition("#") for link in page.links):
            target = (path.parent / name).resolve()
            if target not in places or (place and place not in places[target]):
                broken.add((path.name, name, place))
    assert broken == set()


def test_text_is_escaped(rules, tmp_path):
    """A title with angle brackets cannot become a tag."""
    change(rules / "causes/salt/salt-too-low.yaml", ("title: Not enough salt in the water", 'title: "<b>&"'))
    write_book(tmp_path / "book", rules)
    (tmp_path / "map.html").write_text(map_html(load_knowledge(rules)), encoding="utf-8")

    for path in (tmp_path / "book/cause/salt-too-low.html", tmp_path / "book/index.html", tmp_path / "map.html"):
        assert "<b>" not in path.read_text(encoding="utf-8")


def test_a_book_is_not_written_over_other_files(rules, tmp_path):
    """A folder that holds something else is left alone; an earlier book is renewed."""
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(UsageRefused, match="holds no book"):
        write_book(tmp_path, rules)
    assert write_book(tmp_path / "book", rules) == write_book(tmp_path / "book", rules)


def test_the_picture_has_every_cause_symptom_and_line():
    """One node each, one line for each symptom that a cause shows; readable XML; no word of it fetched."""
    knowledge = load_knowledge()
    space = "{http://www.w3.org/2000/svg}"
    picture = ElementTree.fromstring(map_svg(knowledge).encode())
    page = Reader(map_html(knowledge))

    nodes = [node for node in picture.iter(f"{space}g") if node.get("class") == "node"]
    lines = [line for line in picture.iter(f"{space}path") if line.get("class") == "link"]
    assert len(nodes) == len(knowledge.causes) + len(knowledge.symptoms)
    assert len(lines) == sum(len(consequences(knowledge)[cause.id]) for cause in knowledge.causes.values())
    assert page.fetched == []
    assert {"words", "told"} <= page.ids


def test_rules_that_are_not_there(rules):
    """The nearest id is named."""
    with pytest.raises(UsageRefused, match='Did you mean "salt-too-low"'):
        pages_of("salt-to-low", library(rules))
