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
    causes_of: dict[int, list[int]] = {}
    for cause, mask in enumerate(masks):
        causes_of.setdefault(mask, []).append(cause)
    remaining = {mask: bits(mask) for mask in causes_of}
    steps: list[Step] = []
    order: list[int] = []  # open symptoms, least significant bit first
    is_open = width = cost = 0
    while remaining:
        symptom = _next_to_close(remaining, is_open)
        for mask in [mask for mask in remaining if mask >> symptom & 1]:
            entering = bits(mask & ~is_open)
            order += entering
            steps += map(Open, entering)
            is_open |= mask
            width = max(width, len(order))
            links = tuple((link, 1 << order.index(link)) for link in remaining.pop(mask))
            steps += [Add(cause, links) for cause in causes_of[mask]]
            cost += len(causes_of[mask]) * (2 + len(links)) * (CALL_COST + (1 << len(order)))
        still_needed = 0
        for mask in remaining:
            still_needed |= mask
        for leaving in bits(is_open & ~still_needed):
            steps.append(Close(leaving, 1 << order.index(leaving)))
            order.remove(leaving)
        is_open &= still_needed
    return Schedule(tuple(steps), width, cost)


def _next_to_close(remaining: dict[int, list[int]], is_open: int) -> int:
    """The symptom whose causes open the fewest new symptoms; among equals an open one, then the lowest."""
    touched: dict[int, int] = {}
    for mask, symptoms in remaining.items():
        for symptom in symptoms:
            touched[symptom] = touched.get(symptom, 0) | mask
    return min(
        ((mask & ~is_open).bit_count(), not is_open >> symptom & 1, symptom) for symptom, mask in touched.items()
    )[2]
