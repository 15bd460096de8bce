"""The order in which the set recursion takes causes, states and symptoms, so that few bits are open at once.

A bit is a present or heard symptom, a proven state, or an unknown state with something known below it. It is open from
its first cause to its last; the recursion holds 2**(open bits) sets. An unknown state is open until all that brings it
about is added; then it fires: where it is at work it shows in its symptoms, and the bit is summed out. Groups of bits
that share nothing come one after the other and never meet. Finding the best order is hard in general; the greedy one
here closes next the bit that opens the fewest others.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

Links = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Open:
    """Bit `symptom` enters the sets as the most significant one."""

    symptom: int


@dataclass(frozen=True, slots=True)
class Add:
    """Cause `cause` is added; `links` are (bit, number of sets below it), one for each bit that it shows in."""

    cause: int
    links: Links


@dataclass(frozen=True, slots=True)
class Fire:
    """State `state` has met all that brings it about, shows in `links` where it is at work, and leaves the sets.

    `below`: number of sets below its bit; those of `links` are counted without it.
    """

    state: int
    below: int
    links: Links


@dataclass(frozen=True, slots=True)
class Close:
    """Bit `symptom` has met all that shows in it and leaves the sets; `below`: number of sets below its bit."""

    symptom: int
    below: int


Step = Open | Add | Fire | Close


@dataclass(frozen=True, slots=True)
class Schedule:
    steps: tuple[Step, ...]
    width: int  # most bits open at once
    cost: int  # sets touched, a measure of time


def bits(mask: int) -> list[int]:
    """Positions of the bits that are set, lowest first."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest.bit_length() - 1)
        mask ^= lowest
    return found


# One numpy call costs about as much as passing over this many sets: keeps the cost honest where sets are few.
CALL_COST = 512


@lru_cache(maxsize=1024)
def schedule(masks: tuple[int, ...], fires: tuple[tuple[int, int], ...] = ()) -> Schedule:
    """Steps that add every cause once and fire every state once.

    Args: masks: for each cause the bits it shows in, as bits, not 0. fires: (bit of a state, the bits it shows in);
    some cause shows in each of these states.
    """
    return _Planner(masks, fires).schedule()


@lru_cache(maxsize=256)
def schedule_ending(
    masks: tuple[int, ...], fires: tuple[tuple[int, int], ...], last: frozenset[int]
) -> tuple[Schedule, Schedule]:
    """schedule() in two parts: all but the `last` causes, and these. No symptom closes before the second part."""
    states = sum(1 << state for state, _ in fires)
    every = held = 0
    for mask in (*masks, *(shown for _, shown in fires)):
        every |= mask
    for cause in last:
        held |= masks[cause]
    planner = _Planner([mask for cause, mask in enumerate(masks) if cause not in last], ())
    planner.rename([cause for cause in range(len(masks)) if cause not in last])
    planner.unfired = {state: shown for state, shown in fires if not held >> state & 1}
    planner.held = every & ~states | held
    first = planner.schedule()
    planner.steps, planner.cost, planner.held = [], 0, 0
    planner.take([masks[cause] for cause in sorted(last)])
    planner.rename(sorted(last))
    planner.unfired = {state: shown for state, shown in fires if held >> state & 1}
    planner.close()
    return first, planner.schedule()


class _Planner:
    def __init__(self, masks: Sequence[int], fires: Iterable[tuple[int, int]]) -> None:
        self.take(masks)
        self.unfired = dict(fires)
        self.steps: list[Step] = []
        self.order: list[int] = []  # open bits, least significant first
        self.is_open = self.width = self.cost = 0
        self.held = 0  # bits that may not leave

    def take(self, masks: Sequence[int]) -> None:
        self.causes_of: dict[int, list[int]] = {}
        for cause, mask in enumerate(masks):
            self.causes_of.setdefault(mask, []).append(cause)
        self.remaining = {mask: bits(mask) for mask in self.causes_of}

    def rename(self, names: Sequence[int]) -> None:
        """What the causes taken are called in the steps."""
        self.causes_of = {mask: [names[cause] for cause in causes] for mask, causes in self.causes_of.items()}

    def close(self) -> None:
        """Let go of what nothing needs any more."""
        self._leave(0)

    def schedule(self) -> Schedule:
        while self.remaining or self.unfired:
            target = self._next_to_close()
            wanted = 1 << target
            for state, shown in self.unfired.items():
                if shown >> target & 1:
                    wanted |= 1 << state
            chosen = [mask for mask in self.remaining if mask & wanted]
            for mask in sorted(chosen, key=lambda mask: (mask & ~self.is_open).bit_count()):
                self._add(mask)
                self._leave(wanted)
            if not chosen:
                self._leave(wanted)
        return Schedule(tuple(self.steps), self.width, self.cost)

    def _next_to_close(self) -> int:
        """The bit whose closing opens the fewest new ones; among equals an open one, then the lowest."""
        touched: dict[int, int] = {}
        for mask, places in self.remaining.items():
            for place in places:
                touched[place] = touched.get(place, 0) | mask
        for state, shown in self.unfired.items():
            touched[state] = touched.get(state, 1 << state) | shown
        for state, shown in self.unfired.items():
            for place in bits(shown):
                touched[place] = touched.get(place, 0) | touched[state]
        return min(
            ((mask & ~self.is_open).bit_count(), not self.is_open >> place & 1, place)
            for place, mask in touched.items()
        )[2]

    def _open(self, mask: int) -> None:
        entering = bits(mask & ~self.is_open)
        self.order += entering
        self.steps += map(Open, entering)
        self.is_open |= mask
        self.width = max(self.width, len(self.order))

    def _links(self, places: Iterable[int]) -> Links:
        return tuple((place, 1 << self.order.index(place)) for place in places)

    def _pay(self, links: Links, times: int = 1) -> None:
        self.cost += times * (2 + len(links)) * (CALL_COST + (1 << len(self.order)))

    def _add(self, mask: int) -> None:
        self._open(mask)
        links = self._links(self.remaining.pop(mask))
        self.steps += [Add(cause, links) for cause in self.causes_of[mask]]
        self._pay(links, len(self.causes_of[mask]))

    def _leave(self, wanted: int) -> None:
        """Fire the states, and close the other bits, that have met everything."""
        needed = self.held
        for mask in self.remaining:
            needed |= mask
        for state, shown in list(self.unfired.items()):
            complete = not needed >> state & 1 and (wanted >> state & 1 or not shown & ~self.is_open)
            if complete:
                self._open(shown | 1 << state)
                below = 1 << self.order.index(state)
                self.order.remove(state)
                self.is_open &= ~(1 << state)
                links = self._links(bits(shown))
                self.steps.append(Fire(state, below, links))
                self._pay(links)
                del self.unfired[state]
        for state, shown in self.unfired.items():
            needed |= shown | 1 << state
        for leaving in bits(self.is_open & ~needed):
            self.steps.append(Close(leaving, 1 << self.order.index(leaving)))
            self.order.remove(leaving)
        self.is_open &= needed
