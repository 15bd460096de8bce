"""What to ask or measure next: one engine for reports, interview, pages and API."""

from saltriage.ask.asking import Ending, Questions, SoFar, ask

__all__ = ["Ending", "Questions", "SoFar", "ask"]
