"""Rules and cases by id or by file."""

import pytest

from saltriage.errors import UsageRefused
from saltriage.workshop.naming import case_named, id_named


def test_a_rule_by_id_or_file():
    assert "salt-too-low" == id_named("salt-too-low") == id_named("rules/causes/salt/salt-too-low.yaml")


def test_a_case_by_id_or_file(rules):
    """An id stands for the file that lies beside the rules; a path, and the standard input, for themselves."""
    path = rules.parent / "cases/reference/salt/low-salt-after-rain.yaml"

    assert str(path) == case_named("low-salt-after-rain", rules)
    assert [str(path), "-"] == [case_named(name, rules) for name in (str(path), "-")]


def test_an_id_that_no_case_has(rules):
    with pytest.raises(UsageRefused, match='Did you mean "low-salt-after-rain"'):
        case_named("low-salt-after-rains", rules)
