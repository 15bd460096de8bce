"""A symptom with its picture and its follow-up is added without Python."""

import shutil

import pytest
from rule_edits import change

from saltriage.case import Case
from saltriage.follow_up import follow_up, opened
from saltriage.interview.question import asked_again
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.report.shared.pictures import pipe, shown
from saltriage.web.engine import look_of
from saltriage.workshop.checked import check_rules

SYMPTOM = """\
# yaml-language-server: $schema=../../schemas/symptom.schema.json
id: alkalinity-dose-lost
version: 1
changed: "2026-11-29"
status: stable
title: Alkalinity did not rise with the dose
cases: [tiles-show-a-finger-more-each-morning]
sources: [common-practice]
kind: test
background: rarely
ask:
  owner: "Did the alkalinity stay where it was although bicarbonate went in?"
  support: "Hardly any rise a day after the dose? Then the volume, the test, or a leak."
  minutes: 5
  risk: none
  together: water-test
  picture: {drawing: return-line, part: filter}
follow-up:
  dose-of: total-alkalinity
  share-left: {value: 30, unit: "%", source: common-practice}
phrases:
  - bicarbonate changed nothing
  - alkalinity stays where it was
  - alkalinity will not rise
"""


@pytest.fixture(scope="module")
def knowledge(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    """The rules with one more symptom: one file, one line in the cause that shows it, one in another part."""
    home = tmp_path_factory.mktemp("no-python")
    rules, cases = home / "rules", home / "cases"
    shutil.copytree(data_folder("rules"), rules)
    shutil.copytree(data_folder("cases"), cases)
    (rules / "versions.lock").unlink()  # as before a release: no version is to rise
    (rules / "symptoms" / "alkalinity-dose-lost.yaml").write_text(SYMPTOM, encoding="utf-8")
    leak = next(rules.glob("causes/*/pool-or-pipe-leak.yaml"))
    change(leak, ("part: pool\n", "part: pressure\n"), ("shows:\n", "shows:\n  alkalinity-dose-lost: often\n"))
    assert [str(finding) for finding in check_rules(rules=rules).findings] == []
    return load_knowledge(rules)


def test_it_is_asked_with_its_picture(knowledge: Knowledge) -> None:
    """The owner's page shows the part that the rule names, and a report that of the cause."""
    question = asked_again(["alkalinity-dose-lost"], 1.0, knowledge)
    assert question is not None
    leak = knowledge.causes["pool-or-pipe-leak"]

    assert pipe("filter", "filter") == shown(look_of(question, knowledge), knowledge.pictures)
    assert knowledge.pictures.part(leak.part, leak.area) == "pressure"


@pytest.mark.parametrize(("tested", "lost"), [(42, True), (68, False)])
def test_a_follow_up_answers_it(knowledge: Knowledge, tested: int, lost: bool) -> None:
    """Bicarbonate was given as advised; the symptom is there where the alkalinity has hardly moved."""

    def test(value: int) -> dict[str, object]:
        return {"value": value, "unit": "mg/L", "method": "drop-test"}

    data = {
        "case": "low-alkalinity",
        "symptoms": {"ph-bounces": "yes"},
        "readings": {"total-alkalinity": test(40), "ph": {"value": 7.3, "method": "photometer"}},
        "pool": {"volume": "45 m3"},
    }
    record, _ = opened(Case.from_data(data, knowledge), knowledge, "2027-05-03")
    promise = next(each for each in record.entries[-1].promises if each.raises == "total-alkalinity")

    found = follow_up(
        record,
        knowledge,
        readings={"total-alkalinity": test(tested)},
        symptoms={},
        did={promise.action: ""},
        when="2027-05-10",
    )

    assert lost == found.record.case.symptoms.get("alkalinity-dose-lost", False)
