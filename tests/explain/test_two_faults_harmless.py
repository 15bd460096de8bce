"""Two faults at once are never one fault and 'nothing is wrong'."""

from saltriage.case import Case
from saltriage.diagnosis import examine
from saltriage.explain.shown import TOGETHER, two_faults
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def test_what_is_as_it_should_be_is_no_second_fault() -> None:
    """Scaled plates and a mist that stops with the output: both are likely, one is a fault."""
    told = {"plates-scaled": "yes", "check-cell-warning": "yes", "crust-seen-through-cell": "yes",
            "mist-at-return": "yes", "mist-stops-at-zero-output": "yes"}  # fmt: skip
    explained = examine(Case.from_data({"symptoms": told}, KNOWLEDGE), KNOWLEDGE)
    likely = {cause for cause, chance in explained.chances.items() if chance >= TOGETHER}
    named = two_faults(explained)

    assert any(KNOWLEDGE.causes[cause].harmless for cause in likely)
    assert any(not KNOWLEDGE.causes[cause].harmless for cause in likely)
    assert named is None or not any(KNOWLEDGE.causes[cause].harmless for cause in named.causes)
