"""The kind of answer in words: nothing is wrong, not enough is known, or the answers do not fit together."""

from collections.abc import Iterator, Sequence

from saltriage.report.diagnosis.choice import Choice
from saltriage.result import EvidenceLine

__all__ = ["conclusion_words", "sign_titles"]

MOST_AT_ODDS = 3  # answers named that fit badly (own judgement)


def conclusion_words(choice: Choice) -> Iterator[str]:
    """Sentences that stand before the causes; none where a cause is named. What would settle it comes with them."""
    diagnosis = choice.diagnosis
    match diagnosis.conclusion:
        case "nothing-wrong":
            surer = "" if choice.first else f" {_settle(choice, 'To be surer')}"
            yield f"As far as you told, nothing is wrong.{surer}"
        case "not-enough-known":
            yield f"Not enough is known to name the cause. {_settle(choice, 'To settle it')}"
        case "contradictory":
            yield "The answers do not fit together, so no cause is named."
            at_odds = _at_odds(choice)
            again = f"Check these again: {'; '.join(at_odds)}." if at_odds else "Check them once more."
            yield "That can wait: do what stands at the top first." if choice.grave else again
        case _:
            if not diagnosis.causes:
                yield "No known cause stands out."


def _settle(choice: Choice, lead: str) -> str:
    """What would decide; nobody goes looking for a cause while there is danger."""
    diagnosis = choice.diagnosis
    if choice.grave:
        return "That can wait: do what stands at the top first."
    if diagnosis.next_checks:
        return f"{lead}: see 'Next, look at'."
    if diagnosis.causes:
        return f"{lead}: {diagnosis.causes[0].settle.for_reader(choice.reader)}"
    return f"{lead}: tell what else you see, or test the water."


def _at_odds(choice: Choice) -> list[str]:
    """The findings that speak loudest against the likeliest cause."""
    causes = choice.diagnosis.causes
    against = causes[0].evidence_against if causes else ()
    return [one.title for one in against[:MOST_AT_ODDS]]


def sign_titles(evidence: Sequence[EvidenceLine]) -> list[str]:
    """Titles of what is there; of what is absent only the full report speaks."""
    return [one.title for one in evidence if one.present]
