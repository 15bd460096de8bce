"""Requests with one value changed: whatever stands in a record, an interview or a case, the answer is no breakdown."""

import copy
import json
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from saltriage.web.openapi_examples import EXAMPLES

ODD = (None, True, "", "\x00", "no-such-id", "2026-02-30", "9" * 400, -1, 0, 1e308, 2**70, [], {}, [[]], {"": ""})


def places(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in the data where a value stands."""
    yield at
    for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        yield from places(value, (*at, key))


def changed(data: Any, place: tuple[Any, ...], value: object) -> Any:
    if not place:
        return value
    whole = copy.deepcopy(data)
    inner = whole
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = value
    return whole


@pytest.mark.parametrize("name", EXAMPLES)
@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data())
def test_a_changed_request_is_answered_or_refused(client: httpx.Client, name: str, data: st.DataObject) -> None:
    """Never a 5xx; a refusal of the shape or the case says where."""
    place = data.draw(st.sampled_from(list(places(EXAMPLES[name]))))
    body = changed(EXAMPLES[name], place, data.draw(st.sampled_from(ODD)))

    answer = client.post(f"/api/v1/{name}", content=json.dumps(body), headers={"Content-Type": "application/json"})

    assert answer.status_code in (200, 400, 422), (place, answer.text)
    if answer.status_code == 422:
        assert all("pointer" in each for each in answer.json()["errors"])
        assert answer.json()["errors"]
