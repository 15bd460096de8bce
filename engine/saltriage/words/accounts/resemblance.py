"""How much two accounts resemble each other."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["resemblance"]

# Of two accounts that share nothing, before squaring. Squared, pairs of words count beside words: who has both the
# green water and the week without power. Both chosen on voices kept aside, between values that were equally good.
_EVEN = 0.05


def resemblance(cosines: NDArray[np.float64]) -> NDArray[np.float64]:
    """Of the cosines of word vectors, 0..1, the same shape: a polynomial kernel, 1 of an account and itself."""
    return np.asarray(((cosines + _EVEN) / (1.0 + _EVEN)) ** 2)
