"""How often a caller has the answer to a question without going to look."""

from collections.abc import Sequence

import numpy as np

from saltriage.ask.askable import Askable
from saltriage.explain.cause_network import CauseNetwork
from saltriage.knowledge.model import Knowledge
from saltriage.ranking.outlook import Outlook

__all__ = ["chances_to_know"]

LIKELY = 0.1  # causes with this share of the leader's probability are what a call may be about (own judgement)


def chances_to_know(
    candidates: Sequence[Askable], knowledge: Knowledge, network: CauseNetwork, view: Outlook
) -> dict[str, float]:
    """How often a caller has the answer, 0..1: less often where the question has no part in what is likely.

    What a caller has looked at or tested he has because of the trouble that he has: a question has a part in a call
    where one of its cause and that cause's look-alikes can show in the answer.

    Args: candidates: each settles a symptom of the network.
    """
    told, tables, index = knowledge.asking.answered, network.network.tables, network.symptom_index
    chances = view.chances()
    least = max(chances.values(), default=0.0) * LIKELY
    likely = {cause: chance for cause, chance in chances.items() if chance >= least}
    rows, weights = list(likely), np.array(list(likely.values()))
    shown = np.maximum(tables.strengths[rows], tables.brings[rows] @ tables.shows) > 0.0
    total = float(weights.sum()) or 1.0
    columns = [[index[one] for one in each.settles if one in index] for each in candidates]
    found = {}
    for each, shares in zip(candidates, _shares_of_any(weights, shown, columns), strict=True):
        share = min(1.0, shares / total)
        part = 1.0 - (1.0 - share) ** told.look_alikes
        kind = "" if each.kind == "reading" else knowledge.symptoms[each.id].kind
        otherwise = told.otherwise_symptom if kind else told.otherwise_reading
        found[each.id] = told.chance(each.id, kind) * (part + otherwise * (1.0 - part))
    return found


def _shares_of_any(weights: np.ndarray, shown: np.ndarray, columns: Sequence[Sequence[int]]) -> list[float]:
    """For each set of columns, none of them empty, the weight of the rows that have one of them."""
    starts = np.cumsum([0, *map(len, columns)])[:-1]
    flat = [column for some in columns for column in some]
    shares: list[float] = (weights @ np.logical_or.reduceat(shown[:, flat], starts, axis=1)).tolist() if flat else []
    return shares
