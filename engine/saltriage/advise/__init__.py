"""What to do about it: actions in order, doses, cautions, within what the dangers leave allowed."""

from saltriage.advise.advising import Advice, advise

__all__ = ["Advice", "advise"]
