"""The number of a call of the library that tests talk through, whatever cases are added."""

from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.practice import PracticeLibrary

__all__ = ["BUBBLE"]

BUBBLE = PracticeLibrary(load_knowledge(), data_folder("cases")).number_of("bubble-over-the-plates")
