"""Several dangers at once: one list of orders, never empty, never contradictory, always with a rescue in it."""

import re
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.guard.dangers import Danger, Dangers, dangers_of
from saltriage.guard.orders import combined_orders
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.model import Safety

ROOT = Path(__file__).parents[2]
TRIPLES = 5000
WORDS_SAID_IN_TEN_SECONDS = 40  # 238 words a minute read in silence (Brysbaert 2019, from memory)


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def standing(stops: Sequence[Safety], rules: Knowledge) -> Dangers:
    return dangers_of([Danger(stop, stop.level, ("told",)) for stop in stops], rules)


def holds(stops: Sequence[Safety], rules: Knowledge) -> None:
    """What must hold for every set of dangers."""
    dangers = standing(stops, rules)
    orders = dangers.orders
    names = [stop.id for stop in stops]

    assert orders, f"{names}: no order is left"
    if any(stop.level == "life" for stop in stops):
        assert any(order.rescue for order in orders), f"{names}: no rescue is left"
    assert [order.rank for order in orders] == sorted(order.rank for order in orders)
    assert len({order.id for order in orders}) == len(orders)
    if any(order.place == "leaving" for order in orders):
        assert all(order.place != "here" for order in orders), f"{names}: leave, and stay to do something"
    given = {order.id for order in orders}
    for order in orders:
        assert not order.beats & given, f"{names}: {order.id} beside what it beats"
        for stop in stops:
            if order.id not in stop.demands:
                assert not order.touches & stop.forbids, f"{names}: {order.id} touches what {stop.id} forbids"
    for action in dangers.ordered_actions(rules.actions):
        whose = [order for order in orders if order.action == action.id]
        for stop in stops:
            if not any(order.id in stop.demands for order in whose):
                assert not action.touches & stop.forbids, f"{names}: {action.id} against {stop.id}"
    told_how = {action.id for action in dangers.ordered_actions(rules.actions)}
    for order in orders:
        if order.action and order.place == "here" and not order.rescue:
            assert order.action in told_how, f"{names}: {order.id} is ordered where its own steps are forbidden"


def test_whom_a_grave_danger_calls_for_is_called_by_an_order(rules: Knowledge) -> None:
    """The text names the orders alone, not each danger's own call."""
    grave = [stop for stop in rules.stops if stop.level != "unfit" and stop.call != "none"]
    silent = [
        stop.id
        for stop in grave
        if not any(re.search("call|doctor", rules.orders[each].say.owner, re.I) for each in stop.demands)
    ]

    assert grave
    assert silent == []


def test_every_danger_by_itself(rules: Knowledge) -> None:
    """Each stop rule alone, with everything that it demands."""
    for stop in rules.stops:
        holds([stop], rules)
        given = {order.id for order in standing([stop], rules).orders}
        beaten = set().union(*(rules.orders[order].beats for order in stop.demands))
        leaving = any(rules.orders[order].place == "leaving" for order in stop.demands)
        left = {order for order in stop.demands if not (leaving and rules.orders[order].place == "here")} - beaten

        assert left <= given, f"{stop.id} loses an order of its own"


def test_every_pair_of_dangers(rules: Knowledge) -> None:
    for pair in combinations(rules.stops, 2):
        holds(pair, rules)


def test_triples_of_dangers(rules: Knowledge) -> None:
    """Five thousand, drawn with a fixed seed."""
    draw = Random(20261129)
    for _ in range(TRIPLES):
        holds(draw.sample(rules.stops, 3), rules)


@given(st.randoms(use_true_random=False))
def test_the_order_of_dangers_does_not_matter(rules: Knowledge, draw: Random) -> None:
    """However the dangers came to be known, the orders are the same."""
    some = draw.sample(rules.stops, draw.randint(1, 6))
    turned = draw.sample(some, len(some))

    assert combined_orders(some, rules.orders) == combined_orders(turned, rules.orders)
    assert standing(some, rules).notices == standing(turned, rules).notices


def test_life_comes_before_harm_and_harm_before_keeping_out(rules: Knowledge) -> None:
    levels = [notice.level for notice in standing(rules.stops, rules).notices]

    assert levels == sorted(levels, key=["life", "harm", "unfit"].index)


def test_no_switch_is_touched_where_fuel_gas_is(rules: Knowledge) -> None:
    """'Switch off' gives way to 'touch no switch', and somebody outside cuts the power instead."""
    for other in rules.stops:
        given = [order.id for order in standing([rules.safety["stop-fuel-gas"], other], rules).orders]

        assert given[0] == "leave-touch-nothing" or given[0] == "leave-upwind"
        assert not {"switch-off-at-breaker", "power-off-first", "pump-off-at-once"} & set(given)
    both = standing([rules.safety["stop-fuel-gas"], rules.safety["stop-tingle"]], rules).orders
    assert "power-cut-from-outside" in [order.id for order in both]


def test_what_is_said_first_is_read_in_ten_seconds(rules: Knowledge) -> None:
    for stop in rules.stops:
        assert len(stop.say.owner.split()) <= WORDS_SAID_IN_TEN_SECONDS, stop.id


def test_ten_new_actions_need_no_edit_in_any_danger(rules: Knowledge) -> None:
    """A new action says what it touches; every danger knows at once whether to leave it."""
    from dataclasses import replace

    model = rules.actions["test-full-set"]
    touches = (
        "mains",
        "open-plant",
        "pressure",
        "gas",
        "water",
        "pool-side",
        "plant-room",
        "switches",
        "chemical-store",
    )
    new = [replace(model, id=f"new-{word}", touches=frozenset({word}), under="harm") for word in touches]
    new.append(replace(model, id="new-talk", touches=frozenset(), under="harm"))

    for stop in rules.stops:
        danger = Danger(stop, stop.level, ("told",))
        for action in new:
            free = not action.touches & stop.forbids and stop.level != "life"
            assert danger.leaves(action) is free, f"{stop.id}: {action.id}"
    assert len(new) == 10
