"""What kind of answer a diagnosis is: a cause, that nothing is wrong, or that what was told does not do."""

from saltriage.explain.explaining import Explained

__all__ = ["CAUSE", "CONTRADICTORY", "NOTHING_WRONG", "NOT_ENOUGH", "conclusion"]

CAUSE, NOTHING_WRONG = "cause", "all-well"
NOT_ENOUGH, CONTRADICTORY = "not-enough-known", "contradictory"

ENOUGH = 0.5  # below this chance of the first cause the report says that not enough is known (own judgement)
CONFLICT = 2.0  # log ratio above which answers are called badly fitting: own judgement
IN_RANGE = 3  # so many tests of the water in range, and nothing seen, and all is well (own judgement)


def conclusion(explained: Explained) -> str:
    """The kind of answer: ``cause``, ``all-well``, ``not-enough-known`` or ``contradictory``.

    Contradictory answers come before everything else: whatever they lead to rests on one of them being wrong.
    """
    if explained.ranking.conflict > CONFLICT:
        return CONTRADICTORY
    if _all_is_well(explained):
        return NOTHING_WRONG
    chance = explained.chances.get(explained.leading, 0.0)
    if not explained.anything_known or chance < ENOUGH:
        return NOT_ENOUGH
    return CAUSE


def _all_is_well(explained: Explained) -> bool:
    found = explained.found
    if found.proven:
        return False
    chance = explained.chances.get(explained.leading, 0.0)
    if explained.anything_known and chance >= ENOUGH and explained.knowledge.causes[explained.leading].harmless:
        return True
    nothing_seen = not any(found.facts.symptoms.values())
    return nothing_seen and not found.believed.raised and _tests_in_range(explained) >= IN_RANGE


def _tests_in_range(explained: Explained) -> int:
    """How many tests of the water that have a target came out inside it, at both ends of their error."""
    believed = explained.found.believed
    readings = believed.facts.readings
    told = {key for key, reading in believed.case.readings.items() if reading.origin == "told"}
    return sum(
        (aim.low is None or readings[key].low >= aim.low) and (aim.high is None or readings[key].high <= aim.high)
        for key, aim in believed.situation.aims(readings).items()
        if key in told & readings.keys()
    )
