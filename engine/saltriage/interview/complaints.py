"""The complaints that callers begin with most often, for a list to choose from."""

from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Knowledge

__all__ = ["common_complaints"]


def common_complaints(knowledge: Knowledge, count: int = 12) -> tuple[str, ...]:
    """Ids of complaints, the most frequent first: by how common the causes are that show in them."""
    scales = knowledge.scales
    weight = {symptom.id: 0.0 for symptom in knowledge.symptoms.values() if symptom.silence_counts and symptom.ask}
    for cause in knowledge.causes.values():
        for symptom, word in consequences(knowledge)[cause.id].items():
            if symptom in weight:
                weight[symptom] += scales.common[cause.common] * scales.frequency[word]
    return tuple(sorted(weight, key=lambda symptom: (-weight[symptom], symptom))[:count])
