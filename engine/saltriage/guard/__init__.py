"""What can hurt somebody: the stop rules that stand, and what they still allow."""

from saltriage.guard.guarding import Dangers, Raised, guard

__all__ = ["Dangers", "Raised", "guard"]
