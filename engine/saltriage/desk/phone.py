"""Phone numbers as people type them: the same number with and without its country, spaces and dashes."""

import re

__all__ = ["END", "digits_of", "end_of", "is_same"]

END = 7  # digits: the least that is taken for a whole number, and the part by which one is looked up


def digits_of(typed: str) -> str:
    """The digits without the zeros that stand for 'abroad' or 'another town'."""
    return re.sub(r"[^0-9]", "", typed).lstrip("0")


def end_of(typed: str) -> str:
    """The last digits; empty where there is no number."""
    return digits_of(typed)[-END:]


def is_same(one: str, other: str) -> bool:
    """Whether both are one number; one of them may lack the country."""
    first, second = sorted((digits_of(one), digits_of(other)), key=len)
    return first == second != "" or (len(first) >= END and second.endswith(first))
