"""'No flow' as a name and as a denial; common practice, no source."""

import pytest
from phrases_alone import by_phrases

from saltriage.knowledge import load_knowledge
from saltriage.words.ear import ear_of
from saltriage.words.no_flow import No, no_of_flow

KNOWLEDGE = load_knowledge()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("i have a no flow light", No.NAMES),
        ("the no flow warning", No.NAMES),
        ("no flow light is on", No.NAMES),
        ("no flow error keeps coming", No.NAMES),
        ("keeps showing no flow warning", No.NAMES),
        ("there is no flow warning", No.DENIES),
        ("there has been no flow alarm", No.DENIES),
        ("no flow warnings", No.DENIES),
        ("no salt warning and no flow warning", No.DENIES),
        ("i have no flow light", No.UNSURE),
        ("no flow warning on the box", No.UNSURE),
        ("no flow at the jets", No.COUNTED),
        ("no foam", No.COUNTED),
        ("no", No.COUNTED),
    ],
)
def test_what_a_no_is(text: str, expected: No) -> None:
    """An article or a verb makes it a name, 'there is' a denial; else it stays open."""
    words = text.split()
    place = len(words) - 1 - words[::-1].index("no")

    assert no_of_flow(words, place, ear_of(KNOWLEDGE).reader.lexicon.no_name) is expected


@pytest.mark.parametrize(
    ("text", "present"),
    [
        ("I have a no flow warning", True),
        ("the no flow light is on", True),
        ("it says no flow", True),
        ("flow light keeps coming on", True),
        ("there is no flow warning", False),
        ("the flow light is not on", False),
        ("I have no flow warning", None),
        ("no flow warning on the box", None),
        ("no bubbles in the returns", None),
    ],
)
def test_the_flow_warning(text: str, present: bool | None) -> None:
    """None: nothing is heard of it, for nobody can tell, or it was not spoken of."""
    found = {each.id: each.present for each in by_phrases(text, KNOWLEDGE).symptoms}

    assert found.get("flow-warning") is present
    assert found.keys().isdisjoint({"no-return-flow", "flow-warning-only-at-start"})
