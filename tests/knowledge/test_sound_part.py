"""One mistake does not hide the others of its file, and what it cut away is not complained of."""

import shutil
from pathlib import Path

import pytest
from whole_check import check

from saltriage.knowledge.sound_part import sound_part
from saltriage.knowledge.strict_yaml import read_yaml

GOOD = Path(__file__).parent / "good"
SALT = "causes/salt/salt-too-low.yaml"


@pytest.fixture
def rules(tmp_path):
    shutil.copytree(GOOD, tmp_path / "set")
    return tmp_path / "set" / "rules"


def found(rules, at, *pairs):
    """Code, line and column of what is found in a file with these changes."""
    path = rules / at
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")
    return [(each.code, each.line, each.column) for each in check(rules) if each.file == path.as_posix()]


def test_ten_mistakes_of_one_file_are_told_together(rules):
    """Of form and of meaning, each at its own line and column."""
    told = found(
        rules, SALT, ("cause.schema", "symptom.schema"), ("id: salt-too-low", "id: salt-low"),
        ('changed: "2026-11-25"', "changed: 2026-11-25"), ("cases: [low-salt-after-rain]", "cases: [rain]"),
        ("sources: [made-up-practice]", "sources: [hearsay]"), ("common: very-common", "common: often"),
        ("low-salt-warning: usually,", "low-salt-warming: usually,"), ("do: add-salt", "do: ad-salt"),
        ("cause: water-too-cold,", "cause: water-to-cold,"), ("hazard: none", "hazzard: none"),
    )  # fmt: skip

    assert told == [
        ("R030", 1, 1), ("R032", 2, 5), ("R015", 4, 10), ("R042", 7, 9), ("R041", 8, 11), ("R022", 13, 9),
        ("R040", 14, 9), ("R040", 16, 13), ("R040", 21, 10), ("R012", 23, 1),
    ]  # fmt: skip


def test_what_is_cut_away_is_not_missed(rules):
    """A note of the wrong type is no missing note, and a broken `shows` shares symptoms all the same."""
    assert found(rules, "actions/add-salt.yaml", ("safety: [lift-with-care]", "safety: lift-with-care")) == [
        ("R021", 30, 9)
    ]
    assert found(rules, SALT, ("low-salt-warning: usually", "low-salt-warning: uusually")) == [("R022", 14, 27)]


def test_places_behind_a_cut_entry_stay_right(rules):
    """Of three entries the first breaks the schema; what is wrong with the third is told at the third."""
    told = found(
        rules, "symptoms/salt-below-band.yaml",
        ("  any:\n", "  any:\n    - {reading: salt, below: 7}\n    - {symptom: water-colt}\n"),
    )  # fmt: skip

    assert [each for each in told if each[0] in ("R021", "R040")] == [("R021", 13, 30), ("R040", 14, 17)]


def test_the_rest_follows_the_schema():
    """What is left needs no care but for keys missing at the top."""
    document = read_yaml("case: a\nsymptoms: {x: maybe, y: 'yes'}\npool: {volume: 3, surface: vinyl}\nnonsense: 1")

    part, cut = sound_part("case", document)

    assert part.data == {"case": "a", "symptoms": {"y": "yes"}, "pool": {"surface": "vinyl"}}
    assert {"symptoms", "pool", "nonsense"} == cut
