"""Three-valued conditions against SQLite, whose AND, OR, NOT and comparisons with NULL follow the SQL standard.

Source: ISO/IEC 9075-2 (SQL), truth tables of AND, OR and NOT over true, false and unknown, which are Kleene's strong
tables (S. C. Kleene, Introduction to Metamathematics, 1952, section 64; named from memory). SQLite is the general
library that computes them here. Readings are exact in these checks: SQL knows no intervals.
"""

import sqlite3
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings

from saltriage.conditions.condition import (
    AllOf,
    AnyOf,
    Bound,
    Comparator,
    Condition,
    ContextIs,
    DoubtIs,
    Facts,
    Not,
    Number,
    ReadingIs,
    SymptomIs,
    Truth,
    compared,
    evaluate,
)
from saltriage.pool.interval import Interval

sys.path.insert(0, str(Path(__file__).parents[1] / "matching"))
from condition_trees import conditions, facts

_SQL_SIGNS = {"below": "<", "at-most": "<=", "above": ">", "at-least": ">="}


@pytest.fixture(scope="module")
def database() -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(":memory:")
    yield connection
    connection.close()


def literal(value: object) -> str:
    """NULL, 1 or 0, a number, or a quoted word."""
    if value is None:
        return "NULL"
    if isinstance(value, bool):
        return str(int(value))
    return f"'{value}'" if isinstance(value, str) else repr(value)


def sql(condition: Condition, given_facts: Facts) -> str:
    """The condition as a SQL expression, with the facts written into it."""
    match condition:
        case AllOf(parts) | AnyOf(parts):
            word = " AND " if isinstance(condition, AllOf) else " OR "
            return f"({word.join(sql(part, given_facts) for part in parts)})"
        case Not(part):
            return f"(NOT {sql(part, given_facts)})"
        case SymptomIs(symptom, present):
            return f"({literal(given_facts.symptoms.get(symptom))} = {int(present)})"
        case DoubtIs(doubt):
            return f"({literal(given_facts.doubts.get(doubt))} = 1)"
        case ContextIs(key, values):
            return f"({literal(given_facts.contexts.get(key))} IN ({', '.join(map(literal, values))}))"
        case ReadingIs(reading, comparator, bounds):
            sides = [side(reading, bound, given_facts) for bound in bounds]
            if comparator is Comparator.BETWEEN:
                (low, low_number), (high, high_number) = sides
                return f"({low} >= {low_number} AND {high} <= {high_number})"
            return f"({sides[0][0]} {_SQL_SIGNS[comparator.value]} {sides[0][1]})"


def side(reading: str, bound: Bound, given_facts: Facts) -> tuple[str, str]:
    """What is compared, to four decimals, and the number it is compared with."""
    one = given_facts.readings.get(reading)
    if isinstance(bound, Number):
        return literal(one and compared(one.low)), literal(compared(bound.value))
    other = given_facts.readings.get(bound.reading)
    return literal(one and other and compared(one.low - other.low)), literal(compared(bound.offset))


@settings(max_examples=100, deadline=None)
@given(conditions(), facts())
def test_conditions_over_exact_readings_are_true_false_or_null_as_in_sql(
    database: sqlite3.Connection, condition: Condition, given_facts: Facts
) -> None:
    exact = {reading: Interval.exact(interval.low) for reading, interval in given_facts.readings.items()}
    known = Facts(exact, given_facts.symptoms, given_facts.doubts, given_facts.contexts)

    (found,) = database.execute(f"SELECT {sql(condition, known)}").fetchone()

    assert evaluate(condition, known) is Truth.of(None if found is None else bool(found))


@pytest.mark.parametrize("one", Truth)
@pytest.mark.parametrize("other", Truth)
def test_truth_tables_are_those_of_sql(database: sqlite3.Connection, one: Truth, other: Truth) -> None:
    a, b = literal(one.known), literal(other.known)
    row = database.execute(f"SELECT {a} AND {b}, {a} OR {b}, NOT {a}").fetchone()

    assert (one & other, one | other, ~one) == tuple(Truth.of(None if cell is None else bool(cell)) for cell in row)
