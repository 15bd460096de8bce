"""Plans worked out for pools: amounts, order, stops, what is not known."""

from typing import Any

import pytest

from saltriage.case import Case
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.plans import OCCASIONS, PlanResult, plan_for
from saltriage.report.plan.html import plan_html
from saltriage.report.plan.json_form import plan_json
from saltriage.report.plan.text import plan_text

KNOWLEDGE = load_knowledge()


def pool(**changes: Any) -> Case:
    """A vinyl pool of 40 m3 with fresh water; `changes` replace whole sections."""
    data: dict[str, Any] = {
        "case": "plan-pool",
        "readings": {
            "salt": {"value": 200, "unit": "mg/L", "method": "drop-test"}, "ph": 7.4, "total-alkalinity": "80 mg/L",
            "calcium-hardness": "200 mg/L", "cyanuric-acid": "40 mg/L", "free-chlorine": "1 mg/L",
            "water-temperature": "26 degC",
        },
        "pool": {"volume": "40 m3", "setting": "outdoor", "surface": "vinyl"},
        "equipment": {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}, "rated-output": "20 g/h"},
    }  # fmt: skip
    return Case.from_data({**data, **changes}, KNOWLEDGE)


def plan(occasion: str, **changes: Any) -> PlanResult:
    return plan_for(pool(**changes), occasion, KNOWLEDGE)


def test_salt_in_bags_adds_up() -> None:
    """3,050 - 200 mg/L in 40 m3 of 99 % salt are 115 kg: six bags of the usual 20 kg, whose size is stated."""
    worked = plan("start-up").line("salt").worked

    assert worked is not None
    assert worked.amount is not None
    assert worked.amount.low <= 2850 * 40 / 0.99 <= worked.amount.high
    assert "bags of 20 kg, since no size was told" in worked.assumptions
    bags = worked.lines[0].text.split(": ")[-1].split(" bags")[0].split(" to ")
    assert int(bags[0]) <= 2850 * 40 / 0.99 / 20_000 <= int(bags[1])


def test_bags_of_the_size_told() -> None:
    """A bag of 40 lb is a bag of 18.1 kg; nothing is assumed then."""
    readings = {**_readings(), "salt-bag": "40 lb"}
    worked = plan("start-up", readings=readings).line("salt").worked

    assert worked is not None
    assert worked.lines[0].amounts[2].low == pytest.approx(18_143.7, abs=1)
    assert not any("bags of 20 kg" in text for text in worked.assumptions)


def _readings() -> dict[str, Any]:
    return {"salt": {"value": 200, "unit": "mg/L", "method": "drop-test"}, "ph": 7.4}


def test_the_balance_leaves_the_salt_to_its_own_step() -> None:
    """Salt is dosed once: the doses of the water in the same plan hold none."""
    worked = plan("start-up").line("balance").worked

    assert worked is not None
    assert worked.balance is not None
    assert worked.balance.plan is not None
    assert not any(step.purpose == "salt" for step in worked.balance.plan.steps)


def test_hours_follow_the_pool() -> None:
    """More sun, warmth and bathers need more hours; a roof, a cover and a larger cell need fewer."""

    def hours(**changes: Any) -> float:
        worked = plan("start-up", **changes).line("hours").worked
        assert worked is not None
        assert worked.amount is not None
        return worked.amount.high

    base = pool()
    usual = hours()
    equipment = {"salt-band": {"low": "2700 mg/L", "high": "3400 mg/L"}, "rated-output": "40 g/h"}
    warm = {**_readings(), "water-temperature": "31 degC", "cyanuric-acid": "40 mg/L"}
    crowd = {**_readings(), "bathers-per-day": "12", "cyanuric-acid": "40 mg/L"}

    assert base.readings["water-temperature"].value == 26
    assert hours(readings=warm) > usual
    assert hours(readings=crowd) > usual
    assert hours(equipment=equipment) == pytest.approx(usual / 2)
    assert hours(pool={"volume": "40 m3", "setting": "outdoor", "cover": "mostly"}) < usual
    assert hours(pool={"volume": "40 m3", "setting": "indoor"}) < usual


def test_own_two_tests_set_the_hours_and_the_forecast() -> None:
    """With overnight and day tests nothing of the demand is assumed."""
    tests = {
        "free-chlorine-dusk": "3 mg/L", "free-chlorine-dawn": "2.7 mg/L", "free-chlorine-day-start": "3 mg/L",
        "free-chlorine-day-end": "1.9 mg/L",
    }  # fmt: skip
    with_tests = plan("start-up", readings={**_readings(), **tests})
    worked = with_tests.line("hours").worked

    assert worked is not None
    assert any("your tests at dusk and dawn" in text for text in worked.assumptions)
    assert not any("common practice" in text for text in worked.assumptions)
    assert with_tests.forecast is not None
    assert with_tests.forecast.own_tests
    # ln(3 / 2.7) over half a day and ln(3 / 1.9) over ten hours of day
    use = 3.5 * (2 * 0.10536 + (0.45676 - 0.2107 * 10 / 24))
    assert worked.lines[1].text.startswith(f"to hold 3.5 mg/L the pool uses about {use:.2f}")


def test_an_electrical_stop_holds_the_whole_plan() -> None:
    """Tingle in the water: no pump is started, no salt is poured; the stop comes first in every form."""
    found = plan("start-up", symptoms={"tingle": "yes"})
    text = plan_text(found)

    assert all(line.held for line in found.lines if line.step in ("purge-air", "salt", "balance", "switch-on"))
    assert found.forecast is None
    assert text.index("DANGER TO LIFE") < text.index("NOT YET")
    assert "bags" not in text
    assert plan_html(found).index('class="stop life"') < plan_html(found).index("Not yet")


def test_chlorine_over_the_limit_holds_doses_but_not_looking() -> None:
    """Water too strong to bathe in may still be tested and its equipment looked at."""
    found = plan("care", readings={"free-chlorine": "14 mg/L"})

    assert found.line("balance").held
    assert not found.line("daily-look").held


@pytest.mark.parametrize("occasion", OCCASIONS)
@pytest.mark.parametrize("reader", ["owner", "support"])
def test_every_form_says_every_step(occasion: str, reader: str) -> None:
    """Text, HTML and JSON hold the same steps; text keeps to 80 columns."""
    found = plan(occasion, symptoms={"plates-scaled": "yes"})
    text, page, data = plan_text(found, reader=reader), plan_html(found, reader=reader), plan_json(found)
    flat = " ".join(text.split())

    assert max(len(line) for line in text.splitlines()) <= 80
    for line in found.lines:
        say = line.say.for_reader(reader)
        assert " ".join(say.split()) in flat or line.held
        assert f'"step": "{line.step}"' in data
        assert say.replace("&", "&amp;").replace("'", "&#39;") in page.replace("&#34;", '"') or line.held
    assert "<script" not in page


def test_nothing_is_promised_for_an_unknown_pool() -> None:
    """Without volume, band and output there are no amounts, and what is missing is named."""
    found = plan_for(Case.from_data({"case": "blank"}, KNOWLEDGE), "start-up", KNOWLEDGE)

    assert found.forecast is None
    for step in ("salt", "hours"):
        worked = found.line(step).worked
        assert worked is not None
        assert worked.amount is None
        assert worked.missing


def test_an_unknown_occasion_is_refused() -> None:
    """With the ones that there are."""
    with pytest.raises(UsageRefused, match=r"moon-landing.*start-up"):
        plan("moon-landing")


def test_us_readers_get_pounds_and_gallons() -> None:
    """The same plan in the units of the reader."""
    text = plan_text(plan("start-up"), units="us")

    assert " lb" in text
    assert " kg " not in text.split("BALANCE")[0].replace("bags of 20 kg", "")
