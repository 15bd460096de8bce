"""Each check is tested by its own example: the bad text is found, the good one is not."""

import shutil
from pathlib import Path

import pytest
from whole_check import check

from saltriage.knowledge.checks import CHECKS, corpus, form, hearing, links, numbers, reading, safety, upkeep
from saltriage.knowledge.rule_files import read_base
from saltriage.knowledge.schemas import prepared_schema
from saltriage.workshop.editor_ids import ids_file, ids_text
from saltriage.workshop.lock import lock_of
from saltriage.workshop.versions import write_lock

GOOD = Path(__file__).parent / "good"


@pytest.fixture(scope="module")
def released(tmp_path_factory):
    """The good set with a lock and a list of ids, as a released set has them."""
    home = tmp_path_factory.mktemp("checks") / "set"
    shutil.copytree(GOOD, home)
    rules = home / "rules"
    write_lock(rules, lock_of(rules, {}))
    ids_file(rules).parent.mkdir()
    ids_file(rules).write_text(ids_text(read_base(rules, home / "cases")), encoding="utf-8")
    program = home / "engine" / "saltriage"
    for name, text in (
        ("knowledge/ids.py", 'SALT_BAND_LOW = "salt-band-low"'),
        ("advise/band.py", "BAND = ids.SALT_BAND_LOW"),
    ):
        (program / name).parent.mkdir(parents=True)
        (program / name).write_text(f"{text}\n", encoding="utf-8")
    return rules


@pytest.fixture
def rules(released, tmp_path):
    shutil.copytree(released.parent, tmp_path / "set")
    return tmp_path / "set" / "rules"


def test_with_the_good_texts_nothing_is_found(rules):
    """The set that every example changes."""
    assert check(rules) == []


@pytest.mark.parametrize("each", CHECKS.values(), ids=lambda each: f"{each.code}-{each.name}")
def test_the_bad_example_is_found_and_the_good_one_is_not(each, rules):
    """With severity, line, column and a remedy."""
    example = each.example
    path = rules.parent / example.at if example.at.startswith(("cases/", "schemas/", "engine/")) else rules / example.at
    _make_bad(path, example)

    found = [finding for finding in check(rules) if finding.code == each.code]

    assert found, f"{example.bad!r} is not found"
    assert {(each.name, each.severity)} == {(finding.name, finding.severity) for finding in found}
    assert all(finding.line >= 1 and finding.column >= 1 and finding.message.endswith(".") for finding in found)
    assert all(finding.mend for finding in found)


def _make_bad(path, example):
    match example.how:
        case "gone":
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        case "link":
            path.unlink()
            path.symlink_to(path.parent / "nowhere.yaml")
        case "file":
            path.write_bytes(example.bad.encode(example.encoding))
        case "text":
            text = path.read_text(encoding="utf-8")
            assert text.count(example.good) == 1, f"{example.good!r} stands {text.count(example.good)} times"
            path.write_bytes(text.replace(example.good, example.bad).encode(example.encoding))


def test_what_keeps_people_safe_is_never_waived():
    """Nor what cannot be read, nor a version."""
    waived = {check.code for check in CHECKS.values() if check.can_be_waived}
    entry = prepared_schema("waivers")["properties"]["waivers"]["items"]

    assert waived == {"R053", "R055", "R056", "R059", "R060", "R062", "R066"}
    assert waived == set(entry["properties"]["check"]["enum"])


def test_no_code_is_used_twice():
    """Two checks of one code would hide each other."""
    parts = (corpus, form, hearing, links, numbers, reading, safety, upkeep)
    codes = [check.code for part in parts for check in part.CHECKS]

    assert len(codes) == len(set(codes)) == len(CHECKS)
