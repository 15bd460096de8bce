"""One dose law for every way to a dose: what goes into the water now, what only after a test, what never."""

from saltriage.dosing.model import DosePlan, DoseStep, NotGiven
from saltriage.dosing.pool_case import DosingCase

__all__ = ["DosePlan", "DoseStep", "DosingCase", "NotGiven"]
