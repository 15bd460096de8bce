"""What can hurt somebody, before everything else: dangers in answers, readings and words, and the orders they give."""

from saltriage.guard.dangers import Danger, Dangers
from saltriage.guard.guarding import guard, guard_refused
from saltriage.guard.look import danger_look

__all__ = ["Danger", "Dangers", "danger_look", "guard", "guard_refused"]
