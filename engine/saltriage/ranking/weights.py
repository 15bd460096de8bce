"""How much each thing known speaks for a cause or state: step by step in the order asked, and by leaving one out.

The steps add up to the final log-odds exactly; use them to tell how the answer came about. Leaving one out does not add
up (two answers can each make the other superfluous); use it to tell what would change the answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from saltriage.ranking.evidence import Evidence, indices
from saltriage.ranking.leaving_out import cause_odds, state_odds
from saltriage.ranking.model import Numbers
from saltriage.ranking.network import Network
from saltriage.ranking.standing import state_chances
from saltriage.ranking.variants import Variants, single, solved

# Beyond this a float cannot hold 1 - probability; log-odds are cut here so that sums and differences stay finite.
CERTAIN = 36.0


@dataclass(frozen=True, slots=True)
class EvidencePiece:
    """One thing known. Args: kind: what `index` is known as. index: of the symptom, or of the state."""

    kind: Literal["present", "absent", "proven", "ruled_out", "heard"]
    index: int


def known_of(evidence: Evidence) -> tuple[EvidencePiece, ...]:
    """All that is known but silence: the answers in the order asked, then states proven, states ruled out, and what
    was heard. The columns of leave_out_weights() and state_weights()."""
    present = set(evidence.present)
    return (
        *(EvidencePiece("present" if symptom in present else "absent", symptom) for symptom in evidence.asked),
        *(EvidencePiece("proven", state) for state in evidence.proven),
        *(EvidencePiece("ruled_out", state) for state in evidence.ruled_out),
        *(EvidencePiece("heard", symptom) for symptom, _ in evidence.heard),
    )


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
    """Log-odds of one cause: prior + known_step + silence_step + sum of all steps = log_odds.

    Args:
        silence_step, silence_leave_out: what all silent symptoms together do; silence counts before the first answer.
        answers: in the order asked.
        known_step: what known states and what was heard do together, before all else; known: each of them with its
            log-odds with all minus log-odds with all but this one.
    """

    cause: int
    prior: float
    silence_step: float
    silence_leave_out: float
    answers: tuple[AnswerWeight, ...]
    log_odds: float
    known_step: float = 0.0
    known: tuple[tuple[EvidencePiece, float], ...] = ()


def log_odds(chances: Numbers) -> Numbers:
    """log(p / (1 - p)), cut at -36 and +36."""
    tiny = np.exp(-CERTAIN)
    odds: Numbers = np.log(np.maximum(chances, tiny)) - np.log(np.maximum(1.0 - chances, tiny))
    return np.clip(odds, -CERTAIN, CERTAIN)


def evidence_weights(network: Network, evidence: Evidence, cause: int) -> EvidenceWeights:
    """The weights of every answer for one cause; for several causes evidence_weights_of() costs hardly more than one.

    Raises: OutOfRange for a cause or symptom that the network does not have; ImpossibleEvidence.
    """
    return evidence_weights_of(network, evidence, [cause])[0]


def evidence_weights_of(network: Network, evidence: Evidence, causes: Sequence[int]) -> tuple[EvidenceWeights, ...]:
    """The weights of every answer for each of `causes`, solved in one sweep. Raises: as evidence_weights()."""
    chosen = _causes(network, evidence, causes)
    known, answers = known_of(evidence), len(evidence.asked)
    leave_out = _weights(cause_odds(network.model, evidence, chosen), evidence)
    # Columns: prior | known states and what was heard | silence, then one answer more each | all but silence.
    found = solved(_step_rows(network, evidence)).at_work[list(chosen)]
    odds = log_odds(np.column_stack([network.tables.priors[list(chosen)], found]))
    steps = np.diff(odds[:, :-1], axis=1)
    return tuple(
        EvidenceWeights(
            cause=cause,
            prior=float(odds[row, 0]),
            silence_step=float(steps[row, 1]),
            silence_leave_out=float(odds[row, -2] - odds[row, -1]),
            answers=tuple(
                AnswerWeight(one.index, one.kind == "present", float(steps[row, place + 2]), float(weight))
                for place, (one, weight) in enumerate(zip(known[:answers], leave_out[row], strict=False))
            ),
            log_odds=float(odds[row, -2]),
            known_step=float(steps[row, 0]),
            known=tuple(zip(known[answers:], leave_out[row, answers:].tolist(), strict=True)),
        )
        for row, cause in enumerate(chosen)
    )


def leave_out_weights(network: Network, evidence: Evidence, causes: Sequence[int]) -> Numbers:
    """Log-odds with all that is known minus log-odds with all but one thing, for each cause (rows) and each thing known
    (columns: known_of(evidence), the answers first, in the order asked).

    Raises: as evidence_weights().
    """
    return _weights(cause_odds(network.model, evidence, _causes(network, evidence, causes)), evidence)


def state_weights(network: Network, evidence: Evidence, states: Sequence[int]) -> Numbers:
    """leave_out_weights() for unknown states.

    Raises: OutOfRange for a state that the network does not have or that is known; as evidence_weights().
    """
    chosen = indices("states", states)
    network.check_states("states", chosen)
    network.check(evidence)
    return _weights(state_odds(network.model, evidence, chosen), evidence)


def states_given(network: Network, evidence: Evidence, causes: Sequence[int]) -> Numbers:
    """P(state | evidence, cause at work), causes x states; a cause that cannot be at work has a row of zeros.

    Raises: as evidence_weights().
    """
    chosen = _causes(network, evidence, causes)
    held = single(network.model, evidence).holding([[cause] for cause in chosen])
    found = solved(held, impossible=True)
    chances = np.where(np.isfinite(found.log_probability), state_chances(found), 0.0)
    return np.ascontiguousarray(np.clip(chances, 0.0, 1.0).T)


def _causes(network: Network, evidence: Evidence, causes: Sequence[int]) -> tuple[int, ...]:
    chosen = indices("causes", causes)
    network.check_causes("causes", chosen)
    network.check(evidence)
    return chosen


def _weights(odds: tuple[Numbers, Numbers, Numbers, Numbers, Numbers], evidence: Evidence) -> Numbers:
    """Odds with all minus odds with all but one, columns put in the order of known_of().

    Args: odds: with all; without each of present, absent, known states, heard (wanted x each).
    """
    full, present, absent, states, heard = (np.clip(each, -CERTAIN, CERTAIN) for each in odds)
    answered = {symptom: present[:, [place]] for place, symptom in enumerate(evidence.present)}
    answered.update((symptom, absent[:, [place]]) for place, symptom in enumerate(evidence.absent))
    columns = [*(answered[symptom] for symptom in evidence.asked), states, heard]
    weights: Numbers = full[:, None] - np.hstack(columns)
    return weights


def _step_rows(network: Network, evidence: Evidence) -> Variants:
    """Rows: known states and what was heard; silence and the first 0, 1, 2 ... answers; all but silence."""
    answers, heard = len(evidence.asked), len(evidence.heard)
    known = np.vstack([np.zeros((1, answers)), np.tri(answers + 1, answers, -1), np.ones((1, answers))])
    with_silence = np.ones(len(known))
    with_silence[[0, -1]] = 0.0
    place = {symptom: position for position, symptom in enumerate(evidence.asked)}
    with_present = known[:, [place[symptom] for symptom in evidence.present]]
    with_symptoms = np.hstack([with_present, np.ones((len(known), heard))])
    with_absent = known[:, [place[symptom] for symptom in evidence.absent]]
    return Variants.of(network.model, evidence, with_symptoms, with_absent, with_silence)
