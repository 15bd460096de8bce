"""Accounts as a whole: bounded, repeatable, refused where damaged."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.errors import UsageRefused
from saltriage.words.accounts import account_reader, read_account_weights, write_account_weights

READER = account_reader()


@given(st.text(max_size=300))
@settings(max_examples=60, deadline=None)
def test_no_account_counts_more_than_the_corpus_allows(text: str) -> None:
    ratios = READER.ratios(text)

    assert set(ratios) in (set(), set(READER.weights.causes))
    assert all(1 / READER.weights.most <= ratio <= READER.weights.most for ratio in ratios.values())
    assert READER.ratios(text) == ratios


def test_words_speak_for_the_cause_of_those_who_spoke_so() -> None:
    """Invented for this test; the causes are common practice, no source."""
    for said, cause in (
        ("Three days of rain, it ran over the edge, and now the salt lamp is on.", "salt-diluted-by-rain"),
        ("Since I opened the pump lid there is froth under it and bubbles come out of the jets.", "pump-lid-leaks-air"),
        (
            "In autumn the water got cold, 11 degrees, and the box says low salt though the shop tested it right.",
            "cold-water",
        ),
    ):
        ratios = READER.ratios(said)
        assert cause in sorted(ratios, key=lambda each: -ratios[each])[:3], said


def test_nothing_said_says_nothing() -> None:
    assert READER.ratios(" \n") == {}
    assert math.isclose(sum(READER.chances("the pool")), 1.0)


def test_the_file_holds_all_and_damage_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "weights.npz"
    write_account_weights(path, READER.weights)
    again = read_account_weights(path)

    assert again.causes == READER.weights.causes
    assert (again.shares == READER.weights.shares).all()
    assert (again.columns == READER.weights.columns).all()
    first = path.read_bytes()
    write_account_weights(path, again)
    assert path.read_bytes() == first
    path.write_bytes(first[: len(first) // 2])
    with pytest.raises(UsageRefused, match="rules train"):
        read_account_weights(path)
    with pytest.raises(UsageRefused, match="cannot be read"):
        read_account_weights(tmp_path / "none.npz")
