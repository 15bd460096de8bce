"""Results that depend on the knowledge alone are worked out once and kept while they are used."""

from collections.abc import Callable
from threading import Lock
from typing import TypeVar

from cachetools import LRUCache, cached

from saltriage.knowledge.model import Knowledge

__all__ = ["MOST_KEPT", "fingerprint_of", "of_knowledge"]

Result = TypeVar("Result")
MOST_KEPT = 4  # knowledge bases at a time: two that are compared, and two to spare


def fingerprint_of(knowledge: Knowledge) -> str:
    """By what results are kept: rules that say the same give the same results."""
    return knowledge.fingerprint


def of_knowledge(work: Callable[[Knowledge], Result]) -> Callable[[Knowledge], Result]:
    """A function of the knowledge that works its result out once for each fingerprint; for any number of threads."""
    kept: LRUCache[str, Result] = LRUCache(MOST_KEPT)
    return cached(kept, key=fingerprint_of, lock=Lock())(work)
