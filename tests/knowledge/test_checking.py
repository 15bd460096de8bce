"""The whole check: a good rule set passes, and mistakes that take more than one file are found."""

import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from whole_check import check, check_file

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Finding

GOOD = Path(__file__).parent / "good"


@pytest.fixture
def rules(tmp_path):
    """A copy of the good rule set: its folder of rules."""
    shutil.copytree(GOOD, tmp_path / "set")
    return tmp_path / "set" / "rules"


def change(path, *pairs):
    """Replaces texts in a file, each of which must be there."""
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")


def found(rules, **options):
    """What the check finds, as (code, file name, line, column)."""
    findings = check(rules, **options)
    return [(finding.code, Path(finding.file).name, finding.line, finding.column) for finding in findings]


def test_good_rules_pass():
    """The small rule set, with one rule of every kind, has no finding."""
    assert check(GOOD / "rules") == []


def test_without_cases_their_ids_are_not_checked(rules):
    """cases=False leaves cases out."""
    shutil.rmtree(rules.parent / "cases")

    assert found(rules, cases=False) == []
    assert {"R042"} == {code for code, *_ in found(rules)}


def test_no_rules_is_a_finding(tmp_path):
    """A check that saw nothing has not passed."""
    (tmp_path / "empty").mkdir()

    assert [code for code, *_ in found(tmp_path / "empty")] == ["R034"]
    assert [code for code, *_ in found(tmp_path / "not-there")] == ["R034"]


def test_too_large_file(rules):
    """A file of 5 MB is refused by its size."""
    (rules / "symptoms" / "water-cold.yaml").write_text("[" * 5_000_000)

    assert ("R003", "water-cold.yaml", 1, 1) in found(rules)


def test_file_that_cannot_be_read(rules):
    """A file that vanishes or may not be read is named."""
    path = rules / "symptoms" / "water-cold.yaml"
    path.unlink()
    path.symlink_to(rules / "nowhere.yaml")

    # A link to nothing is no file, so the rule is simply not there; read by itself it is named.
    from saltriage.knowledge.rule_files import read_file

    findings: list[Finding] = []
    read_file(path, "symptom", findings)
    assert [finding.code for finding in findings] == ["R001"]


def test_json_case_that_breaks_off(rules):
    """Reference cases may be JSON; they are read as strictly."""
    (rules.parent / "cases" / "reference" / "salt" / "broken.json").write_text('{"case": "broken",}')

    assert found(rules) == [("R016", "broken.json", 1, 19)]


def test_json_case_is_checked_like_a_yaml_one(rules):
    """A JSON case has places for findings, too."""
    path = rules.parent / "cases" / "reference" / "salt" / "other.json"
    path.write_text(
        '{\n  "case": "other", "title": "Other", "symptoms": {"nonsense": "yes"},\n  "expect": {"undecided": true}\n}\n'
    )

    assert found(rules) == [("R040", "other.json", 2, 51)]


def test_files_in_wrong_places(rules):
    """A cause outside its area, a folder of no kind, a text file: each is named."""
    shutil.move(rules / "causes" / "salt" / "salt-too-low.yaml", rules / "causes" / "salt-too-low.yaml")
    (rules / "notes.txt").write_text("remember")
    (rules / "symptom").mkdir()
    shutil.move(rules / "symptoms" / "water-cold.yaml", rules / "symptom" / "water-cold.yaml")

    codes = found(rules)

    assert ("R033", "salt-too-low.yaml", 1, 1) in codes
    assert ("R035", "notes.txt", 1, 1) in codes
    assert ("R035", "water-cold.yaml", 1, 1) in codes


def test_id_in_two_areas(rules):
    """An id is unique among causes, whatever their area; symptoms and readings share one space of ids."""
    shutil.copy(rules / "causes" / "salt" / "salt-too-low.yaml", rules / "causes" / "power" / "salt-too-low.yaml")
    shutil.copy(rules / "symptoms" / "water-cold.yaml", rules / "symptoms" / "salt.yaml")
    change(rules / "symptoms" / "salt.yaml", ("id: water-cold", "id: salt"))

    codes = found(rules)

    assert ("R036", "salt-too-low.yaml", 2, 5) in codes
    assert ("R036", "salt.yaml", 2, 5) in codes


def test_missing_single_files(rules):
    """Without knowledge.yaml or sources.yaml there are no words and no sources."""
    (rules / "knowledge.yaml").unlink()

    assert found(rules) == [("R020", "knowledge.yaml", 1, 1)]


def test_reference_to_a_retired_rule(rules):
    """A retired rule is named with what replaces it, and its own references are left alone."""
    change(
        rules / "actions" / "test-again.yaml",
        ("status: stable", "status: retired\nreplaced-by: wait-for-warmer-water"),
    )

    assert found(rules) == [("R043", "old-strip.yaml", 12, 10)]


def test_a_case_that_names_a_retired_rule(rules):
    """It is a finding as well, at the line that names it."""
    change(
        rules / "symptoms" / "burning-smell.yaml",
        ("status: stable", "status: retired\nretired-because: It is asked for first of all."),
    )

    assert ("R043", "low-salt-after-rain.yaml", 5, 37) in found(rules)


def test_rules_that_replace_each_other(rules):
    """Each of a circle is told the way round; a chain that ends is none."""
    for action, other in (("test-again", "wait-for-warmer-water"), ("wait-for-warmer-water", "test-again")):
        change(rules / "actions" / f"{action}.yaml", ("status: stable", f"status: retired\nreplaced-by: {other}"))
    circles = [finding for finding in check(rules) if finding.code == "R054"]
    change(rules / "actions" / "test-again.yaml", ("replaced-by: wait-for-warmer-water", "replaced-by: add-salt"))

    assert len(circles) == 2
    assert "test-again -> wait-for-warmer-water -> test-again" in circles[0].message
    assert "R054" not in {finding.code for finding in check(rules)}


def test_circle_through_two_symptoms(rules):
    """A circle is reported once, at the symptom whose name comes first, with the way round."""
    change(
        rules / "symptoms" / "water-cold.yaml",
        ("derived: {reading", "derived:\n  all:\n    - {symptom: salt-below-band}\n    - {reading"),
    )
    change(rules / "symptoms" / "salt-below-band.yaml", ("  any:\n", "  any:\n    - {symptom: water-cold}\n"))

    findings = check(rules)

    assert [finding.code for finding in findings] == ["R045"]
    assert findings[0].file.endswith("symptoms/salt-below-band.yaml")
    assert "salt-below-band -> water-cold -> salt-below-band" in findings[0].message


def test_invented_source(rules):
    """Advice does not rest on what was invented for the demo; equipment profiles may."""
    change(rules / "sources.yaml", ("kind: common-practice", "kind: invented"))

    findings = check(rules)

    assert {"R062"} == {finding.code for finding in findings}
    assert not [finding for finding in findings if "/equipment/" in finding.file]


def test_unused_rules_are_warned_of(rules):
    """A symptom, action or note that nothing uses is named, whatever cases say of it."""
    shutil.copy(rules / "actions" / "test-again.yaml", rules / "actions" / "spare.yaml")
    change(rules / "actions" / "spare.yaml", ("id: test-again", "id: spare"))
    change(rules / "doubts" / "old-strip.yaml", ("symptom: strip-was-old", "symptom: burning-smell"))

    assert found(rules) == [("R056", "spare.yaml", 2, 5), ("R056", "strip-was-old.yaml", 2, 5)]


def test_one_mistake_does_not_hide_others(rules):
    """A file that cannot be read is named; references to it still hold, and other files are still checked."""
    (rules / "symptoms" / "low-salt-warning.yaml").write_text("id: [")
    change(rules / "actions" / "add-salt.yaml", ("calculator: salt-to-add", "calculator: nonsense"))

    codes = {(code, name) for code, name, *_ in found(rules)}

    assert {("R005", "low-salt-warning.yaml"), ("R057", "add-salt.yaml")} == codes


def test_deepest_condition_that_can_be_read(rules):
    """A condition as deep as the reader allows is checked, one level more is refused by the reader."""
    deepest = "{not: " * 37 + "{symptom: strip-was-old}" + "}" * 37
    change(rules / "doubts" / "old-strip.yaml", ("{symptom: strip-was-old}", deepest))
    assert found(rules) == []

    change(rules / "doubts" / "old-strip.yaml", (deepest, "{not: {not: " + deepest + "}}"))
    assert [code for code, *_ in found(rules)] == ["R004"]


def test_check_file_of_a_stranger(tmp_path):
    """A file outside the rule set is refused, not silently passed."""
    (tmp_path / "other.yaml").write_text("id: other")

    with pytest.raises(UsageRefused, match="lies neither below"):
        check_file(tmp_path / "other.yaml", GOOD / "rules")


@settings(max_examples=60, deadline=None)
@given(
    raw=st.binary(max_size=120),
    at=st.sampled_from(["symptoms/water-cold.yaml", "sources.yaml", "causes/salt/salt-too-low.yaml"]),
)
def test_any_bytes_in_a_rule_give_findings(raw, at, tmp_path_factory):
    """Whatever stands in a file, the check ends with findings."""
    home = tmp_path_factory.mktemp("any")
    shutil.copytree(GOOD, home / "set")
    (home / "set" / "rules" / at).write_bytes(raw)

    findings = check(home / "set" / "rules")

    assert [finding for finding in findings if finding.file.endswith(at) and finding.severity == "error"]


rule_like = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-3, 3)
    | st.sampled_from(["salt", "low-salt-warning", "always", "mg/L", "x y"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                [
                    "all",
                    "any",
                    "not",
                    "reading",
                    "below",
                    "between",
                    "symptom",
                    "is",
                    "value",
                    "unit",
                    "source",
                    "owner",
                ]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=10,
)


@settings(max_examples=100, deadline=None)
@given(
    data=rule_like,
    kind=st.sampled_from(
        [
            "symptoms/water-cold.yaml:derived",
            "causes/salt/salt-too-low.yaml:applies",
            "causes/salt/salt-too-low.yaml:shows",
            "doubts/old-strip.yaml:when",
            "actions/add-salt.yaml:expect",
        ]
    ),
)
def test_any_tree_in_a_rule_gives_findings_or_none(data, kind, good_base):
    """Whatever tree stands under a key, the check ends with findings at places in that file; nothing else happens."""
    import yaml

    at, _, key = kind.partition(":")
    path = good_base / at
    text = (GOOD / "rules" / at).read_text(encoding="utf-8")
    whole = yaml.safe_load(text) | {key: data}
    path.write_text(text.splitlines()[0] + "\n" + yaml.safe_dump(whole, sort_keys=False), encoding="utf-8")
    try:
        findings = check_file(path, good_base)
    finally:
        path.write_text(text, encoding="utf-8")

    lines = len(yaml.safe_dump(whole, sort_keys=False).splitlines()) + 1
    assert all(1 <= finding.line <= lines for finding in findings)


@pytest.fixture(scope="module")
def good_base(tmp_path_factory):
    """A copy of the good rules that a test puts back after each change."""
    home = tmp_path_factory.mktemp("base")
    shutil.copytree(GOOD, home / "set")
    return home / "set" / "rules"
