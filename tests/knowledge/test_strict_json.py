"""Strict JSON: nothing silently dropped, nothing that is not a number."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.knowledge.findings import NotReadable
from saltriage.knowledge.places import Place
from saltriage.knowledge.strict_json import read_json
from saltriage.knowledge.strict_yaml import MAX_BYTES, MAX_DEPTH


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ('{"a": 1,\n "a": 2}', "R007", 2, 2),
        ('{"a": NaN}', "R014", 1, 7),
        ('{"a": [1, -Infinity]}', "R014", 1, 11),
        ('{"a": 1e999}', "R014", 1, 7),
        ('{"a": ' + "9" * 5000 + "}", "R014", 1, 1),
        ('{"a": 1,}', "R016", 1, 9),
        ("{'a': 1}", "R016", 1, 2),
        ("", "R016", 1, 1),
        ('{"a": 1} x', "R016", 1, 10),
        ('{"a": "b\tc"}', "R016", 1, 9),
        ("[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1), "R004", 1, 41),
        ("[" * 200_000, "R004", 1, 1),
        ("[" * 5_000_000, "R003", 1, 1),
        (b'{"a": "\xff"}', "R002", 1, 8),
    ],
)
def test_refusals_name_the_place(text, code, line, column):
    """What is not allowed is refused with its code at its line and column."""
    with pytest.raises(NotReadable) as caught:
        read_json(text)

    found = caught.value.finding
    assert (code, line, column) == (found.code, found.line, found.column), str(found)


def test_places_in_indented_json():
    """Keys and values know where they stand, also behind tabs."""
    document = read_json('{\n\t"readings": {"ph": 7.4}\n}')

    assert Place(2, 2, 10) == document.key_place(("readings",))
    assert Place(2, 21, 3) == document.place(("readings", "ph"))


def test_limits_are_exact():
    """MAX_DEPTH levels and MAX_BYTES bytes are read."""
    assert read_json("[" * MAX_DEPTH + "]" * MAX_DEPTH).data is not None
    assert len(read_json('"' + "x" * (MAX_BYTES - 2) + '"').data) == MAX_BYTES - 2


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**18), 10**18)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=10,
)


@settings(max_examples=100, deadline=None)
@given(json_values, st.sampled_from([None, 1, "\t"]))
def test_json_is_read_as_json(value, indent):
    """Whatever `json` writes is read back unchanged."""
    assert value == read_json(json.dumps(value, indent=indent)).data


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=100) | st.text(max_size=60) | st.text('{}[]",:0123456789.eE-+ntfNI\\u', max_size=40))
def test_anything_is_read_or_refused(source):
    """Any bytes and any text give data or our own refusal."""
    try:
        document = read_json(source)
    except NotReadable:
        return

    assert document.data == json.loads(source)
