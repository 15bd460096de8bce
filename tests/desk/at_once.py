"""Several who do something at the same moment, each in a thread of his own."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

__all__ = ["at_once"]

T = TypeVar("T")


def at_once(*works: Callable[[], T]) -> list[T]:
    """What each gave, in this order. Raises: what the first of them raised, once all are over."""
    with ThreadPoolExecutor(len(works)) as threads:
        begun = [threads.submit(work) for work in works]
    return [each.result() for each in begun]
