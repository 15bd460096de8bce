"""Several dangers, one list of orders: what saves first, nothing that contradicts, nothing that another one forbids."""

from collections.abc import Iterable, Mapping

from saltriage.knowledge.model import Order, Safety

__all__ = ["combined_orders"]


def combined_orders(stops: Iterable[Safety], orders: Mapping[str, Order]) -> tuple[Order, ...]:
    """The orders of these stop rules, the most urgent first.

    Leaving beats all that keeps people at the place. An order that touches what a stop rule forbids gives way, unless
    that rule demands it itself; where the order names another one to take its place, that one is given. What an order
    beats is not given beside it.

    Args: orders: every order by id.
    """
    rules = tuple(stops)
    demanded = {order: orders[order] for rule in rules for order in rule.demands if order in orders}
    leaving = any(order.place == "leaving" for order in demanded.values())
    kept: dict[str, Order] = {}
    for order in sorted(demanded.values(), key=lambda one: (one.rank, one.id)):
        if _gives_way(order, rules, leaving):
            instead = orders.get(order.instead)
            if instead is not None and not _gives_way(instead, rules, leaving):
                kept[instead.id] = instead
        else:
            kept[order.id] = order
    beaten: set[str] = set()
    for order in sorted(kept.values(), key=lambda one: (one.rank, one.id)):
        if order.id not in beaten:
            beaten |= order.beats
    return tuple(
        sorted((order for order in kept.values() if order.id not in beaten), key=lambda one: (one.rank, one.id))
    )


def _gives_way(order: Order, rules: Iterable[Safety], leaving: bool) -> bool:
    if leaving and order.place == "here":
        return True
    return any(order.touches & rule.forbids for rule in rules if order.id not in rule.demands)
