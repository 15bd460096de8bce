"""The order in which the set recursion takes causes and symptoms, so that few symptoms are open at once.

A present symptom is open from its first cause to its last; the recursion holds 2**(open symptoms) states. Groups of
symptoms that share no cause come one after the other and never meet. Finding the best order is hard in general; the
greedy one here closes next the symptom that opens the fewest others.
"""

from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Open:
    """Symptom `symptom` enters the state as its most significant bit."""

    symptom: int


@dataclass(frozen=True, slots=True)
class Add:
    """Cause `cause` is added; `links` are (symptom, number of states below its bit), one for each symptom that it
    shows in."""

    cause: int
    links: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Close:
    """Symptom `symptom` has met all its causes and leaves the state; `below`: number of states below its bit."""

    symptom: int
    below: int


Step = Open | Add | Close


@dataclass(frozen=True, slots=True)
class Schedule:
    steps: tuple[Step, ...]
    width: int  # most symptoms open at once
    cost: int  # states touched, a measure of time


def bits(mask: int) -> list[int]:
    """Positions of the bits that are set, lowest first."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found


# One numpy call costs about as much as passing over this many states: keeps the cost honest where states are few.
CALL_COST = 512


@lru_cache(maxsize=1024)
def schedule(masks: tuple[int, ...]) -> Schedule:
    """Steps that add every cause once. `masks`: for each cause the present symptoms it shows in, as bits, not 0."""
    remaining = dict(enumerate(masks))
    steps: list[Step] = []
    order: list[int] = []  # open symptoms, least significant bit first
    width = cost = 0
    while remaining:
        symptom = _next_to_close(remaining, order)
        for cause in [cause for cause, mask in remaining.items() if mask >> symptom & 1]:
            mask = remaining.pop(cause)
            for entering in bits(mask):
                if entering not in order:
                    order.append(entering)
                    steps.append(Open(entering))
            width = max(width, len(order))
            cost += (2 + mask.bit_count()) * (CALL_COST + (1 << len(order)))
            steps.append(Add(cause, tuple((link, 1 << order.index(link)) for link in bits(mask))))
        still_needed = 0
        for mask in remaining.values():
            still_needed |= mask
        for leaving in [entry for entry in order if not still_needed >> entry & 1]:
            steps.append(Close(leaving, 1 << order.index(leaving)))
            order.remove(leaving)
    return Schedule(tuple(steps), width, cost)


def _next_to_close(remaining: dict[int, int], order: list[int]) -> int:
    """The symptom whose causes open the fewest new symptoms; among equals an open one, then the lowest."""
    touched: dict[int, int] = {}
    for mask in set(remaining.values()):
        for symptom in bits(mask):
            touched[symptom] = touched.get(symptom, 0) | mask
    is_open = sum(1 << entry for entry in order)
    return min(
        touched, key=lambda symptom: ((touched[symptom] & ~is_open).bit_count(), not is_open >> symptom & 1, symptom)
    )
