"""Report, interview, pages and API ask the same thing about the same facts."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from saltriage.case import Case, load_case
from saltriage.diagnosis import diagnose
from saltriage.interview import Interview
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.workshop.reference_cases import case_files

ROOT = Path(__file__).parents[2]
SHARES = 8


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def cases(share: int, rules: Knowledge) -> Iterator[Case]:
    for path in case_files(ROOT / "cases")[share::SHARES]:
        yield load_case(path, rules)


@pytest.mark.parametrize("share", range(SHARES))
def test_a_report_asks_first_what_an_interview_asks_next(rules: Knowledge, share: int) -> None:
    """Over all reference, published and demo cases; a report that asks nothing stands where an interview ends."""
    for case in cases(share, rules):
        reported = diagnose(case, rules).next_checks
        interview = Interview.start(rules, case)
        question = interview.standing.question

        if reported and question is not None:
            assert reported[0].check == question.items[0].id, case.id
        else:
            assert interview.next_question() is None, case.id
