"""Conditions of rules: three-valued truth over intervals, and the engines that match them.

The work is done by durable-rules where its extension can be imported, else by the plain evaluator; the answers are
the same, and `Matcher.engine` says which of the two gave them. Only `durable_adapter` knows the outside engine.
"""

from saltriage.conditions.condition import Facts, Truth
from saltriage.conditions.condition_set import ConditionSet
from saltriage.conditions.matcher import Matcher, refuse_too_large

__all__ = ["ConditionSet", "Facts", "Matcher", "Truth", "refuse_too_large"]
