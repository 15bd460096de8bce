"""A step left over from rounding is no dose: a trillionth of the whole once became a list of parts without end."""

from dataclasses import replace
from random import Random
from typing import Any

import pytest
from test_laws import dosing_of, random_pool

from saltriage.dosing import planning
from saltriage.dosing.model import NotGiven


def test_what_is_next_to_nothing_is_not_given(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the chemical: where hardly anything is safe, none goes in, and no parts of it are counted."""
    seen: list[tuple[Any, ...]] = []
    original = planning.cut_to_law

    def kept(*given: Any) -> Any:
        seen.append(given)
        return original(*given)

    monkeypatch.setattr(planning, "cut_to_law", kept)
    for seed in range(6):
        assert dosing_of(random_pool(Random(seed))).plan is not None

    assert len(seen) > 5
    for chemical, product, whole, state, law in seen:
        cut = original(chemical, product, replace(whole, safe=whole.middle * 1e-9), state, law)
        assert isinstance(cut, NotGiven), chemical
