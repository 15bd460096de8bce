"""What a case needs to know of the rules: which symptoms, readings and profiles there are, and what readings allow.

`saltriage.knowledge.Knowledge` fits; so does any small object with these attributes.
"""

from collections.abc import Mapping
from typing import Protocol

__all__ = ["Knows", "ReadingRule", "SymptomRule"]


class _Allowed(Protocol):
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def because(self) -> str: ...


class _Method(Protocol):
    def precision(self, value: float, /) -> float: ...


class ReadingRule(Protocol):
    """What a case needs to know of a reading's rule."""

    @property
    def id(self) -> str: ...
    @property
    def quantity(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def role(self) -> str: ...
    @property
    def allowed(self) -> _Allowed: ...
    @property
    def methods(self) -> Mapping[str, _Method]: ...


class SymptomRule(Protocol):
    """What a case needs to know of a symptom's rule."""

    @property
    def kind(self) -> str: ...


class _Retired(Protocol):
    @property
    def replaced_by(self) -> str: ...
    @property
    def retired_because(self) -> str: ...


class _Number(Protocol):
    @property
    def value(self) -> float: ...


class _Profile(Protocol):
    @property
    def settings(self) -> Mapping[str, _Number]: ...


class Knows(Protocol):
    """What a case needs to know of the rules; `saltriage.knowledge.Knowledge` is one such."""

    @property
    def symptoms(self) -> Mapping[str, SymptomRule]: ...
    @property
    def readings(self) -> Mapping[str, ReadingRule]: ...
    @property
    def equipment(self) -> Mapping[str, _Profile]: ...
    @property
    def targets(self) -> Mapping[str, object]: ...
    @property
    def retired(self) -> Mapping[str, _Retired]: ...
