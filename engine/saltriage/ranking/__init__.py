"""Which causes explain what was reported, how sure that is, and what to ask next. Knows nothing about pools."""

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.network import Network, OtherCause
from saltriage.ranking.ranking import Pair, Ranking, posteriors
from saltriage.ranking.refusals import ContradictoryEvidence, EvidenceTooEntangled, ImpossibleEvidence

__all__ = [
    "ContradictoryEvidence",
    "Evidence",
    "EvidenceTooEntangled",
    "ImpossibleEvidence",
    "Network",
    "OtherCause",
    "Pair",
    "Ranking",
    "posteriors",
]
