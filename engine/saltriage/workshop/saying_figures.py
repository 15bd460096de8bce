"""How well findings are heard in calls of voices that nothing was learned from: the table that `rules train` prints."""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from saltriage.words.learned.reader import SayingReader
from saltriage.words.learned.weights import Judgement
from saltriage.workshop.saying_thresholds import HearingFigures, Judged, hearing_figures, outcome_of, with_chances
from saltriage.workshop.saying_training import SayingLearner, truth_of

__all__ = ["VoiceAside", "hearing_text", "voices_aside"]

Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class VoiceAside:
    """A voice as read by a reader that knows nothing of it. Args: facts: that the clerk ticked in its calls."""

    voice: str
    judged: tuple[Judged, ...]
    judgement: Judgement
    facts: int

    def figures(self) -> HearingFigures:
        """Of the reader."""
        return hearing_figures(self.judged, self.facts, lambda each: outcome_of(each, self.judgement))

    def of_phrases(self) -> HearingFigures:
        """Of the phrases of the rules alone, all of which were taken before there was a reader."""
        by_phrase = [replace(each, best=1 if each.phrase.present else 2) for each in self.judged if each.phrase]
        return hearing_figures(by_phrase, self.facts, lambda each: "sure")


def voices_aside(
    learner: SayingLearner, told: Told = lambda done, count: None, only: Collection[str] = ()
) -> list[VoiceAside]:
    """Every voice that judges, kept aside in turn: weights, chances and thresholds know nothing of it.

    Args: only: these voices; all of them where none is named.
    """
    found = []
    voices = [voice for voice in learner.corpus.voices if not only or voice in only]
    for number, voice in enumerate(voices):
        weights = learner.learned([voice])
        slopes, shifts = weights.judgement.slopes, weights.judgement.shifts
        judged = with_chances(learner.judged(SayingReader(weights), voice), slopes, shifts)
        facts = sum(len(truth_of(call)) for call in learner.corpus.calls if call.voice == voice)
        found.append(VoiceAside(voice, tuple(judged), weights.judgement, facts))
        told(number + 1, len(voices))
    return found


def hearing_text(aside: list[VoiceAside]) -> str:
    """The table, the phrases alone below each voice."""
    head = f"{'':<20}{'facts':>7}{'heard':>8}{'sure':>7}{'right':>8}{'likely':>8}{'right':>8}{'opposite':>10}"
    rows = [head]
    for each in aside:
        rows += [_row(each.voice, each.figures()), _row("  phrases alone", each.of_phrases())]
    total = [each.figures() for each in aside], [each.of_phrases() for each in aside]
    rows += [_row(name, _together(some)) for name, some in zip(("all", "  phrases alone"), total, strict=True)]
    return "\n".join(rows) + "\n"


def _together(some: list[HearingFigures]) -> HearingFigures:
    facts, sure, likely = (sum(getattr(each, name) for each in some) for name in ("facts", "sure", "likely"))
    heard, opposite = (sum(getattr(each, name) * each.facts for each in some) for name in ("heard", "opposite"))
    right = sum(each.sure_right * each.sure for each in some), sum(each.likely_right * each.likely for each in some)
    return HearingFigures(
        facts,
        heard / max(1, facts),
        sure,
        right[0] / max(1, sure),
        likely,
        right[1] / max(1, likely),
        opposite / max(1, facts),
    )


def _row(name: str, told: HearingFigures) -> str:
    shares = f"{told.sure:>7}{told.sure_right:>8.2f}{told.likely:>8}{told.likely_right:>8.2f}{told.opposite:>10.3f}"
    return f"{name:<20}{told.facts:>7}{told.heard:>8.2f}{shares}"
