"""The report holds the same figures as the water and the plan it was made from."""

import pytest

from saltriage.water import TargetRange, Targets, Water, joint_plan, water_report

TARGETS = Targets(ph=TargetRange(7.2, 7.8), total_alkalinity=TargetRange(80, 120), salt=TargetRange(2700, 3400))
WATER = Water(ph=8.0, total_alkalinity=100, calcium_hardness=300, cyanuric_acid=50, salt=2500, temperature=28)


def test_report_carries_state_and_plan() -> None:
    """State, assumptions in words, and the plan of the same arguments."""
    report = water_report(WATER, TARGETS, 50_000)

    assert report.state.saturation_index == WATER.saturation_index()
    assert report.state.carbonate_alkalinity == WATER.carbonate_alkalinity
    assert any("O'Brien" in sentence for sentence in report.state.assumptions)
    assert report.plan == joint_plan(WATER, TARGETS, 50_000)


def test_report_without_targets_has_no_plan() -> None:
    """State alone."""
    assert water_report(WATER).plan is None


def test_driving_force_of_carbon_dioxide() -> None:
    """4.8, 8.0 and 12.9 times air at pH 7.5 and alkalinity 60, 100, 160 (PHREEQC 3.7.3, 28 degC, 3,500 mg/L of
    salt).
    """
    for alkalinity, times in ((60, 4.8), (100, 8.0), (160, 12.9)):
        water = Water(ph=7.5, total_alkalinity=alkalinity, calcium_hardness=300, salt=3500, temperature=28)

        assert water.carbon_dioxide_over_air == pytest.approx(times, rel=0.02)
