"""Coverage of cases: what takes part, and what happens when an answer is missing."""

from rule_edits import change

from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.workshop.coverage import KEPT, coverage, coverage_text
from saltriage.workshop.reference_cases import case_files


def test_shipped_cases_cover_the_rules():
    """Every rule takes part in a case, and every cause comes first in one."""
    found = coverage(case_files(data_folder("cases") / "reference"), load_knowledge(), leave_one_out=False)

    assert {kind: ids for kind, ids in found.silent.items() if ids} == {}
    assert found.never_first == ()


def test_missing_answers_seldom_mislead():
    """Of every sixth case each answer is hidden in turn; `saltriage cases coverage` hides those of all."""
    found = coverage(case_files(data_folder("cases") / "reference")[::6], load_knowledge())

    assert len(found.hidden) > 200
    assert found.kept >= KEPT


def test_what_takes_part_in_no_case_is_named(rules):
    """A cause that comes first in no case and a doubt that is never raised."""
    for case in case_files(rules.parent / "cases"):
        if case.stem != "low-salt-after-rain":
            case.unlink()
    found = coverage(case_files(rules.parent / "cases"), load_knowledge(rules))

    assert "water-too-cold" in found.never_first
    assert found.silent["doubts"] == ("old-strip",)
    assert not found.passed
    assert "in no case: old-strip" in coverage_text(found)


def test_each_answer_is_hidden_in_turn(rules):
    """One line for each answer and told reading of a case that says what comes first; none where it does not."""
    files = [path for path in case_files(rules.parent / "cases") if path.stem == "low-salt-after-rain"]
    knowledge = load_knowledge(rules)

    found = coverage(files, knowledge)
    change(files[0], ("  first: salt-too-low\n", ""))

    assert [one.answer for one in found.hidden] == ["burning-smell", "low-salt-warning", "salt"]
    assert all(one.first == "salt-too-low" and one.place >= 1 for one in found.hidden)
    assert coverage(files, knowledge).hidden == ()
