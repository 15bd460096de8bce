"""What a follow-up looks at, and from which change on, is what the rules say."""

from dataclasses import replace

import pytest
from simulated import SimulatedPool

from saltriage.conditions.changes import thresholds, with_threshold
from saltriage.follow_up import follow_up
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.model import Knowledge

KNOWLEDGE = load_knowledge()


def less_than(percent: float) -> Knowledge:
    """The rules with another threshold for a rise that counts as too small."""
    rule = KNOWLEDGE.symptoms["salt-rose-less-than-dosed"]
    assert rule.derived is not None
    (only,) = thresholds(rule.derived)
    moved = replace(rule, derived=with_threshold(rule.derived, only.path, percent))
    symptoms = {**KNOWLEDGE.symptoms, rule.id: moved}
    return replace(KNOWLEDGE, symptoms=symptoms, fingerprint=f"{KNOWLEDGE.fingerprint} {percent}")


def after_half_a_rise(knowledge: Knowledge) -> dict[str, bool]:
    """Answers of the case after a dose that brought half of what it should."""
    pool = SimulatedPool(knowledge, true_l=45_000, stated_l=45_000, salt=1500, kit_error=0, method="drop-test")
    pool.call()
    grams = pool.advised_salt_g()
    pool.pour(grams / 2)
    return dict(pool.follow(grams).record.case.symptoms)


@pytest.mark.parametrize(("percent", "is_less"), [(60.0, True), (40.0, False)])
def test_the_threshold_of_the_rule_governs(percent: float, is_less: bool) -> None:
    """Half the rise is less than dosed where the rule says 60 %, and is not where it says 40 %."""
    answers = after_half_a_rise(less_than(percent))

    assert is_less == answers.get("salt-rose-less-than-dosed", False)


def test_what_a_dose_sets_is_what_the_rules_name() -> None:
    """A symptom whose rule is silent of follow-ups is not answered by one."""
    rule = KNOWLEDGE.symptoms["salt-added-lately"]
    silent = replace(
        KNOWLEDGE,
        symptoms={**KNOWLEDGE.symptoms, rule.id: replace(rule, follow_up=type(rule.follow_up)())},
        fingerprint=f"{KNOWLEDGE.fingerprint} silent",
    )

    assert after_half_a_rise(KNOWLEDGE)["salt-added-lately"]
    assert "salt-added-lately" not in after_half_a_rise(silent)


@pytest.mark.parametrize(("share", "vanishes"), [(0.2, False), (0.6, True)])
def test_how_much_of_a_hand_dose_must_be_left_is_in_its_rule(share: float, vanishes: bool) -> None:
    """Two fifths of a hand dose are left: it has vanished only where the rule asks for more."""
    rule = KNOWLEDGE.symptoms["hand-dose-vanishes"]
    moved = replace(rule, follow_up=replace(rule.follow_up, share_left=share))
    symptoms = {**KNOWLEDGE.symptoms, rule.id: moved}
    knowledge = replace(KNOWLEDGE, symptoms=symptoms, fingerprint=f"{KNOWLEDGE.fingerprint} {share}")
    pool = SimulatedPool(knowledge, true_l=45_000, stated_l=45_000, salt=3000, kit_error=0)
    told = {"value": 0.2, "unit": "mg/L", "method": "dpd-photometer"}
    record = pool.call(**{"green-brushes-off": "yes", "cloudy-green": "yes"}, readings={"free-chlorine": told})
    (promise,) = (each for each in record.entries[-1].promises if each.raises == "free-chlorine")
    rise = promise.dose * promise.mg_per_unit / 45_000

    found = follow_up(
        record,
        knowledge,
        readings={"free-chlorine": {**told, "value": round(0.2 + 0.4 * rise, 2)}},
        symptoms={},
        did={promise.action: ""},
        when="2027-05-12",
    )

    assert vanishes == found.record.case.symptoms.get("hand-dose-vanishes", False)
