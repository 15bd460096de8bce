"""Names of what another version of a call changed, for the trail and for those who come too late."""

from saltriage.desk.call import Call
from saltriage.desk.case_parts import what_differs

__all__ = ["what_changed"]


def what_changed(old: Call, new: Call) -> list[str]:
    """Fields of the case that are not the same, and the first cause where it moved."""
    names = what_differs(old.case, new.case)
    before, after = (each.last.causes[0].cause if each.last.causes else "" for each in (old, new))
    if before != after:
        names.append(f"first cause now {after or 'none'}")
    return names
