"""Hearing rules are wronged entry by entry, and a sentence must notice."""

import pytest
from rule_edits import change

from saltriage.knowledge import load_knowledge
from saltriage.words import ear_with
from saltriage.workshop.hearing_mutants import entries, flipped_entries, moved_limits, removed_entries
from saltriage.workshop.listening import listening_bench, mutated_ear
from saltriage.workshop.mutation import mutate

RULE = "talk-of-salt"


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """Bundles of changed copies do not go into the user's cache."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))


def test_every_entry_is_taken_away_and_what_can_turn_is_turned(rules):
    """One wrong for each entry but the parts of patterns; denials and limits turned; margins passed both ways."""
    knowledge = load_knowledge(rules)

    assert [f"{each.name} removed" for each in entries(knowledge)] == [one.what for one in removed_entries(knowledge)]
    assert "denials 0 (salt is fine) removed" in [one.what for one in removed_entries(knowledge)]
    assert [one.what for one in flipped_entries(knowledge)] == [
        "denials 0 (salt is fine) told",
        "comparisons 0 (salt-below-band) below flipped",
    ]
    assert [one.what for one in moved_limits(knowledge, 1.5)] == [
        "comparisons 0 (salt-below-band) below 1500 to 1200",
        "comparisons 0 (salt-below-band) below 1500 to 1800",
    ]
    assert knowledge == load_knowledge(rules), "the rules themselves stay as they are"


def test_a_sentence_notices_or_the_entry_is_named(rules):
    """A comparison is guarded by the sentence beside it; a moved limit needs one beside the limit."""
    tried = mutate(rules, ("removal", "threshold"), frozenset({RULE})).tried
    noticed = {one.mutant: one.by for one in tried}
    comparison = f"hearing/{RULE}: comparisons 0 (salt-below-band)"

    assert noticed[f"removal {comparison} removed"] == "salt 1400 ppm"
    assert noticed[f"threshold {comparison} below 1500 to 1296"] == "salt 1400 ppm"
    assert noticed[f"threshold {comparison} below 1500 to 1704"] == ""


def test_a_sentence_that_is_heard_otherwise_is_already_failing(rules):
    """It would notice everything, so it is told apart."""
    change(rules / "hearing" / f"{RULE}.yaml", ("present: [salt-below-band], readings", "readings"))

    assert list(mutate(rules, ("removal",), frozenset({RULE})).failing) == [f"{RULE}: salt 1400 ppm"]


def test_what_is_not_read_again_is_as_if_it_were(rules):
    """The quick way to a changed book gives the book that is made anew."""
    knowledge = load_knowledge(rules)
    bench = listening_bench(knowledge)
    for wronged in (*removed_entries(knowledge), *flipped_entries(knowledge)):
        quick, anew = mutated_ear(wronged.knowledge, wronged.entry.rule.id, bench), ear_with(wronged.knowledge)

        assert (quick.book.phrases, quick.book.vocabulary) == (anew.book.phrases, anew.book.vocabulary), wronged.what
