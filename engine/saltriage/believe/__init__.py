"""What to believe of a case: settings and computed readings added, doubted readings withdrawn until nothing changes."""

from saltriage.believe.believing import Believed, believe

__all__ = ["Believed", "believe"]
