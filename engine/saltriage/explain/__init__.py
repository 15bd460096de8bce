"""Why it is so: exact chances of all causes, and what speaks for and against each."""

from saltriage.explain.explaining import Explained, explain, explain_together

__all__ = ["Explained", "explain", "explain_together"]
