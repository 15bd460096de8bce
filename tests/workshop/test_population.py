"""Sampled callers: always the same for a seed, always cases that can be read, both sorts in turn."""

from saltriage.case import Case, load_case
from saltriage.errors import CaseRefused
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.workshop.population import sampled_callers
from saltriage.workshop.reference_cases import case_files


def test_a_seed_draws_the_same_callers():
    """Same seed, same callers; another seed, others; as many as asked for."""
    knowledge = load_knowledge()
    cases = [load_case(path, knowledge) for path in case_files(data_folder("cases") / "reference")[:40]]

    first = list(sampled_callers(knowledge, cases, 60, 7))
    assert first == list(sampled_callers(knowledge, cases, 60, 7))
    assert first != list(sampled_callers(knowledge, cases, 60, 8))
    assert [each["case"] for each in first] == [f"caller-{number}" for number in range(1, 61)]
    assert all(each["title"].startswith(("Caller with ", "As in ")[number % 2]) for number, each in enumerate(first))


def test_nearly_all_can_be_read():
    """A varied reading may leave what is believed and be refused; few do, and none of those drawn from a rule."""
    knowledge = load_knowledge()
    cases = [load_case(path, knowledge) for path in case_files(data_folder("cases") / "reference")]
    refused = []
    for data in sampled_callers(knowledge, cases, 300):
        try:
            Case.from_data(data, knowledge)
        except CaseRefused:
            refused.append(data["title"])

    assert len(refused) <= 10, refused
    assert not any(title.startswith("Caller with") for title in refused)


def test_without_cases_all_come_from_rules():
    """An empty list of cases is no trouble."""
    callers = sampled_callers(load_knowledge(), [], 6)

    assert all(each["title"].startswith("Caller with ") and each["symptoms"] is not None for each in callers)
