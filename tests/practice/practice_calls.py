"""Practice calls for tests: of the case library, of call sheets, and decisions that the program would take."""

from functools import cache
from pathlib import Path

from saltriage.exam import files_of, read_papers
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.practice import Decision, PracticeCaller, PracticeLibrary, caller_of_paper
from saltriage.practice.marking import first_steps

KNOWLEDGE = load_knowledge()
CASES = data_folder("cases")
SHEETS = Path(__file__).parents[1] / "strangers" / "V2.jsonl"


@cache
def called(number: int) -> PracticeCaller:
    return PracticeLibrary(KNOWLEDGE, CASES).caller(number)


@cache
def sheet_callers() -> tuple[PracticeCaller, ...]:
    papers = read_papers(files_of([SHEETS]), KNOWLEDGE).scored
    return tuple(caller_of_paper(paper, f"call {place}", KNOWLEDGE) for place, paper in enumerate(papers, 1))


def best_decision(caller: PracticeCaller) -> Decision:
    """What the program decides once it knows all that the caller knows."""
    steps, causes = first_steps(caller), caller.whole.causes
    return Decision(causes[0].cause if causes else "", steps[0] if steps else "", bool(caller.whole.stops))
