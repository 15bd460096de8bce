"""The same findings in five forms."""

import json
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator

from saltriage.knowledge.findings import finding_at
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.places import Place
from saltriage.workshop.checked import Checked
from saltriage.workshop.finding_forms import FORMS

ERROR = finding_at(
    "R012",
    "rules/a b.yaml",
    Place(2, 1, 5),
    '"belwo" is no key: 100 %, no.',
    'Did you mean "below"?',
    lines=("x: 1", "belwo: 2"),
)
WARNING = finding_at("R056", "rules/c.yaml", Place(1, 1), "Nothing uses it.")
RESULT = Checked(("rules/a b.yaml", "rules/c.yaml", "rules/d.yaml"), (ERROR, WARNING))
NOTHING = Checked(("rules/d.yaml",), ())


def test_text():
    """Finding by finding, then the total."""
    assert FORMS["text"](RESULT) == (
        "rules/a b.yaml:2:1: error R012 unknown-key\n"
        '  "belwo" is no key: 100 %, no.\n'
        "      2 | belwo: 2\n"
        "          ^^^^^\n"
        '  Did you mean "below"? Page: see DEVELOPERS.md, R012\n'
        "\n"
        "rules/c.yaml:1:1: warning R056 unused\n"
        "  Nothing uses it.\n"
        "  Page: see DEVELOPERS.md, R056\n"
        "\n"
        "3 files checked: 1 errors, 1 warnings\n"
    )
    assert FORMS["text"](NOTHING) == "1 file checked: 0 errors, 0 warnings\n"


@pytest.mark.parametrize("result", [RESULT, NOTHING])
def test_json_follows_its_schema(result):
    """schemas/findings.schema.json describes it."""
    schema = json.loads((data_folder("schemas") / "findings.schema.json").read_text(encoding="utf-8"))
    data = json.loads(FORMS["json"](result))

    Draft202012Validator(schema).validate(data)
    assert len(result.findings) == len(data["findings"]) == data["errors"] + data["warnings"]


def test_sarif():
    """Places, rules and results refer to each other as SARIF 2.1.0 (OASIS, sections 3.27 and 3.30) says."""
    log = json.loads(FORMS["sarif"](RESULT))
    (run,) = log["runs"]
    first = run["results"][0]
    place = first["locations"][0]["physicalLocation"]

    assert log["version"] == "2.1.0"
    assert [rule["id"] for rule in run["tool"]["driver"]["rules"]] == ["R012", "R056"]
    assert all(run["tool"]["driver"]["rules"][each["ruleIndex"]]["id"] == each["ruleId"] for each in run["results"])
    assert [each["level"] for each in run["results"]] == ["error", "warning"]
    assert place["artifactLocation"]["uri"] == "rules/a%20b.yaml"
    assert place["region"] == {"startLine": 2, "startColumn": 1, "endColumn": 6, "snippet": {"text": "belwo: 2"}}


def test_sarif_links_each_code_to_its_place_in_the_manual(monkeypatch):
    """The manual of the revision that is checked, where a CI service says which; else that of the checkout."""
    for name, value in (("SERVER_URL", "https://host.example"), ("REPOSITORY", "some/pool"), ("SHA", "ab12")):
        monkeypatch.setenv(f"GITHUB_{name}", value)

    rules = json.loads(FORMS["sarif"](RESULT))["runs"][0]["tool"]["driver"]["rules"]

    assert rules[0]["helpUri"] == "https://host.example/some/pool/blob/ab12/DEVELOPERS.md#r012"
    monkeypatch.delenv("GITHUB_SHA")
    (here, _) = json.loads(FORMS["sarif"](RESULT))["runs"][0]["tool"]["driver"]["rules"]
    assert here["helpUri"].startswith("file:///")
    assert here["helpUri"].endswith("/DEVELOPERS.md#r012")


def test_sarif_knows_a_finding_again_when_it_has_moved():
    """Lines above it do not change its fingerprint; a second one of the same kind has its own."""
    lines = ("x: 1", "belwo: 2", "y: 3", "belwo: 2")
    early, late = (finding_at("R012", "a.yaml", Place(line, 1, 5), "No key.", lines=lines) for line in (2, 4))

    def marks(*findings):
        results = json.loads(FORMS["sarif"](Checked(("a.yaml",), findings)))["runs"][0]["results"]
        return [result["partialFingerprints"]["finding/v1"] for result in results]

    assert marks(early) == marks(late)
    assert marks(early) != marks(ERROR)
    assert len(set(marks(early, late))) == 2


def test_annotations():
    """One command a finding; signs that would end a part of it are escaped."""
    first, second, last = FORMS["github"](RESULT).splitlines()

    assert first == (
        "::error file=rules/a b.yaml,line=2,col=1,endColumn=6,title=R012 unknown-key::"
        '"belwo" is no key: 100 %25, no. Did you mean "below"?'
    )
    assert second.startswith("::warning file=rules/c.yaml,line=1,col=1,")
    assert last == "3 files checked: 1 errors, 1 warnings"


def test_junit():
    """One test case a file; only errors fail it."""
    suite = ElementTree.fromstring(FORMS["junit"](RESULT)).find("testsuite")

    assert suite.attrib == {"name": "saltriage rules check", "tests": "3", "failures": "1", "errors": "0"}
    assert [case.find("failure") is not None for case in suite] == [True, False, False]
    assert "R056" in suite[1].find("system-out").text
    assert "R012 unknown-key" in suite[0].find("failure").attrib["message"]


def test_junit_of_signs_that_xml_cannot_hold():
    """A finding that quotes a control character still gives readable XML."""
    odd = finding_at("R014", "a.yaml", Place(1, 1), "found \x00\x1b\ufffe", lines=("x: \x00",))

    ElementTree.fromstring(FORMS["junit"](Checked(("a.yaml",), (odd,))))
