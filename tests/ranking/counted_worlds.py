"""Expected counts by going through every set of causes and states; knows nothing of how the engine sums."""

import math
from collections.abc import Callable

from three_layers import Layers, World, rest

Chance = Callable[[World], float]


def expected(worlds: dict[World, float], chance: Chance) -> float:
    """The mean of a chance over all worlds."""
    return math.fsum(weight * chance(world) for world, weight in worlds.items()) / math.fsum(worlds.values())


def symptom_present(case: Layers, symptom: int, world: World) -> float:
    """Chance that the symptom is answered yes in a world."""
    causes, states = world
    share = 1 - 2 * case.answer_error
    strengths = [*case.strengths, *([[case.other.strength] * len(case.leaks)] if case.other else [])]
    missing = (1 - case.leaks[symptom]) * (1 - case.answer_error) * rest(strengths, causes, symptom, share)
    return 1 - missing * rest(case.shows, states, symptom, share)


def state_there(case: Layers, state: int, world: World) -> float:
    """Chance that the state comes about with these causes."""
    brings = [*case.brings, *([[case.other.strength] * len(case.state_leaks)] if case.other else [])]
    return 1 - (1 - case.state_leaks[state]) * rest(brings, world[0], state, 1.0)


def link_did(case: Layers, table: list[list[float]], row: int, symptom: int, layer: int) -> Chance:
    """Chance that a cause (layer 0) or a state (layer 1) is at work and showed in a present symptom."""
    strength = table[row][symptom] * (1 - 2 * case.answer_error)
    return lambda world: strength / symptom_present(case, symptom, world) if world[layer][row] else 0.0


def brought(case: Layers, cause: int, state: int) -> Chance:
    """Chance that a cause is at work and brought the state about."""

    def chance(world: World) -> float:
        causes, states = world
        at_work = causes[cause] and states[state]
        return case.brings[cause][state] / state_there(case, state, world) if at_work else 0.0

    return chance
