"""The exam on all strangers' sheets, held a notch below what was reached, so that no later change loses it unseen.

Measured when the floors were set, from forms and without reading the words as a whole (those weights have learned the
openings of these very sheets): first right in 0.88, one of the first three in 0.98. V5 was kept aside while the
knowledge was tuned: 0.63 and 0.86. Honest figures of the words stand in DEVELOPERS.md and are measured by
`cases exam --weights --account-weights` with weights that lack the voice.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from saltriage.exam import Mode, exam_data, examined, files_of, read_papers
from saltriage.knowledge import load_knowledge

HERE = Path(__file__).parent


@pytest.mark.parametrize(("voices", "first", "three"), [(("V1", "V2", "V3", "V4"), 0.86, 0.96), (("V5",), 0.6, 0.84)])
def test_forms_are_answered_as_well_as_before(voices: tuple[str, ...], first: float, three: float) -> None:
    rules = replace(load_knowledge(HERE.parents[1] / "rules"), accounts=lambda text: {})
    papers = read_papers(files_of([HERE / f"{voice}.jsonl" for voice in voices]), rules)

    whole = exam_data(examined(papers, Mode.form, rules), [])["whole"]

    assert whole["sheets"] >= 50 * len(voices)
    assert whole["first"]["share"] >= first
    assert whole["first-three"]["share"] >= three
    assert whole["hazards"]["share"] == 1.0
    assert whole["not-enough-known"]["share"] >= 0.85
    assert whole["has-needed"]["share"] >= 0.76
    assert whole["free-of-forbidden"]["share"] >= 0.97


@pytest.mark.parametrize(("mode", "first", "three"), [(Mode.form, 0.8, 0.92), (Mode.talk, 0.7, 0.78)])
def test_calls_that_nothing_was_learned_from(mode: Mode, first: float, three: float) -> None:
    """V12, V13, V15 and V19, with all readers as they are: they know none of their words.

    Reached: form 0.82 and 0.94, talk 0.72 and 0.81; what must be said 0.74 and 0.58. (V12, V13 and V15 alone: form 0.83
    and 0.93, talk 0.72 and 0.79, what must be said 0.82 and 0.65.)
    """
    rules = load_knowledge(HERE.parents[1] / "rules")
    papers = read_papers(files_of([HERE / f"{voice}.jsonl" for voice in ("V12", "V13", "V15", "V19")]), rules)

    whole = exam_data(examined(papers, mode, rules), [])["whole"]

    assert whole["sheets"] >= 220
    assert whole["first"]["share"] >= first
    assert whole["first-three"]["share"] >= three
    assert whole["hazards"]["share"] == 1.0
