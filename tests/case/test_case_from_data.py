"""What a case becomes: canonical values, intervals, context; and that nothing typed is lost on the way."""

import copy
import json
import pickle
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.case import Case, ProductAtHand, case_to_data, load_case
from saltriage.knowledge.model import Knowledge
from saltriage.pool.interval import Interval

WHOLE: dict[str, Any] = {
    "case": "low-salt-after-rain",
    "title": "Low salt after rain",
    "story": "Invented. It rained for a week.\nThen the lamp came on.",
    "told": "volunteered",
    "symptoms": {"low-salt-warning": "yes", "return-jets-weak": False, "bubbles": "unknown"},
    "readings": {
        "salt": {"value": 2400, "unit": "ppm", "method": "drop-test"},
        "ph": {"value": 7.6, "method": "drop-test"},
        "water-temperature": "84 °F",
        "free-chlorine": {"value": 0, "unit": "mg/L", "precision": "0.3 mg/L"},
        "salt-shown": "2500 mg/L",
    },
    "pool": {
        "volume": "45 m3", "volume-uncertainty": "10 %", "surface": "vinyl", "setting": "outdoor", "cover": "none",
        "targets": "outdoor-plaster", "kind": "in-ground",
    },
    "equipment": {
        "profile": "common-band", "salt-band": {"low": "2.8 g/L", "high": "3500 mg/L"}, "rated-output": "0.5 lb/day",
        "cell-age": "18 months", "hours-per-day": "8 h/day", "output-setting": "60 %", "pump": "variable-speed",
        "clean-filter-pressure": "12 psi",
    },
    "products": {"acid": {"product": "muriatic-31", "strength": "31.45 %"}, "salt": {"product": "pool-salt"}},
    "expect": {"first": ["salt-low"], "dose": {"action": "add-salt", "low": "30 kg", "high": "60 kg"}},
    "known-gap": "Shows how a gap is noted.",
}  # fmt: skip


@pytest.fixture(scope="session")
def whole(rules: Knowledge) -> Case:
    return Case.from_data(WHOLE, rules)


def test_answers_are_split_into_known_and_unknown(whole: Case) -> None:
    """Yes and no are kept, booleans count as such, an unknown is remembered but is no answer."""
    assert dict(whole.symptoms) == {"low-salt-warning": True, "return-jets-weak": False}
    assert whole.unknown == {"bubbles"}


@pytest.mark.parametrize(
    ("reading", "value", "low", "high", "typed", "origin"),
    [
        ("salt", 2400, 2200, 2600, "2400 ppm", "told"),
        ("ph", 7.6, 7.4, 7.8, "7.6", "told"),
        ("water-temperature", 260 / 9, 260 / 9, 260 / 9, "84 degF", "told"),
        ("free-chlorine", 0, 0, 0.3, "0 mg/L", "told"),
        ("salt-shown", 2500, 2500, 2500, "2500 mg/L", "told"),
        ("pool-volume", 45000, 40500, 49500, "45 m3", "setting"),
        ("salt-band-low", 2800, 2800, 2800, "2.8 g/L", "setting"),
        ("salt-band-high", 3500, 3500, 3500, "3500 mg/L", "setting"),
        ("rated-output", 453.59237 / 48, 453.59237 / 48, 453.59237 / 48, "0.5 lb/day", "setting"),
        ("cell-age", 1.5, 1.5, 1.5, "18 months", "setting"),
        ("hours-per-day", 8, 8, 8, "8 h", "setting"),
        ("output-setting", 60, 60, 60, "60 %", "setting"),
        ("cold-limit", 15, 15, 15, "15 degC", "profile"),
    ],
)
def test_numbers_become_intervals_in_the_unit_of_their_rule(
    whole: Case, reading: str, value: float, low: float, high: float, typed: str, origin: str
) -> None:
    """The method's precision widens a value, a typed one replaces it, an impossible part is cut off."""
    found = whole.readings[reading]

    assert found.value == pytest.approx(value, rel=1e-12)
    assert (found.interval.low, found.interval.high) == pytest.approx((low, high), rel=1e-9)
    assert (found.typed, found.origin) == (typed, origin)


def test_the_rest_of_the_case(whole: Case) -> None:
    """Contexts of pool and equipment stand together; products carry their strength as a number."""
    expected = {
        "surface": "vinyl",
        "setting": "outdoor",
        "cover": "none",
        "kind": "in-ground",
        "pump": "variable-speed",
    }
    assert dict(whole.contexts) == expected
    assert dict(whole.products) == {"acid": ProductAtHand("muriatic-31", 31.45), "salt": ProductAtHand("pool-salt")}
    assert (whole.profile, whole.targets, whole.told) == ("common-band", "outdoor-plaster", "volunteered")
    assert whole.expect == WHOLE["expect"]


def test_the_larger_precision_of_a_method_counts(rules: Knowledge) -> None:
    """A strip is good to a tenth of the value, and never better than its absolute step."""
    for value, half in ((1000, 300), (5000, 500)):
        entry = {"value": value, "unit": "mg/L", "method": "test-strip"}
        case = Case.from_data({"readings": {"salt": entry}}, rules)

        assert case.readings["salt"].interval == Interval(value - half, value + half)


@pytest.mark.parametrize(
    ("entry", "half"),
    [("5 %", 130.0), ("200 ppm", 200.0), ("0.1 g/L", 100.0), ("0 %", 0.0)],
)
def test_a_typed_precision_wins_over_the_method(rules: Knowledge, entry: str, half: float) -> None:
    """Whoever knows the kit better may say so, in percent of the value or as an amount."""
    data = {"readings": {"salt": {"value": 2600, "unit": "ppm", "method": "drop-test", "precision": entry}}}

    assert Case.from_data(data, rules).readings["salt"].interval == Interval(2600 - half, 2600 + half)


def test_a_precision_in_degrees_is_a_difference(rules: Knowledge) -> None:
    """1.8 degF of precision is 1 degC, not minus 16.8."""
    data = {"readings": {"water-temperature": {"value": 77, "unit": "degF", "precision": "1.8 degF"}}}

    assert Case.from_data(data, rules).readings["water-temperature"].interval == Interval(24.0, 26.0)


def test_us_units_settle_gallons(rules: Knowledge) -> None:
    """A case that says that its units are US ones may write gal; it is saved without the doubt."""
    case = Case.from_data({"units": "us", "pool": {"volume": "12,000 gal"}}, rules)

    assert case.readings["pool-volume"].value == pytest.approx(45424.941408)
    assert case.for_units == "us"
    assert case_to_data(case)["pool"] == {"volume": "12000 US gal"}


def test_settings_may_stand_among_the_readings(rules: Knowledge) -> None:
    """Interview and web page know readings only; what they write means the same as a pool's own field."""
    one = Case.from_data({"readings": {"pool-volume": "45 m3", "cell-age": "4 years"}}, rules)
    two = Case.from_data({"pool": {"volume": "45 m3"}, "equipment": {"cell-age": "4 years"}}, rules)

    assert one == two


def test_free_above_total_within_both_precisions_is_believed(rules: Knowledge) -> None:
    """Two drops too many are no contradiction."""
    readings = {
        "free-chlorine": {"value": 3.2, "unit": "mg/L", "method": "drop-test"},
        "total-chlorine": {"value": 3.0, "unit": "mg/L", "method": "drop-test"},
    }

    assert set(Case.from_data({"readings": readings}, rules).readings) == set(readings)


def test_an_empty_case_is_a_case(rules: Knowledge) -> None:
    """Nothing told is nothing known, not an error."""
    assert Case.from_data({}, rules) == Case(id="unnamed")
    assert Case.from_data({}, rules, name="cases/demo/green-pool.yaml").id == "green-pool"


def test_saved_and_loaded_it_is_the_same(whole: Case, rules: Knowledge) -> None:
    """A record of a call can be opened again, and saved again to the same data."""
    data = case_to_data(whole)

    assert Case.from_data(data, rules) == whole
    assert case_to_data(Case.from_data(data, rules)) == data
    assert list(data)[:4] == ["case", "title", "story", "told"]


def _amounts(units: list[str], low: float, high: float) -> st.SearchStrategy[str]:
    return st.builds(lambda number, unit: f"{number!r} {unit}", st.floats(low, high), st.sampled_from(units))


_TOLD = st.fixed_dictionaries(
    {},
    optional={
        "case": st.from_regex(r"[a-z]{1,9}(-[a-z]{1,9})?", fullmatch=True),
        "story": st.text(st.characters(exclude_categories=["Cc", "Cs", "Cf"]), max_size=40),
        "told": st.sampled_from(["volunteered", "asked"]),
        "units": st.sampled_from(["metric", "us"]),
        "symptoms": st.dictionaries(
            st.sampled_from(["bubbles", "low-salt-warning"]), st.sampled_from(["yes", "no", "unknown", True, False])
        ),
        "readings": st.fixed_dictionaries(
            {},
            optional={
                "salt": st.fixed_dictionaries(
                    {"value": st.floats(0, 40) | st.integers(0, 40), "unit": st.sampled_from(["g/L", "ppm", "kg/m3"])},
                    optional={"method": st.just("test-strip"), "precision": st.sampled_from(["5 %", "90 mg/L"])},
                ),
                "water-temperature": _amounts(["degF", "F", "°F"], 31, 120) | _amounts(["K"], 273, 320),
                "ph": st.floats(0, 14) | st.just("pH 7.4"),
                "salt-band-low": _amounts(["ppm"], 2000, 2600),
                "cell-age": _amounts(["years", "months", "days"], 0, 20),
            },
        ),
        "pool": st.fixed_dictionaries(
            {"volume": _amounts(["m3", "US gal", "imp gal"], 1, 900)},
            optional={"volume-uncertainty": st.sampled_from(["10 %", "1 m3"]), "surface": st.just("tile")},
        ),
        "equipment": st.fixed_dictionaries(
            {}, optional={"profile": st.just("common-band"), "hours-per-day": _amounts(["h", "h/day"], 0, 24)}
        ),
        "products": st.just({"acid": {"product": "muriatic-31", "strength": "31.45 %"}}),
        "expect": st.just({"first": "a", "never": {"causes": ["b"]}}),
    },
)


@given(_TOLD)
def test_any_case_is_saved_and_loaded_the_same(rules: Knowledge, told: dict[str, Any]) -> None:
    """Through a file on disk as well: not a digit is lost."""
    case = Case.from_data(told, rules)

    assert Case.from_data(case_to_data(case), rules) == case
    assert load_case(json.dumps(case_to_data(case)), rules) == case


def test_a_case_cannot_be_written_to_and_travels(whole: Case) -> None:
    """Nobody changes a case by accident; other processes get an equal one."""
    with pytest.raises(TypeError):
        whole.symptoms["bubbles"] = True  # type: ignore[index]
    assert pickle.loads(pickle.dumps(whole)) == whole == copy.deepcopy(whole)
    assert hash(pickle.loads(pickle.dumps(whole))) == hash(whole)


def test_the_data_given_is_neither_kept_nor_changed(rules: Knowledge) -> None:
    """The caller's mapping can be used again and changed afterwards."""
    data = copy.deepcopy(WHOLE)
    case = Case.from_data(data, rules)

    assert data == WHOLE
    data["expect"]["first"].append("other")
    assert case.expect == WHOLE["expect"]


@given(st.randoms(use_true_random=False))
def test_the_order_of_keys_does_not_matter(rules: Knowledge, random: Any) -> None:
    """Answers in any order make the same case, down to the order in which it lists them."""

    def shuffled(value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        keys = list(value)
        random.shuffle(keys)
        return {key: shuffled(value[key]) for key in keys}

    one, two = Case.from_data(WHOLE, rules), Case.from_data(shuffled(WHOLE), rules)

    assert one == two
    assert list(one.readings) == list(two.readings)
    assert list(case_to_data(one)["equipment"]) == list(case_to_data(two)["equipment"])


_METRIC_AND_US = (
    ("readings", "salt", "mg/L", "ppm", 1.0, 0.0, 50000.0),
    ("readings", "water-temperature", "degC", "degF", 0.0, -1.0, 60.0),
    ("readings", "filter-pressure", "kPa", "psi", 0.45359237 * 9.80665 / 0.0254**2 / 1000, -50.0, 600.0),
    ("pool", "volume", "L", "US gal", 3.785411784, 1.0, 5e6),
    ("equipment", "rated-output", "g/h", "lb/day", 453.59237 / 24, 0.0, 500.0),
)


@given(st.tuples(*(st.floats(0, 1) for _ in _METRIC_AND_US)))
def test_metric_and_us_typing_give_the_same_case(rules: Knowledge, parts: tuple[float, ...]) -> None:
    """The same pool told by a metric and by a US caller, within rounding, also at the ends of what is allowed."""
    metric: dict[str, Any] = {"pool": {"volume-uncertainty": "10 %"}}
    us: dict[str, Any] = {"pool": {"volume-uncertainty": "10 %"}}
    for (section, field, unit, us_unit, factor, low, high), part in zip(_METRIC_AND_US, parts, strict=True):
        value = low + (high - low) * part
        us_value = value * 9 / 5 + 32 if us_unit == "degF" else value / factor
        metric.setdefault(section, {})[field] = f"{value!r} {unit}"
        us.setdefault(section, {})[field] = f"{us_value!r} {us_unit}"

    one, two = Case.from_data(metric, rules), Case.from_data(us, rules)

    assert len(one.readings) == len(_METRIC_AND_US)
    for reading, told in one.readings.items():
        other = two.readings[reading]
        expected = (told.value, told.interval.low, told.interval.high)
        assert (other.value, other.interval.low, other.interval.high) == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_edits_give_new_cases(whole: Case, rules: Knowledge) -> None:
    """The interview adds and takes back; the case it had stays as it was."""
    before = case_to_data(whole)
    with_bubbles = whole.with_symptom("bubbles", True, rules)
    with_salt = whole.with_reading("salt", "3000 mg/L", rules)
    smaller = whole.with_reading("pool-volume", "40 m3", rules)

    assert (with_bubbles.symptoms["bubbles"], with_bubbles.unknown) == (True, frozenset())
    assert with_salt.readings["salt"].interval == Interval(3000, 3000)
    assert smaller.readings["pool-volume"].interval == Interval(40000, 40000)
    assert case_to_data(whole) == before
    assert with_bubbles.with_symptom("bubbles", "unknown", rules) == whole
    assert whole.without("salt", "bubbles", "nothing-of-the-kind", knowledge=rules).unknown == frozenset()
    assert "salt" not in whole.without("salt", knowledge=rules).readings


def test_one_end_of_the_salt_band_can_be_changed_and_taken_back(whole: Case, rules: Knowledge) -> None:
    """Without its own number the case falls back on the profile's; one end alone is saved, too."""
    lower = whole.with_reading("salt-band-low", "2900 mg/L", rules)
    without = whole.without("salt-band-low", knowledge=rules)

    assert lower.readings["salt-band-low"].value == 2900
    assert lower.readings["salt-band-high"].value == 3500
    assert (without.readings["salt-band-low"].value, without.readings["salt-band-low"].origin) == (2700, "profile")
    assert Case.from_data(case_to_data(without), rules) == without
