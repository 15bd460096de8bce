"""Plans against facts of the trade (common practice, no source, where nothing else is named) and published numbers."""

from typing import Any

import pytest

from saltriage.case import Case, load_case
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.plans import PlanLine, PlanResult, plan_for

KNOWLEDGE = load_knowledge()
CASES = data_folder("cases") / "reference" / "plans"


def of_case(name: str, occasion: str) -> PlanResult:
    return plan_for(load_case(CASES / f"{name}.yaml", KNOWLEDGE), occasion, KNOWLEDGE)


def spoken(line: PlanLine) -> str:
    return f"{line.say.owner} {line.say.support}".lower()


def position(plan: PlanResult, step: str) -> int:
    return [line.step for line in plan.lines].index(step)


@pytest.fixture(scope="module")
def start_up() -> PlanResult:
    return of_case("start-up-vinyl-pool-fresh-water", "start-up")


def test_salt_dissolves_about_a_day_with_the_unit_off_and_the_pump_on(start_up: PlanResult) -> None:
    """Common practice, no source."""
    line = start_up.line("dissolve")

    assert line.wait_h == 24
    assert "unit off" in spoken(line)
    assert "pump running" in spoken(line)
    assert position(start_up, "salt") < position(start_up, "dissolve") < position(start_up, "switch-on")


def test_air_is_purged_before_use(start_up: PlanResult) -> None:
    """Common practice, no source: air out, valves open before the pump, and both before anything is switched on."""
    order = [position(start_up, step) for step in ("valves-open", "purge-air", "first-readings", "salt", "switch-on")]

    assert order == sorted(order)
    assert "with the unit off" in start_up.line("purge-air").say.owner.lower()


def test_outlet_in_reach_and_behind_a_ground_fault_device(start_up: PlanResult) -> None:
    """Common practice; ground-fault protection near pools as in the US National Electrical Code, article 680."""
    line = start_up.line("outlet")

    assert "in reach" in spoken(line)
    assert "ground-fault device" in spoken(line)
    assert "electrician" in spoken(line)
    assert "test-ground-fault-device" in line.safety


def test_unit_last_after_filter_and_heater(start_up: PlanResult) -> None:
    """Common practice, no source."""
    assert "after the filter and after any heater" in start_up.line("unit-last").say.owner


@pytest.mark.parametrize("over", [0.1, 0.2])
def test_over_by_a_share_means_draining_about_that_share(over: float) -> None:
    """Common practice, no source: over-salted by a fifth, drain and refill about a fifth."""
    data: dict[str, Any] = {
        "case": "over",
        "readings": {"salt": {"value": 3000 * (1 + over), "unit": "mg/L", "precision": "0 mg/L"}},
        "pool": {"volume": "40 m3", "volume-uncertainty": "0 %"},
        "equipment": {"salt-band": {"low": "2950 mg/L", "high": "3050 mg/L"}},
    }
    worked = plan_for(Case.from_data(data, KNOWLEDGE), "start-up", KNOWLEDGE).line("over-salt").worked

    assert worked is not None
    assert worked.amount is not None
    assert worked.amount.high / 40_000 == pytest.approx(over, abs=0.04)
    assert any("over by a fifth: about a fifth" in line.text for line in worked.lines)


def test_keep_out_above_the_limit_of_the_profile_chosen() -> None:
    """Limits are the profile's: 5 mg/L for a private outdoor pool, 10 mg/L under the Model Aquatic Health Code."""
    for profile, limit in (("private-outdoor-salt", 5), ("mahc", 10)):
        data: dict[str, Any] = {"case": "limit", "pool": {"targets": profile, "volume": "40 m3"}}
        worked = plan_for(Case.from_data(data, KNOWLEDGE), "start-up", KNOWLEDGE).line("bathing").worked
        assert worked is not None
        assert any(f"Keep out above {limit} mg/L" in line.text for line in worked.lines)


def test_vinegar_for_two_to_three_hours_before_anything_stronger() -> None:
    """Common practice, no source: water, vinegar two to three hours, then weak acid; never metal on the plates."""
    plan = of_case("cell-cleaning-white-plates", "cell-cleaning")
    order = [position(plan, step) for step in ("look-first", "rinse", "vinegar", "weak-acid")]

    assert order == sorted(order)
    assert "two to three hours" in plan.line("vinegar").say.owner
    assert 2 <= plan.line("vinegar").wait_h <= 3
    assert "no metal tools on the plates" in spoken(plan.line("rinse"))
    assert "from the inlet side" in plan.line("rinse").say.owner
    assert {"acid-into-water", "acid-apart-from-chlorine", "goggles-and-gloves"} <= set(plan.line("weak-acid").safety)


def test_rinsing_follows_the_flow_in_the_action_too() -> None:
    """Common practice, no source: rinse only with the flow, from the inlet side."""
    steps = " ".join(KNOWLEDGE.actions["rinse-cell"].steps.owner)

    assert "from the inlet side, the way the water flows" in steps
    assert "other side" not in steps


def test_cell_inspected_about_every_three_months() -> None:
    """Common practice, no source; sooner where the hours say so: 500 h at 16 h a day are 31 days."""
    rare, often = of_case("care-four-hours-a-day", "care"), of_case("care-sixteen-hours-a-day", "care")

    assert rare.line("cell").every_days == pytest.approx(91, abs=2)
    assert often.line("cell").every_days == 500 // 16


def test_settings_are_lost_in_a_power_cut_and_the_pump_must_run() -> None:
    """Common practice, no source."""
    plan = of_case("power-cut-overnight", "after-power-cut")

    assert "often lost in a power cut" in plan.line("settings").say.owner
    assert "must run, or no chlorine is made" in plan.line("pump-runs").say.owner
    assert position(plan, "pump-runs") < position(plan, "producing")


def test_pool_salt_hardly_lowers_the_freezing_point() -> None:
    """Sea water formula (UNESCO 1983, Millero & Leung): -0.0575 S + 1.710523e-3 S^1.5 - 2.154996e-4 S^2, S in g/kg.

    Its coefficients are from memory; for 3.2 g/kg it gives -0.18 degC.
    """
    worked = of_case("closing-before-frost", "closing").line("freezing").worked
    salinity = 3.2
    sea = -0.0575 * salinity + 1.710523e-3 * salinity**1.5 - 2.154996e-4 * salinity**2

    assert worked is not None
    assert worked.amount is not None
    assert worked.amount.low == pytest.approx(sea, abs=0.03)


def test_hours_against_the_usual_rule_of_thumb(start_up: PlanResult) -> None:
    """Common practice, no source: a cell that suits its pool runs about six to twelve hours a day in summer."""
    forecast = start_up.forecast

    assert forecast is not None
    assert 4 <= forecast.hours_per_day <= 12
