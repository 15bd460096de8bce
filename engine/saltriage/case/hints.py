"""What words may mean and nobody has confirmed: symptoms with the chance that they are present."""

from collections.abc import Mapping, Set

from saltriage.case.ledger import CaseLedger, nearest
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import shortened

__all__ = ["HINTS", "hints"]

HINTS = "symptom ids with the chance that they are present"


def hints(told: Mapping[str, object], answered: Set[str], knowledge: Knowledge, ledger: CaseLedger) -> dict[str, float]:
    """Symptom id -> chance, in the order of ids; without those that are answered or that the rules no longer use.

    An unknown id, or a chance that is none, is noted in the ledger.
    """
    heard: dict[str, float] = {}
    for key, chance in told.items():
        path = ("heard", str(key))
        if key not in knowledge.symptoms:
            if f"symptom/{key}" not in knowledge.retired:
                mend = nearest(str(key), knowledge.symptoms)
                ledger.refuse(path, shortened(key), "the id of a symptom", mend, at_key=True)
        elif isinstance(chance, bool) or not isinstance(chance, int | float) or not 0.0 < chance < 1.0:
            ledger.refuse(path, shortened(chance), "a chance above 0 and below 1")
        elif key not in answered:
            heard[str(key)] = float(chance)
    return dict(sorted(heard.items()))
