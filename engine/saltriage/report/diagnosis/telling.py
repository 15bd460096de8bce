"""Whom a report is for, and how much of it is told."""

from dataclasses import dataclass

from saltriage.pool.units import System

__all__ = ["Telling"]


@dataclass(frozen=True, slots=True)
class Telling:
    """Args: reader: owner or support. full: nothing is left out. bars: chances are drawn."""

    reader: str
    units: System
    full: bool
    bars: bool = True

    @property
    def support(self) -> bool:
        return self.reader == "support"

    @property
    def thorough(self) -> bool:
        """Numbers, reasons and evidence are told."""
        return self.full or self.support
