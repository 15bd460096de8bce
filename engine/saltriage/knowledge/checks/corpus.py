"""Checks of the lines that the readers of dangers and of sayings learn from. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

_LINES = "corpus/dangers/one.jsonl"

CHECKS = (
    Check(
        "R090",
        "danger-without-severity",
        "Danger and severity of a line disagree",
        "A harmless line has danger null and severity 0; a danger has its kind and a severity of 1 to 3.",
        Example('"danger": "electric", "severity": 0', '"danger": "electric", "severity": 3', at=_LINES),
    ),
    Check(
        "R091",
        "corpus-said-twice",
        "A line of the corpus says what another says",
        "Copies make the reader look better than it is: one is learned, the other is asked about. Keep one of the two.",
        Example('"said": "The ladder bites my hand!"', '"said": "How much salt do I need?"', at=_LINES),
    ),
    Check(
        "R092",
        "weights-stale",
        "A reader was not trained with these lines",
        "Its weights are missing, damaged or older than the corpus, or know a symptom that is no more. "
        "Run `saltriage rules train`, and commit the "
        "weights with the lines.",
        Example(at="corpus/dangers/weights.npz", how="gone"),
    ),
    Check(
        "R093",
        "corpus-words-not-said",
        "Words that were labelled do not stand in the call",
        "What a call says is learned from the very words of it. Copy them to the letter.",
        Example('"idle": ["the water looks green"]', '"idle": ["the water is green"]', at="corpus/sayings/two.jsonl"),
    ),
)
