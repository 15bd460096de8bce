"""The kind of answer in words: nothing is wrong, not enough is known, or the answers do not fit together."""

from collections.abc import Iterator, Sequence

from saltriage.explain.conclusion import CONTRADICTORY, NOT_ENOUGH, NOTHING_WRONG
from saltriage.report.diagnosis.choice import ReportChoice
from saltriage.result import EvidenceLine

__all__ = ["conclusion_words", "sign_titles"]

MOST_AT_ODDS = 3  # answers named that fit badly (own judgement)
_WAIT = "That can wait: do what stands at the top first."


def conclusion_words(choice: ReportChoice) -> Iterator[str]:
    """Sentences that stand before the causes; none where a cause is named. What would settle it comes with them."""
    diagnosis = choice.diagnosis
    if diagnosis.conclusion == NOTHING_WRONG:
        surer = "" if choice.first else f" {_settle(choice, 'To be surer')}"
        yield _WAIT if choice.grave else f"By the tests and answers given, nothing is wrong.{surer}"
    elif diagnosis.conclusion == NOT_ENOUGH:
        yield f"Not enough is known to name the cause. {_settle(choice, 'To settle it')}"
    elif diagnosis.conclusion == CONTRADICTORY:
        yield f"The answers do not fit together, so no cause is named. {_again(choice)}"
    elif not diagnosis.causes:
        yield "No known cause stands out."


def _settle(choice: ReportChoice, lead: str) -> str:
    """What would decide; nobody goes looking for a cause while there is danger."""
    diagnosis = choice.diagnosis
    if choice.grave:
        return _WAIT
    if diagnosis.next_checks:
        return f"{lead}: see 'Next, look at'."
    if diagnosis.causes:
        return f"{lead}: {diagnosis.causes[0].settle.for_reader(choice.reader)}"
    return f"{lead}: tell what else you see, or test the water."


def _again(choice: ReportChoice) -> str:
    """What to check again: the findings that speak loudest against the likeliest cause."""
    if choice.grave:
        return _WAIT
    causes = choice.diagnosis.causes
    told = causes[0].evidence_against if causes else ()
    against = [one.title if one.present else f"{one.title} (not there)" for one in told]
    return f"Check these again: {'; '.join(against[:MOST_AT_ODDS])}." if against else "Check them once more."


def sign_titles(evidence: Sequence[EvidenceLine]) -> list[str]:
    """Titles of what is there; of what is absent, and of words as a whole, only the full report speaks."""
    return [one.title for one in evidence if one.present and one.kind != "words"]
