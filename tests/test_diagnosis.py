"""The whole way, on the shipped rules: the scenes that must come out right, and laws that hold for every case."""

import json
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from saltriage.case import Case, load_case
from saltriage.conditions import Matcher
from saltriage.diagnosis import dangers_of_case, diagnose
from saltriage.errors import SaltriageError
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.matching import conditions_of
from saltriage.report.diagnosis.html import diagnosis_html
from saltriage.report.diagnosis.json_form import diagnosis_json
from saltriage.report.diagnosis.text import diagnosis_text
from saltriage.result import Diagnosis

ROOT = Path(__file__).parents[1]
DEMO = sorted((ROOT / "cases" / "demo").glob("*.yaml"))


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def told(symptoms: dict[str, str], readings: dict[str, object] | None = None, **more: object) -> Diagnosis:
    return diagnose(Case.from_data({"symptoms": symptoms, "readings": readings or {}, **more}, rules()), rules())


def first(found: Diagnosis) -> str:
    return found.causes[0].cause


def shown(found: Diagnosis) -> set[str]:
    return {action.action for action in found.actions}


BAND = {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}}


def test_cold_water_is_not_low_salt() -> None:
    """Salt displayed low, 12 degC, salt by drop test in band: cold water leads, salt is not advised.

    Common practice, no source: an uncompensated unit reads cold water as low salt.
    """
    found = told(
        {"low-salt-warning": "yes"},
        {
            "salt-shown": "2300 mg/L",
            "salt": {"value": 3200, "unit": "mg/L", "method": "drop-test"},
            "water-temperature": "12 degC",
        },
        equipment=BAND,
    )

    assert first(found) == "cold-water"
    assert "add-salt" not in shown(found)


def test_a_bleached_zero_is_withdrawn() -> None:
    """Free chlorine 0 beside a very high total chlorine: the zero is not believed and no chlorine is advised.

    Common practice, no source: DPD bleaches above about 10 mg/L (ISO 7393-2 gives 5 mg/L as the end of its range).
    """
    found = told(
        {"free-chlorine-zero": "yes"} | {"shocked-lately": "yes"},
        {
            "free-chlorine": {"value": 0, "unit": "mg/L", "method": "dpd-by-eye"},
            "total-chlorine": {"value": 10, "unit": "mg/L", "method": "dpd-by-eye"},
        },
    )

    assert "free-chlorine" in {reading for doubt in found.doubts for reading in doubt.withdraws}
    assert "dilute-and-retest" in shown(found)
    assert not {action.action for action in found.actions if action.adds == "chlorine"}


def test_a_sample_that_flashed_pink_is_withdrawn() -> None:
    """The flash alone, without a total-chlorine test, withdraws the zero as well."""
    found = told({"sample-flashed-pink": "yes"}, {"free-chlorine": "0 mg/L"})

    assert "free-chlorine-bleached" in {doubt.doubt for doubt in found.doubts}
    assert "dilute-and-retest" in shown(found)
    assert not {action.action for action in found.actions if action.adds == "chlorine"}


def test_the_units_display_alone_never_justifies_salt() -> None:
    """A display far under its band without a separate test: salt is held back until it is tested."""
    found = told({"low-salt-warning": "yes", "salt-shown-low": "yes"}, {"salt-shown": "1500 mg/L"}, equipment=BAND)

    assert "add-salt" not in shown(found)
    assert "test-salt-by-drops" in shown(found)


def test_salt_of_this_morning_is_waited_for() -> None:
    """Salt takes about a day to dissolve and mix: common practice, no source. No second dose on the same day."""
    found = told(
        {"salt-added-today": "yes", "low-salt-warning": "yes"},
        {"salt": {"value": 2300, "unit": "mg/L", "method": "drop-test"}},
        equipment=BAND,
    )

    assert "add-salt" not in shown(found)


@pytest.mark.parametrize(
    ("demo", "cause", "action"),
    [
        ("low-salt-after-rain", "salt-diluted-by-rain", "add-salt"),
        ("scaled-plates-hard-water", "cell-scaled", "rinse-cell"),
        ("flow-warning-air-in-system", "pump-lid-leaks-air", "reseal-pump-lid"),
    ],
)
def test_demo_cases(demo: str, cause: str, action: str) -> None:
    """The three invented stories end at the cause that a technician would name, among the first two."""
    found = diagnose(load_case(ROOT / "cases" / "demo" / f"{demo}.yaml", rules()), rules())

    assert cause in [one.cause for one in found.causes[:2]]
    assert action in shown(found) | {each.action for each in found.withheld}


def test_the_salt_dose_of_the_demo_is_the_mass_balance() -> None:
    """(aim - reading) x volume, with 99 % pool salt: plain arithmetic."""
    found = diagnose(load_case(ROOT / "cases" / "demo" / "low-salt-after-rain.yaml", rules()), rules())

    dose = next(action.dose for action in found.actions if action.action == "add-salt")
    assert dose is not None
    assert dose.middle == pytest.approx((3050 - 2100) * 42_000 / 1000 / 0.99, rel=0.01)
    assert dose.low < dose.middle < dose.high


def test_nothing_known_names_no_cause() -> None:
    """An empty case is undecided and asks; it never advises."""
    found = told({})

    assert found.undecided
    assert found.causes == ()
    assert found.next_checks
    assert not shown(found)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_same_case_gives_the_same_bytes(path: Path) -> None:
    """Twice, and with the order of answers and readings turned round."""
    case = load_case(path, rules())
    data = json.loads(json.dumps(_data(path)))
    turned = {
        key: dict(reversed(value.items())) if isinstance(value, dict) else value
        for key, value in reversed(data.items())
    }

    once = diagnosis_json(diagnose(case, rules()))
    assert once == diagnosis_json(diagnose(load_case(path, rules()), rules()))
    assert once == diagnosis_json(diagnose(Case.from_data(turned, rules()), rules()))


def _data(path: Path) -> dict[str, object]:
    from saltriage.case import case_to_data

    return dict(case_to_data(load_case(path, rules())))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_both_matchers_give_the_same_report(path: Path) -> None:
    """Byte for byte but for the matcher's name."""
    case = load_case(path, rules())
    plain = diagnose(case, rules(), Matcher(conditions_of(rules()), prefer="plain"))
    durable = diagnose(case, rules(), Matcher(conditions_of(rules())))

    assert diagnosis_json(plain).replace(plain.matcher, "x") == diagnosis_json(durable).replace(durable.matcher, "x")


@settings(max_examples=25, deadline=None)
@given(
    salt=st.integers(500, 3000),
    cubic_metres=st.integers(10, 150),
    celsius=st.integers(16, 32),
    warned=st.booleans(),
)
def test_units_do_not_matter(salt: int, cubic_metres: int, celsius: int, warned: bool) -> None:
    """The same pool in metric and US units: the same causes and the same dose."""
    symptoms = {"low-salt-warning": "yes" if warned else "no"}
    metric = told(
        symptoms,
        {"salt": f"{salt} mg/L", "water-temperature": f"{celsius} degC"},
        pool={"volume": f"{cubic_metres} m3"},
        equipment=BAND,
    )
    us = told(
        symptoms,
        {"salt": f"{salt} ppm", "water-temperature": f"{celsius * 1.8 + 32:.10g} degF"},
        pool={"volume": f"{cubic_metres * 1000 / 3.785411784:.12g} US gal"},
        equipment={"salt-band": {"low": "2.7 g/L", "high": "3.4 g/L"}},
    )

    assert [one.cause for one in us.causes] == [one.cause for one in metric.causes]
    doses = [{action.action: action.dose.middle for action in found.actions if action.dose} for found in (metric, us)]
    assert doses[1] == pytest.approx(doses[0], rel=1e-6)


@st.composite
def callers(draw: st.DrawFn) -> dict[str, str]:
    asked = sorted(key for key, symptom in rules().symptoms.items() if symptom.kind != "derived")
    chosen = draw(st.lists(st.sampled_from(asked), max_size=9, unique=True))
    return {symptom: draw(st.sampled_from(["yes", "no", "unknown"])) for symptom in chosen}


@settings(max_examples=60, deadline=None)
@given(symptoms=callers())
def test_any_answers_give_a_diagnosis_that_keeps_the_rules(symptoms: dict[str, str]) -> None:
    """Chances are chances; nothing is shown past a stop; no chemical is added without its caution, none twice."""
    found = told(symptoms)

    assert all(0 <= chance <= 1 for chance in found.posteriors.values())
    dangers = dangers_of_case(Case.from_data({"symptoms": symptoms}, rules()), rules())
    ordered = {action.id for action in dangers.ordered_actions(rules().actions)}
    assert all(dangers.leaves(rules().actions[action]) for action in shown(found) - ordered)
    for action in found.actions:
        assert action.adds == "none" or action.safety
    chemicals = [(action.adds, action.job) for action in found.actions if action.adds not in ("none", "other")]
    assert len(chemicals) == len(set(chemicals))
    notes = {note.note for note in found.safety}
    assert {note for action in found.actions for note in action.safety} <= notes


@settings(max_examples=60, deadline=None)
@given(
    data=st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=12) | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["symptoms", "readings", "pool", "volume", "ph", "salt", "value", "unit"])
                | st.text(max_size=6),
                inner,
                max_size=4,
            )
        ),
        max_leaves=12,
    )
)
def test_any_data_gives_a_result_or_our_own_error(data: object) -> None:
    """Whatever JSON comes in: a diagnosis or a refusal by name, nothing else."""
    outcome: object
    try:
        outcome = diagnose(Case.from_data(data, rules()), rules())
    except SaltriageError as refusal:
        outcome = str(refusal)

    assert outcome


def of_call(name: str) -> Diagnosis:
    return diagnose(load_case(ROOT / "cases" / "reference" / "calls" / f"{name}.yaml", rules()), rules())


def _asked(found: Diagnosis) -> list[str]:
    return [check.check for check in found.next_checks]


def test_nobody_is_sent_to_test_water_while_gas_is_about() -> None:
    """With a stop rule that calls somebody, only what can be answered from where one stands is asked."""
    found = told({"gas-smell": "yes", "low-salt-warning": "yes"}, told="volunteered")

    assert "stop-chlorine-gas" in {stop.stop for stop in found.stops}
    assert all(check.kind == "symptom" for check in found.next_checks)
    assert {rules().symptoms[check].kind for check in _asked(found)} <= {"history", "smelt", "felt", "heard"}


def test_the_reading_a_dose_waits_for_is_asked_first_once_the_cause_is_named() -> None:
    """Salt proven low, volume unknown: no salt can be weighed before the volume is known."""
    found = of_call("salt-dose-no-volume")

    assert not found.undecided
    assert _asked(found)[0] == "pool-volume"


def test_a_settled_case_asks_nothing_more() -> None:
    found = of_call("flow-warning-after-backwash")

    assert found.causes[0].probability > rules().asking.sure
    assert found.next_checks == ()


def test_what_only_unlikely_causes_call_for_is_a_look_or_a_test() -> None:
    """One word, 'no chlorine': nobody turns the output down or up on a one in ten chance."""
    found = told({"free-chlorine-zero": "yes"}, told="volunteered")

    assert found.undecided
    assert {action.kind for action in found.actions} <= {"check", "clean"}


def test_the_level_is_filled_before_the_loss_is_measured() -> None:
    """A free check does not overtake the repair that its cause lists before it."""
    found = told({"water-level-low": "yes", "skimmer-whirlpool": "yes", "flow-warning": "yes"})
    order = [action.action for action in found.actions]

    assert order.index("fill-to-mid-skimmer") < order.index("test-water-loss")


def test_acid_for_a_soak_in_a_bucket_does_not_hide_acid_for_the_pool() -> None:
    """Salt fine, plates scaled, pH high: the soak is no dose, so what the water's own state asks for stays."""
    found = of_call("low-salt-warning-salt-fine")

    assert {"add-acid-for-ph", "soak-cell-in-weak-acid"} <= shown(found)


def test_a_state_as_good_as_proven_proposes_what_it_asks_for() -> None:
    """No stabiliser is likely, not measured: stabiliser waits for its own reading and is not left out."""
    found = diagnose(
        load_case(ROOT / "cases" / "reference" / "salt" / "filler-hisses-behind-the-hedge.yaml", rules()), rules()
    )
    waiting = {action.action: action.first_find_out for action in found.withheld if action.first_find_out}

    assert "stabiliser-low" not in {state.state for state in found.states if state.standing == "proven"}
    assert rules().readings["cyanuric-acid"].title in waiting["add-cyanuric-acid"]


def test_what_to_find_out_is_nothing_that_nobody_can_look_at() -> None:
    """'First: Cover on most of the day, cover.': the second is the key of a case file."""
    found = told({"boost-left-on": "yes"}, {"free-chlorine": "9 mg/L"}, told="volunteered")
    wanted = {each.action: each.first_find_out for each in found.withheld}

    assert wanted["uncover-pool"] == (rules().symptoms["cover-on-mostly"].title,)


def test_a_dose_that_comes_after_another_is_named_as_later_with_its_reason() -> None:
    """Calcium is short and so is the alkalinity: it is needed, and not today."""
    readings = {
        "calcium-hardness": {"value": 60, "unit": "mg/L", "method": "drop-test"},
        "total-alkalinity": {"value": 30, "unit": "mg/L", "method": "drop-test"},
        "ph": {"value": 7.3, "unit": "pH", "method": "photometer"},
    }
    found = told({"surface-etched": "yes"}, readings, pool={"volume": "50 m3", "surface": "plaster"})
    later = [each for each in found.withheld if each.later]

    assert [each.action for each in later] == ["add-calcium-chloride"]
    assert f"LATER - {later[0].title}. {later[0].because.owner}" in " ".join(diagnosis_text(found).split())


def test_a_second_dose_of_a_chemical_for_something_else_is_named_as_later() -> None:
    """Combined chlorine after a party: chlorine by hand is shown, and the breakpoint was not named at all."""
    readings = {
        "free-chlorine": {"value": 0.5, "unit": "mg/L", "method": "dpd-photometer"},
        "total-chlorine": {"value": 2.2, "unit": "mg/L", "method": "dpd-photometer"},
    }
    found = told({"many-bathers": "yes", "strong-chlorine-smell": "yes"}, readings, pool={"volume": "50 m3"})
    chlorine = {"add-chlorine-by-hand", "dose-to-breakpoint"}

    assert len(chlorine & shown(found)) == 1
    assert chlorine - shown(found) == {each.action for each in found.withheld if each.later} & chlorine


def test_two_doses_against_each_other_are_not_both_told_where_neither_has_an_amount() -> None:
    """Alkalinity 3 beside a pH of 8 and no volume: baking soda up and acid down stood in one list."""
    readings = {
        "ph": {"value": 8, "unit": "pH", "method": "ph-meter"},
        "total-alkalinity": {"value": 3, "unit": "mg/L", "method": "drop-test"},
    }

    assert len({"add-bicarbonate", "add-acid-for-ph"} & shown(told({}, readings))) == 1


def test_nothing_that_waits_for_a_check_undoes_what_is_shown() -> None:
    """'Turn the output up', and under it 'only after a check: turn the output down'."""
    low = {"free-chlorine": {"value": 0.4, "unit": "mg/L", "method": "dpd-by-eye"}}
    found = told({"output-set-low": "yes", "free-chlorine-zero": "yes"}, low)

    assert "raise-output" in shown(found)
    assert "lower-output" not in {each.action for each in found.withheld}


def test_no_dose_for_a_reading_that_is_in_doubt() -> None:
    """A hundred of stabiliser in water that never got any: two thirds were to be let out on one strip."""
    found = told(
        {
            "stabiliser-not-added": "yes",
            "drained-and-refilled": "yes",
            "algae-despite-chlorine": "yes",
            "cloudy-green": "yes",
            "walls-slimy": "yes",
            "output-set-high": "yes",
            "cyanuric-high": "yes",
            "stabilised-chlorine-used": "no",
        },
        {"cyanuric-acid": {"value": 100, "unit": "mg/L", "method": "test-strip"}},
        pool={"volume": "50 m3"},
    )

    assert any("cyanuric-acid" in doubt.withdraws and doubt.strength == "withdraw" for doubt in found.doubts)
    assert "replace-water-for-cyanuric" not in shown(found)
    assert "replace-water-for-cyanuric" in {each.action for each in found.withheld}


def test_what_a_danger_forbids_is_named_for_afterwards() -> None:
    """Frost has split the cell: parts and chlorine by hand come when it is safe, and support staff are told so now."""
    found = told({"hard-frost": "yes", "frost-damage-seen": "yes", "just-opened": "yes"})
    titles = {later.action: later for later in found.afterwards}

    assert any(stop.level in ("life", "harm") for stop in found.stops)
    assert not titles.keys() & shown(found)
    assert titles["add-chlorine-by-hand"].after_a_check
    assert "Add chlorine by hand (after a check)" in diagnosis_text(found, reader="support")
    assert json.loads(diagnosis_json(found))["afterwards"]
    assert "When the danger is over</h2>" in diagnosis_html(found, rules(), reader="support")


def test_only_after_a_check_names_the_check_and_not_now_keeps_the_rest() -> None:
    """Chlorine by hand waits for two readings; a new pump is not called for yet."""
    text = " ".join(diagnosis_text(of_call("pump-hums-only")).split())
    after, not_now = text.split("ONLY AFTER A CHECK")[1].split("NEXT, LOOK AT")[0].split("NOT NOW")

    assert after.strip() == "- Add chlorine by hand. First: Free chlorine, Cyanuric acid (stabiliser)."
    assert not_now.strip() == "Have the pump repaired or replaced."


def test_what_to_find_out_first_is_named_once_as_the_reading_to_measure() -> None:
    """'Free chlorine low, Free chlorine' told an owner nothing."""
    found = told(
        {"low-salt-warning": "yes", "just-opened": "yes"}, {"water-temperature": "11 degC"}, told="volunteered"
    )
    wanted = [title for action in found.withheld for title in action.first_find_out]

    assert wanted
    assert not any(rules().symptoms[key].title in wanted for key in ("free-chlorine-low", "free-chlorine-zero"))


def test_no_search_for_the_cause_comes_before_a_stop() -> None:
    """'Find out what stands under NEXT CHECK first' must not be read beside a live rail."""
    found = of_call("tingle-at-ladder")
    text = diagnosis_text(found)

    assert found.undecided
    assert "DANGER" in text.splitlines()[2]
    assert not {"MOST LIKELY WHY", "NEXT, LOOK AT"} & set(text.splitlines())


@pytest.mark.parametrize(
    ("chemical", "product", "instead"),
    [
        ("acid", "sodium-bicarbonate", "hydrochloric-acid-31"),
        ("salt", "calcium-chloride-77", "sodium-chloride"),
        ("chlorine", "hydrochloric-acid-31", "sodium-hypochlorite-12"),
    ],
)
def test_a_product_of_another_chemical_is_refused_by_name(chemical: str, product: str, instead: str) -> None:
    """Bicarbonate named as acid would raise what acid lowers; acid named as chlorine makes gas."""
    with pytest.raises(SaltriageError) as refusal:
        told({"ph-climbs": "yes"}, products={chemical: {"product": product}})

    assert f"products.{chemical}: found '{product}', which is another chemical" in str(refusal.value)
    assert instead in str(refusal.value)


HEALTHY = {"free-chlorine": {"value": 2.5, "unit": "mg/L", "method": "dpd-photometer"}}
DENIED = (
    "flow-warning",
    "low-salt-warning",
    "check-cell-warning",
    "cloudy-white",
    "cloudy-green",
    "strong-chlorine-smell",
)


def test_who_denies_every_complaint_and_tests_well_is_told_that_all_is_well() -> None:
    """Common practice, no source: a caller with a fault names it."""
    found = told({"fault-comes-and-goes": "yes"} | dict.fromkeys(DENIED, "no"), HEALTHY)

    assert found.conclusion == "all-well"


@pytest.mark.parametrize(
    ("symptoms", "readings"),
    [
        (dict.fromkeys(DENIED[1:], "no") | {"flow-warning": "yes"}, HEALTHY),
        (dict.fromkeys(DENIED[:2], "no"), HEALTHY),
        (dict.fromkeys(DENIED, "no"), {}),
        (dict.fromkeys(DENIED, "no"), {"free-chlorine": {"value": 0.2, "unit": "mg/L", "method": "dpd-photometer"}}),
    ],
    ids=["a complaint", "too little denied", "no test", "a test out of range"],
)
def test_less_than_that_is_not_called_well(symptoms: dict[str, str], readings: dict[str, object]) -> None:
    assert told(symptoms, readings).conclusion != "all-well"
