"""Which tree of rules is chosen, and which may be written to."""

import shutil
from pathlib import Path

import pytest
from whole_check import check

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import chosen_tree, data_folder, schemas_beside, shipped_tree

GOOD = Path(__file__).parent / "good"


@pytest.fixture
def checkout(tmp_path, monkeypatch):
    """A checkout of the good rule set with schemas of its own; bundles go elsewhere."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    shutil.copytree(GOOD, tmp_path / "checkout")
    # Without the list of ids, which is that of other rules.
    others = shutil.ignore_patterns("ids.schema.json")
    shutil.copytree(data_folder("schemas"), tmp_path / "checkout/schemas", ignore=others)
    return tmp_path / "checkout"


@pytest.mark.parametrize("below", [".", "rules", "rules/causes/salt", "cases/reference"])
def test_the_checkout_one_stands_in(below, checkout, monkeypatch):
    """Its own folder and every folder in it."""
    monkeypatch.chdir(checkout / below)
    tree = chosen_tree()

    assert (tree.rules, tree.cases) == (checkout / "rules", checkout / "cases")
    assert not tree.is_shipped
    assert "the checkout around the current folder" in tree.named


def test_what_is_named_comes_first(checkout, monkeypatch):
    """Whatever one stands in."""
    monkeypatch.chdir(checkout)
    tree = chosen_tree(data_folder("rules"))

    assert tree.rules == data_folder("rules")
    assert tree.is_shipped


def test_away_from_a_checkout(tmp_path, monkeypatch):
    """What came with the program; also where the current folder is gone."""
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    assert chosen_tree() == shipped_tree()
    (tmp_path / "empty").rmdir()

    assert chosen_tree() == shipped_tree()


def test_the_checkout_of_the_program_is_what_came_with_it(monkeypatch):
    """A maintainer with an editable installation is not told of two trees."""
    monkeypatch.chdir(data_folder("rules") / "causes")

    assert chosen_tree() == shipped_tree()


def test_an_installed_package_is_not_written_to(checkout, tmp_path):
    """Whichever installation it is; a checkout is."""
    package = tmp_path / "lib/python3/site-packages/saltriage"
    shutil.copytree(checkout, package / "_data")
    (package / "__init__.py").touch()

    assert chosen_tree(checkout / "rules").to_write().rules == checkout / "rules"
    with pytest.raises(UsageRefused, match="inside an installed package"):
        chosen_tree(package / "_data" / "rules").to_write()


def test_schemas_lie_beside_the_rules(checkout):
    """Rules are held against the schemas of their own tree; where there are none, against those of the program."""
    schema = checkout / "schemas/cause.schema.json"
    text = schema.read_text(encoding="utf-8")
    assert '"none", "low"' in text or '"none",\n' in text
    schema.write_text(text.replace('"title": {', '"colour": {"type": "string"},\n    "title": {', 1), encoding="utf-8")
    cause = checkout / "rules/causes/salt/salt-too-low.yaml"
    lines = cause.read_text(encoding="utf-8").replace("title: ", "colour: green\ntitle: ", 1)
    cause.write_text(lines, encoding="utf-8")

    assert schemas_beside(checkout / "rules") == checkout / "schemas"
    # The schemas are the program's, with its ids.
    assert {finding.code for finding in check(checkout / "rules")} <= {"R074"}
    assert load_knowledge(checkout / "rules").causes["salt-too-low"].version == 1
    shutil.rmtree(checkout / "schemas")
    assert schemas_beside(checkout / "rules") == data_folder("schemas")
    assert [finding.code for finding in check(checkout / "rules")] == ["R012"]
