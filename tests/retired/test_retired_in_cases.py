"""Cases, saved interviews, walks of the pages and batch lines that name rules of the past load, and say so."""

import json

import pytest
from retirements import later

from saltriage.batch import lines as worker
from saltriage.case import Case, case_to_data, load_case_text
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused
from saltriage.interview import Interview
from saltriage.interview.saved import interview_of_text, saved_text
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.retired import fate_of
from saltriage.plans.water_balance import water_balance
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.web.owner import next_page
from saltriage.web.walk import Walk

TODAY = load_knowledge()
GONE = later(TODAY, "symptom", "plates-scaled", because="The lamp says more.")
RENAMED = later(TODAY, "symptom", "low-salt-warning", now="salt-lamp-lit")
GONE_NOTE = "the symptom plates-scaled is no longer used: The lamp says more"
RENAMED_NOTE = "the symptom low-salt-warning is now salt-lamp-lit"


def case_of(knowledge, **data) -> Case:
    return Case.from_data(data, knowledge)


def test_a_symptom_that_is_gone_is_left_out_and_kept():
    """It counts for nothing, the diagnosis says so, and writing the case loses nothing."""
    case = case_of(GONE, symptoms={"plates-scaled": "yes", "heavy-rain": "yes"})

    assert dict(case.symptoms) == {"heavy-rain": True}
    assert GONE_NOTE in diagnose(case, GONE).assumptions
    assert GONE_NOTE in " ".join(diagnosis_text(diagnose(case, GONE), reader="support").split())
    assert case_to_data(case)["symptoms"] == {"heavy-rain": "yes", "plates-scaled": "yes"}
    assert Case.from_data(case_to_data(case), GONE) == case


def test_a_symptom_that_has_a_successor_counts_as_that():
    """What is told under its own id wins."""
    alone = case_of(RENAMED, symptoms={"low-salt-warning": "yes"})
    both = case_of(RENAMED, symptoms={"low-salt-warning": "yes", "salt-lamp-lit": "no"})

    assert dict(alone.symptoms) == {"salt-lamp-lit": True}
    assert dict(both.symptoms) == {"salt-lamp-lit": False}
    assert [each.said for each in both.retired] == [RENAMED_NOTE]


def test_edits_know_both_ids():
    """An answer is set anew and taken away under either."""
    case = case_of(RENAMED, symptoms={"low-salt-warning": "yes"})

    assert case.with_symptom("salt-lamp-lit", "no", RENAMED).symptoms == {"salt-lamp-lit": False}
    assert case.with_symptom("low-salt-warning", "no", RENAMED).symptoms == {"salt-lamp-lit": False}
    for id in ("salt-lamp-lit", "low-salt-warning"):
        assert case.without(id, knowledge=RENAMED).symptoms == {}


def test_a_successor_of_a_successor():
    """The last of them counts; a circle, which the check refuses, ends the search."""
    twice = later(RENAMED, "symptom", "salt-lamp-lit", now="lamp-for-salt")
    gone = later(RENAMED, "symptom", "salt-lamp-lit", because="No unit has it.")

    assert case_of(twice, symptoms={"low-salt-warning": "yes"}).symptoms == {"lamp-for-salt": True}
    assert fate_of("symptom", "low-salt-warning", gone).said.endswith("no longer used: No unit has it")
    circle = later(later(TODAY, "symptom", "foam", now="suds"), "symptom", "suds", now="foam")
    assert fate_of("symptom", "suds", circle).now == ""


def test_a_reading_with_and_without_successor():
    """Its number counts where the other takes such numbers, and is left out where it does not."""
    gone = later(TODAY, "reading", "nitrate")
    same = later(TODAY, "reading", "nitrate", now="nitrate-ion")
    other = later(TODAY, "reading", "nitrate", now="water-temperature")
    told = {"nitrate": {"value": 20, "unit": "mg/L"}}

    assert case_of(gone, readings=told).readings == {}
    assert case_of(same, readings=told).readings["nitrate-ion"].value == 20
    assert case_of(same, readings={**told, "nitrate-ion": "5 mg/L"}).readings["nitrate-ion"].value == 5
    left = case_of(other, readings=told)
    assert left.readings == {}
    assert (
        left.retired[0].said
        == "the reading nitrate is now water-temperature, which cannot be taken from it; it was left out"
    )


def test_targets_and_settings_of_the_past():
    """A chosen target profile and a number under equipment."""
    target = later(TODAY, "target", "private-outdoor-salt", now="private-salt-outdoors")
    setting = later(TODAY, "reading", "cold-limit")

    assert case_of(target, pool={"targets": "private-outdoor-salt"}).targets == "private-salt-outdoors"
    assert case_of(later(TODAY, "target", "private-indoor-salt"), pool={"targets": "private-indoor-salt"}).targets == ""
    case = case_of(setting, equipment={"cold-limit": "12 degC"})
    assert [each.path for each in case.retired] == [("equipment", "cold-limit")]
    assert case_to_data(case)["equipment"] == {"cold-limit": "12 degC"}


def test_what_cannot_be_is_refused_as_ever():
    """A retired id is no way past the checks of its successor, and an unknown id is not retired."""
    with pytest.raises(CaseRefused, match=r"symptoms\.low-salt-warning"):
        case_of(RENAMED, symptoms={"low-salt-warning": "perhaps"})
    with pytest.raises(CaseRefused, match="unknown symptom"):
        case_of(GONE, symptoms={"plates-scald": "yes"})


def test_the_water_says_it_as_well():
    """`saltriage water` diagnoses nothing, but leaves out the same."""
    case = case_of(GONE, symptoms={"plates-scaled": "yes"}, readings={"ph": 7.4}, pool={"volume": "45 m3"})

    assert GONE_NOTE in water_balance(case, GONE).assumptions


@pytest.mark.parametrize(("knowledge", "note"), [(GONE, GONE_NOTE), (RENAMED, RENAMED_NOTE)])
def test_a_saved_interview_goes_on(knowledge, note):
    """With its steps, so that it is known what was asked; an undone step stays undone."""
    interview = Interview.start(TODAY).answer({"low-salt-warning": "yes"}).answer({"plates-scaled": "no"})
    question = interview.next_question()
    interview = interview.answer({item.id: "later" for item in question.items}, question)
    again = interview_of_text(saved_text(interview), knowledge)

    assert [step.said for step in again.steps] == [step.said for step in interview.steps]
    assert again.skipped == interview.skipped
    assert [each.said for each in again.case.retired] == [note]
    assert note in diagnose(again.case, knowledge).assumptions
    assert interview_of_text(saved_text(again), knowledge) == again
    assert again.undo().undo().case.symptoms == (
        {"low-salt-warning": True} if knowledge is GONE else {"salt-lamp-lit": True}
    )


@pytest.mark.parametrize(("knowledge", "note"), [(GONE, GONE_NOTE), (RENAMED, RENAMED_NOTE)])
def test_a_page_that_was_open_when_the_rules_changed(knowledge, note):
    """The hidden state of a walk, and the answer to a question that is asked no more."""
    walk = Walk({"symptoms": {"low-salt-warning": "yes"}}, trail=("low-salt-warning",))
    form = {"state": walk.text(), "step": "question", "asked": "plates-scaled", "answer": "no", "go": "result"}
    page = next_page(form, knowledge)

    assert page.template == "result.html.j2"
    assert note in page.values["diagnosis"].assumptions
    assert page.values["walk"].case["symptoms"] == {"low-salt-warning": "yes", "plates-scaled": "no"}


def test_a_list_that_was_open_when_the_rules_changed():
    """An answer ticked in the list of all symptoms is taken as well."""
    form = {"state": Walk().text(), "step": "list", "s.low-salt-warning": "yes", "go": "result"}

    assert RENAMED_NOTE in next_page(form, RENAMED).values["diagnosis"].assumptions


def test_a_batch_of_old_cases(monkeypatch):
    """Each line gives a diagnosis with the note."""
    monkeypatch.setattr(worker, "knowledge_of", lambda rules: GONE)
    line = json.dumps({"symptoms": {"plates-scaled": "yes", "low-salt-warning": "yes"}}).encode()
    (result,) = (json.loads(each) for each in worker.diagnosed_lines([(1, line)]))

    assert result["causes"]
    assert GONE_NOTE in result["assumptions"]


def test_a_file_of_a_case_that_names_it_loads():
    """Text as `saltriage diagnose` reads it."""
    assert load_case_text('symptoms: {plates-scaled: "yes"}\n', GONE).retired[0].path == ("symptoms", "plates-scaled")
