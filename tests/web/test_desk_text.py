"""Text reports as pieces of a page: what was folded for 80 columns is unfolded again."""

from hypothesis import given
from hypothesis import strategies as st

from saltriage.report.shared.lines import folded
from saltriage.web.desk_text import Piece, pieces_of

WORDS = st.text("abcdefgh:;()", min_size=1, max_size=20)
TEXTS = st.lists(WORDS, min_size=1, max_size=40).map(" ".join)


@given(st.lists(st.tuples(TEXTS, TEXTS), min_size=1, max_size=8))
def test_items_and_what_stands_under_them_come_back(told: list[tuple[str, str]]) -> None:
    """However long, folded at whatever words: each item and its note is one piece again."""
    lines = [line for item, under in told for line in (*folded(item, 2, "- "), *folded(under, 6))]

    assert pieces_of("\n".join(lines)) == [
        piece for item, under in told for piece in (Piece("item", item), Piece("under", under))
    ]


@given(st.lists(TEXTS, min_size=1, max_size=8))
def test_paragraphs_with_a_line_between_come_back(told: list[str]) -> None:
    text = "\n\n".join("\n".join(folded(each)) for each in told)

    assert pieces_of(text) == [Piece("line", each) for each in told]


def test_heads_and_rules() -> None:
    assert pieces_of("Pool\n====\nTHE WATER NOW\n  1. one\n  - two\n") == [
        Piece("line", "Pool"),
        Piece("head", "The water now"),
        Piece("item", "1. one"),
        Piece("item", "two"),
    ]
