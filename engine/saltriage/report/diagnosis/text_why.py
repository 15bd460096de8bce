"""What is off and why, as text."""

from collections.abc import Iterator

from saltriage.report.diagnosis.choice import MOST_SIGNS, ReportChoice
from saltriage.report.diagnosis.telling import Telling
from saltriage.report.diagnosis.why_words import conclusion_words, sign_titles
from saltriage.report.shared.lines import folded
from saltriage.report.shared.reader_words import evidence_groups, odds
from saltriage.report.shared.state_words import state_method, state_text
from saltriage.report.shared.words import JOB, first_sentence, percent
from saltriage.result import EvidenceLine, RankedCause, StateLine

__all__ = ["doubts", "off", "why"]

_BAR = 10  # signs in a bar
LEAST_NAMED, LEAST_LISTED = 0.03, 0.01  # of causes not shown; whole per cents say nothing of rarer ones (own judgement)


def off(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """What is off; nothing where all is as it should be."""
    states = choice.diagnosis.states if telling.full else choice.facts
    if not states:
        return
    yield "WHAT IS OFF"
    for state in states:
        told = state_text(state, telling.reader, telling.units)
        # An owner knows how he tested; it is told where it is why the test cannot tell.
        plain = state.value is not None and state.standing == "proven" and not telling.thorough
        how = f" ({state_method(state)})" if plain else ""
        yield from folded(told.replace(how, "", 1), 2, "- ")
        if telling.thorough and state.standing == "possible":
            yield from folded(f"{state.word.capitalize()}, {percent(state.probability)}.", 4)
        if telling.full:
            yield from _about(state, telling)
    if choice.facts_left and not telling.full:
        yield from folded(f"Also: {'; '.join(state.title for state in choice.facts_left)}.", 2)
    yield ""


def _about(state: StateLine, telling: Telling) -> Iterator[str]:
    yield from folded(state.explain.for_reader(telling.reader), 4)
    if state.standing != "possible":
        yield from folded(f"If left: {state.if_left.for_reader(telling.reader)}", 4)
    if state.standing != "proven":
        yield from folded(f"To know: {state.prove.for_reader(telling.reader)}", 4)


def doubts(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """Readings that are not believed, and answers that contradict each other."""
    diagnosis = choice.diagnosis
    if not (diagnosis.doubts or diagnosis.disagreements):
        return
    yield "READINGS TO DOUBT"
    for doubt in diagnosis.doubts:
        what = "Not used" if doubt.strength == "withdraw" else "Use with care"
        readings = ", ".join(each.replace("-", " ") for each in doubt.withdraws)
        yield from folded(f"{what}: {readings}. {doubt.because.for_reader(telling.reader)}", 2, "- ")
    for text in diagnosis.disagreements:
        yield from folded(text, 2, "- ")
    yield ""


def why(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """The likeliest cause and what else is possible, or that nothing is wrong, or that too little is known."""
    diagnosis, first = choice.diagnosis, choice.first
    yield "MOST LIKELY WHY"
    for text in conclusion_words(choice):
        yield from folded(text, 2)
    if telling.thorough:
        for cause in diagnosis.causes:
            yield from folded(f"{cause.title}: {cause.word}, {percent(cause.probability)}", 2, "- ")
            if telling.full or cause in choice.grounded:
                yield from _grounds(cause, telling)
        yield from _beside(choice, telling)
    else:
        if first is not None:
            yield from _first_cause(first, telling)
        for cause in choice.others:
            lead = "or: " if first is not None else "perhaps: "
            yield from folded(f"{cause.title}: {_chance(cause, telling)}", 2, lead)
    if diagnosis.two_faults:
        titles = {cause.cause: cause.title for cause in diagnosis.causes}
        one, other = (titles.get(cause, cause) for cause in diagnosis.two_faults.causes)
        both = f", {percent(diagnosis.two_faults.probability)}" if telling.thorough else ""
        above = [each.cause for each in (first, *choice.others[:1]) if each is not None]
        if not telling.thorough and set(above) == set(diagnosis.two_faults.causes):
            yield from folded("Both at once are likely.", 2)
        else:
            yield from folded(f"Two faults at once are likely: {one}; {other}{both}.", 2)
    yield ""


def _chance(cause: RankedCause, telling: Telling) -> str:
    """The chance in a word, with a bar that says the same to the eye."""
    if not telling.bars:
        return cause.word
    filled = round(cause.probability * _BAR)
    return f"{cause.word} [{'#' * filled}{'.' * (_BAR - filled)}]"


def _first_cause(cause: RankedCause, telling: Telling) -> Iterator[str]:
    yield from folded(f"{cause.title}: {_chance(cause, telling)}", 2)
    yield from folded(first_sentence(cause.explain.for_reader(telling.reader)), 2)
    if signs := sign_titles(cause.evidence_for)[:MOST_SIGNS]:
        yield from folded(f"Speaks for it: {'; '.join(signs)}.", 2)
    if cause.who != "owner":
        yield from folded(f"Whose job: {JOB[cause.who]}.", 2)


def _grounds(cause: RankedCause, telling: Telling) -> Iterator[str]:
    yield from folded(cause.explain.for_reader(telling.reader), 4)
    for lead, group in evidence_groups(
        (*cause.evidence_for, *cause.evidence_against), telling.reader, full=telling.full
    ):
        yield from folded(f"{lead}: {'; '.join(_evidence(one, telling) for one in group)}", 4)
    yield from folded(f"To be sure: {cause.settle.for_reader(telling.reader)}", 4)
    if cause.who != "owner":
        yield from folded(f"Whose job: {JOB[cause.who]}", 4)


def _evidence(one: EvidenceLine, telling: Telling) -> str:
    return f"{one.title} ({odds(one)})" if telling.support else one.title


def _beside(choice: ReportChoice, telling: Telling) -> Iterator[str]:
    """The chances of all that is not shown."""
    diagnosis = choice.diagnosis
    shown = {cause.cause for cause in diagnosis.causes}
    least = LEAST_LISTED if telling.full else LEAST_NAMED
    rest = [(id, chance) for id, chance in diagnosis.posteriors.items() if id not in shown and chance >= least]
    if telling.support and rest and diagnosis.causes:
        told = "; ".join(f"{id.replace('-', ' ')} {percent(chance)}" for id, chance in rest)
        yield from folded(f"Also thought of: {told}.", 2)
    yield from folded(f"None of the known causes: {percent(diagnosis.none_known)}.", 2)
    if telling.support and diagnosis.causes:
        yield from folded("In brackets what a finding adds to the log-odds, and by what it multiplies the odds.", 2)
