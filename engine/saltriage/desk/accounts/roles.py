"""What somebody may do at a desk. Each role may also do what those before it may."""

from enum import StrEnum

__all__ = ["Role"]


class Role(StrEnum):
    """agent: calls.    lead: figures, exports, who saw what.    maintainer: accounts, forgetting, learning."""

    agent = "agent"
    lead = "lead"
    maintainer = "maintainer"

    def reaches(self, needed: "Role") -> bool:
        """Whether it may do what another role may."""
        order = list(Role)
        return order.index(self) >= order.index(needed)
