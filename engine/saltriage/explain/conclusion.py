"""What kind of answer a diagnosis is: a cause, that nothing is wrong, or that what was told does not do."""

from saltriage.explain.explaining import Explained

__all__ = ["CAUSE", "CONTRADICTORY", "NOTHING_WRONG", "NOT_ENOUGH", "conclusion"]

CAUSE, NOTHING_WRONG = "cause", "all-well"
NOT_ENOUGH, CONTRADICTORY = "not-enough-known", "contradictory"

ENOUGH = 0.5  # below this chance of the first cause the report says that not enough is known (own judgement)
# Likewise where it is less without the words as a whole: what a caller's way of speaking adds is no fact (V1 to V4: of
# 16 calls that tell too little 14 are answered so, 12 before, and of the others no more than 0.03).
ENOUGH_BY_WORDS = 0.65
CONFLICT = 2.0  # log ratio above which answers are called badly fitting: own judgement
EXCUSES = 0.35  # chance from which a healthy cause explains what was seen (own judgement)
IN_RANGE = 3  # so many tests of the water in range, and nothing seen, and all is well (own judgement)
# So many good signs (tests in range, complaints that the caller denies), one of them a test, and no complaint, and
# all is well. Own judgement: a caller with a fault names it; who asks about a healthy plant denies the warnings.
GOOD_SIGNS = 5


def conclusion(explained: Explained) -> str:
    """The kind of answer: ``cause``, ``all-well``, ``not-enough-known`` or ``contradictory``.

    Contradictory answers come before everything else: whatever they lead to rests on one of them being wrong.
    """
    if explained.ranking.conflict > CONFLICT:
        return CONTRADICTORY
    if _all_is_well(explained):
        return NOTHING_WRONG
    return CAUSE if enough_known(explained) else NOT_ENOUGH


def enough_known(explained: Explained) -> bool:
    """Whether the first cause may be named: likely by what can be denied, or well above that by the words."""
    leading = explained.leading
    chance, before = explained.chances.get(leading, 0.0), explained.chances_before_words.get(leading, 0.0)
    return explained.anything_known and chance >= (ENOUGH if before >= ENOUGH else ENOUGH_BY_WORDS)


def _all_is_well(explained: Explained) -> bool:
    found = explained.found
    if found.proven:
        return False
    chance = explained.chances.get(explained.leading, 0.0)
    if explained.anything_known and chance >= ENOUGH and explained.knowledge.causes[explained.leading].harmless:
        return True
    if found.believed.raised or _complained(explained) or chance >= ENOUGH:
        return False
    in_range = _tests_in_range(explained)
    nothing_seen = not any(found.facts.symptoms.values())
    return (nothing_seen and in_range >= IN_RANGE) or (in_range >= 1 and in_range + _denied(explained) >= GOOD_SIGNS)


def _complained(explained: Explained) -> bool:
    """Whether something is there that a caller complains of, or a test out of place, and nothing healthy explains it.

    A sign that a faulty plant may show is excused only by a healthy cause of it that is likely.
    """
    knowledge = explained.knowledge
    harmless = [cause for cause in knowledge.causes.values() if cause.harmless]
    faulty = {symptom for cause in knowledge.causes.values() if not cause.harmless for symptom in cause.shows}
    likely = {
        symptom for cause in harmless if explained.chances.get(cause.id, 0.0) >= EXCUSES for symptom in cause.shows
    }
    healthy = likely | {symptom for cause in harmless for symptom in cause.shows} - faulty
    return any(
        present and symptom not in healthy and knowledge.symptoms[symptom].kind in _complaint_kinds(explained)
        for symptom, present in explained.found.facts.symptoms.items()
    )


def _denied(explained: Explained) -> int:
    """How many complaints the caller denies."""
    symptoms, kinds = explained.knowledge.symptoms, _complaint_kinds(explained)
    answers = explained.found.believed.case.symptoms
    return sum(not present and symptoms[symptom].kind in kinds for symptom, present in answers.items())


def _complaint_kinds(explained: Explained) -> frozenset[str]:
    return explained.knowledge.kinds.complaints | {"test"}


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
