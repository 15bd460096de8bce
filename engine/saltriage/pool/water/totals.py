"""Conserved totals of a water: what stays the same while the equilibrium shifts."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Totals:
    """Conserved totals, mmol per litre of water.

    Alkalinity is not stored: electroneutrality fixes it, so no addition can break the charge balance. Hypochlorous
    acid, cyanuric acid and boric acid count with their neutral form.
    """

    sodium: float = 0.0
    chloride: float = 0.0
    calcium: float = 0.0
    sulfate: float = 0.0
    carbon: float = 0.0
    cyanurate: float = 0.0
    boron: float = 0.0
    chlorine: float = 0.0

    @property
    def alkalinity(self) -> float:
        """Conserved total alkalinity, meq/L (H2Cy-, borate and hypochlorite included)."""
        return self.sodium - self.chloride + 2.0 * (self.calcium - self.sulfate)

    def plus(self, other: "Totals", amount: float = 1.0) -> "Totals":
        """These totals and `amount` times the other."""
        return Totals(
            self.sodium + amount * other.sodium,
            self.chloride + amount * other.chloride,
            self.calcium + amount * other.calcium,
            self.sulfate + amount * other.sulfate,
            self.carbon + amount * other.carbon,
            self.cyanurate + amount * other.cyanurate,
            self.boron + amount * other.boron,
            self.chlorine + amount * other.chlorine,
        )

    def mixed(self, other: "Totals", fraction_of_other: float) -> "Totals":
        """One litre of the mixture in which `fraction_of_other` (0..1) is the other water."""
        return Totals().plus(self, 1.0 - fraction_of_other).plus(other, fraction_of_other)
