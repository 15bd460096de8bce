"""Words for probabilities, always shown beside the number: on words alone people disagree."""

__all__ = ["chance_word"]

# Limits of the IPCC likelihood scale (Mastrandrea et al. 2010, guidance note on uncertainty, table 1).
_CHANCES = (
    (0.99, "virtually certain"),
    (0.90, "very likely"),
    (0.66, "likely"),
    (0.33, "about as likely as not"),
    (0.10, "unlikely"),
    (0.01, "very unlikely"),
)


def chance_word(probability: float) -> str:
    """The word for a probability in 0..1.

    Source: IPCC likelihood scale (Mastrandrea et al. 2010).

    >>> chance_word(0.7)
    'likely'
    """
    return next((word for limit, word in _CHANCES if probability >= limit), "exceptionally unlikely")
