"""Numbers as owners type them, codes of cases, and what the page shows of words; without a browser."""

import json
from typing import Any

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.knowledge import Knowledge
from saltriage.web.case_code import case_of, code_of
from saltriage.web.fields import number_field, plain_number
from saltriage.web.owner_words import heard_rows
from saltriage.web.walk import Walk

WORDS = "The low salt light is on. My girl felt a tingle at the ladder, she got a shock. Chlorine 0,5"
leaves = st.text(max_size=12) | st.integers(-9, 9999) | st.booleans()


@given(st.dictionaries(st.text(max_size=9), leaves | st.dictionaries(st.text(max_size=9), leaves, max_size=4)))
def test_a_code_holds_any_case(case: dict[str, Any]) -> None:
    """Also with line ends and blanks that a message put in."""
    code = code_of(case)

    assert json.loads(case_of(code)) == case
    assert json.loads(case_of("\n ".join(code[start : start + 20] for start in range(0, len(code), 20)))) == case


@given(st.text(max_size=60))
def test_what_is_no_code_is_refused_as_such(text: str) -> None:
    with pytest.raises(ValueError, match="code"):
        case_of(text)
    with pytest.raises(ValueError, match="code"):
        case_of(code_of({"title": "x" * 50})[:-9] + "A" + text)


@pytest.mark.parametrize(
    ("typed", "reading", "unit", "number"),
    [
        ("7,8", "ph", "", 7.8), ("0,5", "free-chlorine", "mg/L", 0.5), ("3,200", "salt", "ppm", 3200),
        ("3,2", "salt", "g/L", 3.2), ("7,200", "ph", "", 7.2), (".5", "free-chlorine", "mg/L", 0.5),
        ("3200", "salt", "ppm", 3200), ("1,2,3", "salt", "ppm", None), ("about 3", "salt", "ppm", None),
        ("-1", "ph", "", None), ("٣", "ph", "", None),
    ],
)  # fmt: skip
def test_comma_and_point_are_understood(
    knowledge: Knowledge, typed: str, reading: str, unit: str, number: float | None
) -> None:
    """Three signs after a comma are thousands where that can be right, as English writes them, else parts."""
    assert plain_number(typed, knowledge.readings[reading], unit) == number


def test_a_field_says_what_can_be_right_and_what_no_method_costs(knowledge: Knowledge) -> None:
    walk = Walk().with_entry(("readings", "ph"), 7.4)
    field = number_field(knowledge.readings["ph"], walk, {})
    told = number_field(
        knowledge.readings["ph"], Walk().with_entry(("readings", "ph"), {"value": 7.4, "method": "x"}), {}
    )

    assert field.range == "can be 2 to 12"
    assert f"{knowledge.readings['ph'].widest_error(7.4):.3g}" in field.doubtful
    assert told.doubtful == ""


@given(st.text(max_size=80))
def test_marks_never_change_the_text(knowledge: Knowledge, text: str) -> None:
    pieces = heard_rows(text, Walk(), knowledge).pieces

    assert "".join(piece for piece, _ in pieces) == text
    assert {kind for _, kind in pieces} <= {"", "heard", "danger", "unheard"}


def test_words_are_shown_with_what_they_mean(knowledge: Knowledge) -> None:
    rows = heard_rows(WORDS, Walk(), knowledge)

    assert ("low salt light is on", "heard") in rows.pieces
    assert rows.danger
    assert [symptom.id for symptom, _ in rows.symptoms].count("low-salt-warning") == 1
    assert [(field.reading.id, field.value) for field in rows.numbers] == [("free-chlorine", "0.5")]
    assert heard_rows("", Walk(), knowledge).count == 0


def test_hearing_while_typing_is_a_small_answer(client: httpx.Client) -> None:
    """Pieces, a count, the danger, and rows as HTML in which nothing of the text comes to life."""
    evil = "<img src=x onerror=alert(1)> the low salt light is on"
    answer = client.post("/owner/hear", data={"words": evil, "units": "us"})

    told = answer.json()
    assert "".join(piece for piece, _ in told["pieces"]) == evil
    assert told["count"] == 1
    assert "<img" not in told["rows"]
    assert len(answer.content) < 6000
    assert client.post("/owner/hear", content=b"words=\xff").status_code == 422


@pytest.mark.parametrize("step", ["words", "list", "numbers", "pool", "question", "result", "spot/look-at-the-box"])
def test_every_address_gives_a_page(client: httpx.Client, step: str) -> None:
    answer = client.get(f"/owner/{step}")

    assert answer.status_code == 200
    assert "<h1" in answer.text
    assert client.get("/owner/nothing").status_code == 404
    assert client.get("/parts").status_code == 200
