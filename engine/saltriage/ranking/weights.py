"""How much each answer speaks for a cause: step by step in the order asked, and by leaving one answer out.

The steps add up to the final log-odds exactly; use them to tell how the answer came about. Leaving one answer out does
not add up (two answers can each make the other superfluous); use it to tell what would change the answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from saltriage.ranking.evidence import Evidence, indices
from saltriage.ranking.network import Network, Numbers
from saltriage.ranking.variants import Variants, solved, solved_for

# Beyond this a float cannot hold 1 - probability; log-odds are cut here so that sums and differences stay finite.
CERTAIN = 36.0


@dataclass(frozen=True, slots=True)
class AnswerWeight:
    """What one answer does to the log-odds (natural logarithm) of one cause; positive speaks for it.

    Args:
        step: change when this answer came in after the ones before it. leave_out: log-odds with all answers minus
        log-odds with all but this one.
    """

    symptom: int
    present: bool
    step: float
    leave_out: float


@dataclass(frozen=True, slots=True)
class EvidenceWeights:
    """Log-odds of one cause: prior + silence_step + sum of all steps = log_odds.

    Args:
        silence_step, silence_leave_out: what all silent symptoms together do; silence counts before the first answer.
        answers: in the order asked.
    """

    cause: int
    prior: float
    silence_step: float
    silence_leave_out: float
    answers: tuple[AnswerWeight, ...]
    log_odds: float


def log_odds(chances: Numbers) -> Numbers:
    """log(p / (1 - p)), cut at -36 and +36."""
    tiny = np.exp(-CERTAIN)
    odds: Numbers = np.log(np.maximum(chances, tiny)) - np.log(np.maximum(1.0 - chances, tiny))
    return np.clip(odds, -CERTAIN, CERTAIN)


def evidence_weights(network: Network, evidence: Evidence, cause: int) -> EvidenceWeights:
    """The weights of every answer for one cause; for several causes evidence_weights_of() costs hardly more than one.

    Raises: OutOfRange for a cause or symptom that the network does not have; ImpossibleEvidence; EvidenceTooEntangled.
    """
    return evidence_weights_of(network, evidence, [cause])[0]


def evidence_weights_of(network: Network, evidence: Evidence, causes: Sequence[int]) -> tuple[EvidenceWeights, ...]:
    """The weights of every answer for each of `causes`, solved in one sweep. Raises: as evidence_weights()."""
    chosen = indices("causes", causes)
    network.check_causes("causes", chosen)
    network.check(evidence)
    answers = len(evidence.asked)
    found = solved(network.model, _rows(network, evidence)).at_work[list(chosen)]
    before = network.tables.priors[list(chosen)]
    odds = log_odds(np.column_stack([before, found]))
    # Columns: prior | silence alone, then one answer more each | all but one answer each | all but silence.
    last = answers + 1
    steps = np.diff(odds[:, : last + 1], axis=1)
    leave_out = odds[:, [last]] - odds[:, last + 1 :]
    present = set(evidence.present)
    return tuple(
        EvidenceWeights(
            cause=cause,
            prior=float(odds[row, 0]),
            silence_step=float(steps[row, 0]),
            silence_leave_out=float(leave_out[row, answers]),
            answers=tuple(
                AnswerWeight(symptom, symptom in present, float(steps[row, place + 1]), float(leave_out[row, place]))
                for place, symptom in enumerate(evidence.asked)
            ),
            log_odds=float(odds[row, last]),
        )
        for row, cause in enumerate(chosen)
    )


def leave_out_weights(network: Network, evidence: Evidence, causes: Sequence[int]) -> Numbers:
    """AnswerWeight.leave_out of every answer (columns, in the order asked) for each cause (rows), at half the cost.

    Raises: as evidence_weights().
    """
    chosen = indices("causes", causes)
    network.check_causes("causes", chosen)
    network.check(evidence)
    answers = len(evidence.asked)
    known = np.vstack([np.ones((1, answers)), np.ones((answers, answers)) - np.eye(answers)])
    odds = log_odds(solved_for(network.model, _knowing(network, evidence, known), chosen))
    weights: Numbers = odds[:, :1] - odds[:, 1:]
    return weights


def _knowing(network: Network, evidence: Evidence, known: Numbers) -> Variants:
    """Rows that know the answers, in the order asked, where `known` (R x answers) is 1.0; silence counts in all."""
    place = {symptom: position for position, symptom in enumerate(evidence.asked)}
    with_present = known[:, [place[symptom] for symptom in evidence.present]]
    with_absent = known[:, [place[symptom] for symptom in evidence.absent]]
    return Variants.of(network.model, evidence, with_present, with_absent, np.ones(len(known)))


def _rows(network: Network, evidence: Evidence) -> Variants:
    """Rows: silence and the first 0, 1, 2 ... answers; all but one answer each; all but silence."""
    answers = len(evidence.asked)
    first = np.tri(answers + 1, answers, -1)
    all_but_one = np.ones((answers, answers)) - np.eye(answers)
    known = np.vstack([first, all_but_one, np.ones((1, answers))])
    with_silence = np.ones(len(known))
    with_silence[-1] = 0.0
    place = {symptom: position for position, symptom in enumerate(evidence.asked)}
    with_present = known[:, [place[symptom] for symptom in evidence.present]]
    with_absent = known[:, [place[symptom] for symptom in evidence.absent]]
    return Variants.of(network.model, evidence, with_present, with_absent, with_silence)
