"""`rules check` as a function: which files are looked at, and that nothing looked at is not a pass."""

from pathlib import Path

import pytest
from rule_edits import CALCULATORS, change

from saltriage.errors import UsageRefused
from saltriage.knowledge.home import data_folder
from saltriage.workshop.checked import calculators, check_rules, nearby
from saltriage.workshop.number_sources import number_sources, report_text


def checked(paths=(), rules=None, **options):
    return check_rules(paths, rules, known=CALCULATORS, **options)


def test_good_rules_pass(rules):
    """Rules and cases are counted, and nothing is found."""
    result = checked([rules])

    assert (result.errors, result.warnings) == (0, 0)
    assert any(file.endswith("rules/knowledge.yaml") for file in result.files)
    assert any("/cases/reference/" in file for file in result.files)


def test_without_cases(rules):
    """--no-cases neither reads nor counts them."""
    assert not any("/cases/" in file for file in checked([rules], cases=False).files)


def test_one_file(rules):
    """A single file is checked by itself; what is wrong elsewhere is not shown."""
    change(rules / "causes/salt/salt-too-low.yaml", ("hazard: none", "hazard: nnoe"))
    change(rules / "symptoms/water-cold.yaml", ("kind: ", "kindd: "))

    result = checked([rules / "causes/salt/salt-too-low.yaml"], rules)

    assert [finding.code for finding in result.findings] == ["R022"]
    assert len(result.files) == 1


def test_a_folder_of_rules(rules):
    """A folder below the rules shows only its own findings."""
    change(rules / "causes/salt/salt-too-low.yaml", ("hazard: none", "hazard: nnoe"))
    change(rules / "symptoms/water-cold.yaml", ("kind: ", "kindd: "))

    below = {Path(finding.file).relative_to(rules).parts[0] for finding in checked([rules / "causes"], rules).findings}

    assert below == {"causes"}


def test_nothing_checked_is_an_error(rules, tmp_path):
    """An empty folder, or rules that hold nothing, do not pass."""
    (tmp_path / "empty").mkdir()

    assert [finding.code for finding in checked([tmp_path / "empty"], rules).findings] == ["R034"]
    assert [finding.code for finding in checked((), tmp_path / "empty").findings] == ["R034"]


def test_paths_that_are_no_rules_are_refused(rules, tmp_path):
    """A path that is not there, another kind of file, and two sets at once are wrong use."""
    other = tmp_path / "notes.txt"
    other.write_text("salt", encoding="utf-8")

    with pytest.raises(UsageRefused, match="no such file"):
        checked([tmp_path / "nowhere"])
    with pytest.raises(UsageRefused, match="neither below"):
        checked([other], rules)
    with pytest.raises(UsageRefused, match="more than one"):
        checked([rules], rules)


def test_paths_are_shown_from_the_current_folder(rules, monkeypatch):
    """Annotations need paths below the checkout."""
    monkeypatch.chdir(rules.parent)

    assert nearby(rules / "knowledge.yaml") == Path("rules/knowledge.yaml")
    assert {Path(file).parts[0] for file in checked((), rules).files} == {"rules", "cases"}


def test_calculators_of_the_engine():
    """Names that rules may use: computed readings, limits of targets and doses."""
    assert {"combined-chlorine", "upper-target", "closing-low", "salt-to-add"} <= calculators()


def test_numbers_by_source(rules):
    """Every number is counted under the kind of its own source or its rule's."""
    count = number_sources(rules)

    assert count.nameless == ()
    assert sum(count.own.values()) > 20
    assert "0 without a source" in report_text(count)


def test_a_number_without_a_source_is_named(rules):
    """A source that sources.yaml does not list is none."""
    path = rules / "equipment/small-unit.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("made-up-practice", "hearsay"), encoding="utf-8")

    count = number_sources(rules)

    assert {Path(file).name for file in count.nameless} == {"small-unit.yaml"}
    assert "small-unit.yaml" in report_text(count)


def test_every_number_of_the_shipped_rules_has_a_source():
    """Each of them, with its kind."""
    count = number_sources(data_folder("rules"))

    assert count.nameless == ()
    assert set(count.own) <= {"published", "library", "common-practice", "memory"}


@pytest.mark.parametrize("folder", ["demo", "published"])
def test_cases_that_no_rule_is_tied_to_are_checked(rules, folder):
    """Demo and published cases follow the same schema; a folder of them can be named."""
    home = rules.parent / "cases"
    reference = home / "reference" / "salt" / "low-salt-after-rain.yaml"
    (home / folder).mkdir()
    other = home / folder / reference.name
    text = reference.read_text(encoding="utf-8").replace("../../../", "../../")
    other.write_text(text.replace("volume: ", "volumes: "), encoding="utf-8")

    named = checked([home / folder], rules)

    assert (other.as_posix(),) == named.files
    assert ["R012"] == [finding.code for finding in named.findings] == [each.code for each in checked([rules]).findings]
    assert named.findings == checked([other], rules).findings


def test_the_shipped_demo_and_published_cases_pass():
    """All of them are looked at."""
    for folder in ("demo", "published"):
        result = check_rules([data_folder("cases") / folder])

        assert len(result.files) == len(list((data_folder("cases") / folder).glob("*.yaml"))) > 0
        assert result.findings == ()


def test_what_a_diagnosis_refuses_the_check_refuses(rules):
    """Each refusal of the reader of cases, at its own place and no other."""
    from saltriage.case import load_case
    from saltriage.errors import CaseRefused
    from saltriage.knowledge import load_knowledge

    case = rules.parent / "cases/reference/salt/low-salt-after-rain.yaml"
    change(case, ("value: 1900", "value: 2000000"), ('volume: "45 m3"', 'volume: "45 kg"'))
    change(case, ('low: "2700 mg/L"', 'low: "3500 mg/L"'))

    with pytest.raises(CaseRefused) as refused:
        load_case(case, load_knowledge(rules))

    findings = checked([rules]).findings
    assert {"R044"} == {finding.code for finding in findings}
    places = [f"{finding.file}:{finding.line}:{finding.column}" for finding in findings]
    assert len(places) >= 3
    assert sorted(places) == sorted(refusal.place for refusal in refused.value.refusals)
