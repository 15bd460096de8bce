"""What is so: symptoms answered or derived, and every condition of the rules over them."""

from saltriage.find.finding import Conflict, Found, find

__all__ = ["Conflict", "Found", "find"]
