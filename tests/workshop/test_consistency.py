"""Self-consistency: callers drawn from a cause's own symptoms get that cause."""

from dataclasses import replace

from saltriage.knowledge import load_knowledge
from saltriage.knowledge.consequences import consequences
from saltriage.workshop.consistency import FIRST, TOP_THREE, consistency, consistency_text, splitting


def test_shipped_rules_are_consistent():
    """97 in 100 find their fault among the first three, 85 in 100 first; every mistaken pair has its question."""
    found = consistency(load_knowledge(), callers=15)

    assert found.first >= FIRST
    assert found.among_three >= TOP_THREE
    assert found.passed
    assert all(pair.split_by and pair.question for pair in found.pairs)
    assert f"{found.first:.1%}" in consistency_text(found)


def test_the_same_seed_draws_the_same_callers():
    """Same rules, same seed: same report; another seed: other callers."""
    whole = load_knowledge()
    few = replace(whole, causes=dict(list(whole.causes.items())[:8]), fingerprint="eight causes")

    assert consistency(few, 30, 1) == consistency(few, 30, 1)
    assert consistency(few, 30, 1).asked != consistency(few, 30, 2).asked


def test_a_cause_without_telling_symptoms_is_named(rules):
    """No caller can be drawn from what is shown only now and then."""
    knowledge = load_knowledge(rules)
    cause = knowledge.causes["salt-too-low"]
    weak = replace(cause, shows=dict.fromkeys(cause.shows, "sometimes"))
    found = consistency(replace(knowledge, causes={**knowledge.causes, cause.id: weak}, fingerprint="weak"), 5)

    assert found.silent == ("salt-too-low",)
    assert "shows nothing always or usually: salt-too-low" in consistency_text(found)


def test_a_twin_that_is_commoner_takes_the_callers(rules):
    """A cause with the same symptoms as a commoner one falls short, and the pair is listed with what splits it."""
    knowledge = load_knowledge(rules)
    common = knowledge.causes["salt-too-low"]
    twin = replace(knowledge.causes["water-too-cold"], shows=common.shows, common="rare")
    found = consistency(replace(knowledge, causes={**knowledge.causes, twin.id: twin}, fingerprint="twin"), 20)

    short = {one.cause: one for one in found.short}
    assert short["water-too-cold"].first == 0.0
    assert [(pair.taken_for, pair.split_by) for pair in found.pairs] == [("salt-too-low", "water-cold")]
    assert "taken for salt-too-low; split by water-cold" in consistency_text(found)


def test_without_a_look_alike_the_widest_gap_splits():
    """Where no rule names the splitting symptom, the one whose frequencies differ most is asked for."""
    knowledge = load_knowledge()
    cause = knowledge.causes["salt-too-low"]
    named = {alike.cause for alike in cause.look_alikes}
    naming = {key for key, rule in knowledge.causes.items() if any(a.cause == cause.id for a in rule.look_alikes)}
    other = next(key for key in knowledge.causes if key not in {cause.id, *named, *naming})
    split = splitting(knowledge, cause.id, other)
    words = knowledge.scales.frequency
    mine, theirs = consequences(knowledge)[cause.id], consequences(knowledge)[other]

    def gap(symptom):
        return abs(words.get(mine.get(symptom, ""), 0.0) - words.get(theirs.get(symptom, ""), 0.0))

    assert gap(split) == max(gap(symptom) for symptom in {*mine, *theirs})
