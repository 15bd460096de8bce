"""The tests and doses of a record as series from which the volume can be told."""

from collections.abc import Sequence

from saltriage.advise.doses import EXCHANGES
from saltriage.follow_up.record import Entry
from saltriage.follow_up.verdicts import error_of
from saltriage.follow_up.volume import BELIEVED, Dosed
from saltriage.knowledge.model import Knowledge

__all__ = ["series_of"]


def series_of(entries: Sequence[Entry], knowledge: Knowledge) -> list[list[Dosed]]:
    """Series of one reading each, in which only weighed doses came between the tests."""
    found: list[list[Dosed]] = []
    telling = [rule.id for rule in knowledge.readings.values() if rule.follow_up.tells_volume]
    for reading in telling:
        current: list[Dosed] = []
        dosed = 0.0
        for place, entry in enumerate(entries):
            given, share, broken = _between(entries, place, reading, knowledge)
            dosed += given
            one = entry.numbers.get(reading)
            off = share is not None and not BELIEVED[0] <= share <= BELIEVED[1]
            if broken or off:
                found.append(current)
                current, dosed = [], 0.0
            # A reading that was not taken anew stands in the record with its old number: it is no second test.
            if one is not None and (not current or dosed > current[-1].dosed or one.middle != current[-1].reading):
                current.append(Dosed(dosed, one.middle, error_of(one)))
        found.append(current)
    return [each for each in found if len(each) > 1]


def _between(
    entries: Sequence[Entry], place: int, reading: str, knowledge: Knowledge
) -> tuple[float, float | None, bool]:
    """What was dosed of a reading before an entry (mg), the share it rose by, and whether water came or went."""
    if place == 0:
        return 0.0, None, False
    entry, promises = entries[place], {each.action: each for each in entries[place - 1].promises}
    given = sum(
        amount * promises[action].mg_per_unit
        for action, amount in entry.done.items()
        if action in promises and promises[action].raises == reading
    )
    shares = [
        each.share for each in entry.verdicts if each.action in promises and promises[each.action].raises == reading
    ]
    unmixed = any(
        each.verdict in ("too early", "unchanged", "wrong way")
        for each in entry.verdicts
        if each.action in promises and promises[each.action].raises == reading
    )
    water = any(_exchanges_water(action, knowledge) for action in entry.done)
    told = any(rule.follow_up.new_water and entry.answers.get(rule.id) for rule in knowledge.symptoms.values())
    return given, shares[0] if shares else None, water or told or unmixed


def _exchanges_water(action: str, knowledge: Knowledge) -> bool:
    rule = knowledge.actions.get(action)
    return rule is not None and rule.calculator in EXCHANGES
