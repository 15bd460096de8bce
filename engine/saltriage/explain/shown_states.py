"""The states that a report shows: what is off as a fact, what is borderline, and what is possible."""

from dataclasses import replace

from saltriage.conditions.condition import ReadingBound
from saltriage.conditions.condition import explain as explain_condition
from saltriage.explain.chance_words import chance_word
from saltriage.explain.explaining import Explained
from saltriage.find import Found
from saltriage.knowledge.model import State
from saltriage.result import StateLine

__all__ = ["shown_states"]

LEAST_POSSIBLE = 0.33  # below this a state is not worth a line: 'unlikely' on the scale of `chance_word`
RAISED = 1.5  # what is hardly likelier than before anybody called is only common (own judgement)
MOST_POSSIBLE = 2  # more maybes help nobody (own judgement)


def shown_states(explained: Explained) -> tuple[StateLine, ...]:
    """States proven, then borderline, then possible ones, most probable first; proven ones in the order of ids.

    What the chosen targets allow is not off: the calcium of sea water, the little chlorine of a public pool.
    """
    found = explained.found
    states, proven = explained.knowledge.states, found.proven
    borderline = [state for state in states.values() if state.id not in proven and _is_borderline(state, found)]
    taken = proven | {state.id for state in borderline}
    return (
        *(
            _line(states[state], found, "proven", 1.0)
            for state in sorted(proven)
            if not _is_wanted(states[state], found)
        ),
        *(_line(state, found, "borderline", explained.state_chances.get(state.id, 0.0)) for state in borderline),
        *(_line(states[state], found, "possible", chance) for state, chance in _possible(explained, taken)),
    )


def _is_wanted(state: State, found: Found) -> bool:
    """Whether the reading that measures it lies in its own target range."""
    readings, situation = found.believed.facts.readings, found.believed.situation
    value, aim = readings.get(state.measure), situation.aims(readings).get(state.measure)
    if value is None or aim is None:
        return False
    return (aim.low is None or value.low >= aim.low) and (aim.high is None or value.high <= aim.high)


def _possible(explained: Explained, taken: frozenset[str]) -> list[tuple[str, float]]:
    """States that what was told makes likely; where nothing was told they are only how common they are."""
    if not any(explained.found.facts.symptoms.values()):
        return []
    before = explained.network.state_chances_before
    likely = [
        (state, chance)
        for state, chance in explained.state_chances.items()
        if chance >= max(LEAST_POSSIBLE, RAISED * before[state]) and state not in taken
    ]
    return sorted(likely, key=lambda one: (-one[1], one[0]))[:MOST_POSSIBLE]


def _is_borderline(state: State, found: Found) -> bool:
    """Whether a reading that would prove it is there, and its interval straddles the limit.

    One told as a limit is near nothing: 'over 7' says no more of a pH that is too high than no test does.
    """
    symptoms, facts, limits = found.knowledge.symptoms, found.facts, found.believed.situation.one_sided
    open_ones = (state.proof.references().symptoms - facts.symptoms.keys()) & symptoms.keys()
    proofs = (symptoms[key] for key in open_ones)
    return any(
        rule.derived is not None and not limits.issuperset(explain_condition(rule.derived, facts).borderline_readings())
        for rule in proofs
    )


def _line(state: State, found: Found, standing: str, chance: float) -> StateLine:
    line = StateLine(
        state=state.id,
        title=state.title,
        area=state.area,
        standing=standing,
        probability=chance,
        word="" if standing == "proven" else chance_word(chance),
        explain=state.explain,
        if_left=state.if_left,
        prove=state.settle.how,
    )
    if standing == "possible":
        return line
    believed = found.believed
    value = believed.facts.readings.get(state.measure)
    if value is None:
        return replace(line, known_by=_known_by(state, found) if standing == "proven" else "")
    rule, told = found.knowledge.readings[state.measure], believed.case.readings.get(state.measure)
    aim = believed.situation.aims(believed.facts.readings).get(state.measure)
    value = told.interval if told and told.bound else value
    return replace(
        line,
        reading=rule.id,
        reading_title=rule.title,
        value_low=value.low,
        value_high=value.high,
        target_low=aim.low if aim else None,
        target_high=aim.high if aim else None,
        quantity=rule.quantity,
        unit=rule.unit,
        typed=told.typed if told else "",
        method=rule.methods[told.method].title if told and told.method else "",
        value=told.value if told else None,
        target_of=_target_of(state, found) if aim else "",
        known_by="reading" if standing == "proven" else "",
        bound=told.bound if told else "",
    )


def _known_by(state: State, found: Found) -> str:
    """``seen`` where an eye proves it, ``told`` where an answer of another kind does."""
    symptoms, facts = found.knowledge.symptoms, found.facts
    proofs = [symptoms[key] for key in state.proof.references().symptoms if facts.symptoms.get(key)]
    return "seen" if proofs and all(each.kind == "seen" for each in proofs) else "told"


def _target_of(state: State, found: Found) -> str:
    span = found.believed.situation.targets.ranges[state.measure]
    ends = [end for end in (span.low, span.high) if end is not None]
    return "unit" if any(isinstance(end, ReadingBound) for end in ends) else "water"
