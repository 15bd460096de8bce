"""Follow-up on simulated pools: the truth is known, the tests are off, and the follow-up must find out."""

import pytest
from simulated import SimulatedPool

from saltriage.follow_up import FollowUp, follow_up
from saltriage.knowledge import load_knowledge

KNOWLEDGE = load_knowledge()


def _two_follow_ups(pool: SimulatedPool) -> FollowUp:
    """Two rounds of 'do what was advised, test again'; where no salt is wanted any more, only the test."""
    pool.call()
    for _ in range(2):
        grams = pool.advised_salt_g()
        pool.pour(grams)
        result = pool.follow(grams)
    return result


@pytest.mark.parametrize("true_share", [1.3, 1 / 1.3, 1.43, 0.7])
@pytest.mark.parametrize("seed", range(5))
def test_a_volume_off_by_a_third_is_found_by_two_follow_ups(true_share: float, seed: int) -> None:
    """Stated 50 m3, truly 30 % more or less: after two follow-ups the estimate is within 8 % of the truth."""
    pool = SimulatedPool(KNOWLEDGE, true_l=50_000 * true_share, stated_l=50_000, salt=800, seed=seed)
    result = _two_follow_ups(pool)

    assert result.volume is not None
    assert result.volume.volume_l == pytest.approx(pool.true_l, rel=0.08)
    assert result.volume.low_l < pool.true_l < result.volume.high_l or result.volume.from_doses == 1
    believed = result.record.case.readings["pool-volume"]
    assert believed.interval.low < pool.true_l < believed.interval.high


def test_the_next_dose_follows_the_corrected_volume() -> None:
    """In a pool a third larger than told, the later doses are computed for the larger pool."""
    pool = SimulatedPool(KNOWLEDGE, true_l=65_000, stated_l=50_000, salt=800, seed=1)
    pool.call()
    first = pool.advised_salt_g()
    pool.pour(first)
    pool.follow(first)
    second = pool.advised_salt_g()
    pool.pour(second)
    pool.follow(second)
    third = pool.advised_salt_g()
    pool.pour(third)

    assert 2700 <= pool.salt <= 3400
    assert second > third > 0


def test_a_right_volume_stays_right() -> None:
    """Doses that do what they should leave the volume where it was and narrow its range."""
    pool = SimulatedPool(KNOWLEDGE, true_l=50_000, stated_l=50_000, salt=800, seed=2)
    result = _two_follow_ups(pool)

    assert result.volume is not None
    assert result.volume.volume_l == pytest.approx(50_000, rel=0.06)
    assert result.volume.high_l / result.volume.low_l < 1.25


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("wrong", [{"shown_share": 0.75}, {"shown_stuck": 2200.0}], ids=["reads low", "stuck"])
def test_a_wrong_sensor_comes_first_after_one_follow_up(wrong: dict[str, float], seed: int) -> None:
    """The box shows too little; after salt that the test saw and the box did not, its sensor is the first cause."""
    pool = SimulatedPool(
        KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=2450, kit_error=20, shown_share=wrong.get("shown_share", 1.0),
        shown_stuck=wrong.get("shown_stuck"), seed=seed,
    )  # fmt: skip
    pool.call()
    grams = pool.advised_salt_g()
    assert grams > 0
    pool.pour(grams)
    result = pool.follow(grams)

    assert result.diagnosis.causes[0].cause in ("salt-sensor-drift", "salt-sensor-fouled")
    assert not result.closed
    assert "Low-salt warning" in result.still_there
    assert "add-salt" not in {action.action for action in result.diagnosis.actions}


@pytest.mark.parametrize("seed", range(4))
def test_all_as_promised_closes_the_case(seed: int) -> None:
    """Salt truly low, dose given, test and box follow, warning gone: closed, with nothing left to do."""
    pool = SimulatedPool(KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=2540, kit_error=2, seed=seed)
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(grams)
    result = pool.follow(grams)

    assert [verdict.verdict for verdict in result.verdicts] == ["kept"]
    assert result.closed
    assert result.record.status == "closed"
    assert result.still_there == ()


def test_a_warning_that_stays_keeps_the_case_open() -> None:
    """The same pool, but the warning is not told to be gone."""
    pool = SimulatedPool(KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=2400, kit_error=20, seed=1)
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(grams)
    result = pool.follow(grams, **{"low-salt-warning": "yes"})

    assert not result.closed
    assert result.still_there == ("Low-salt warning",)


def test_salt_added_and_nothing_moved_points_away_from_salt() -> None:
    """The dose never got in (a heap, a spoilt kit): no more salt, and the volume is left alone."""
    pool = SimulatedPool(KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=1500, kit_error=20, seed=1)
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(0)
    result = pool.follow(grams)

    assert result.verdicts[0].verdict == "unchanged"
    assert result.volume is not None
    assert result.volume.volume_l == pytest.approx(45_000, rel=0.01)
    named = {cause.cause for cause in result.diagnosis.causes}
    assert named & {"salt-test-wrong", "salt-not-mixed", "volume-stated-wrong", "salt-lost-by-leak"}
    present = {answer.symptom for answer in result.diagnosis.answers if answer.present}
    assert "salt-rose-less-than-dosed" in present


def test_an_old_number_is_no_answer_to_a_dose() -> None:
    """The box's number from before the salt is dropped, not taken for a number that did not move."""
    pool = SimulatedPool(KNOWLEDGE, true_l=45_000, stated_l=45_000, salt=2400, kit_error=20, seed=1)
    pool.call()
    assert pool.record is not None
    grams = pool.advised_salt_g()
    pool.pour(grams)
    result = follow_up(
        pool.record,
        KNOWLEDGE,
        readings={"salt": pool.tested()},
        symptoms={},
        did={"add-salt": f"{grams:.0f} g"},
        when=pool.day.isoformat(),
    )

    assert "salt-shown" not in result.record.case.readings
    assert "box-number-unmoved-by-salt" not in result.record.case.symptoms
    assert "Low-salt warning" in result.still_there
    assert not result.closed
