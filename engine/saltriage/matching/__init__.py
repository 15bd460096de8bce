"""Matching: what is known of one pool against every condition of the rules.

The work is done by durable-rules where its extension can be imported, else by the plain evaluator; the answers are
the same, and `Matches.engine` says which of the two gave them. Only `durable_adapter` knows the outside engine.
"""

from saltriage.matching.condition_set import ConditionSet
from saltriage.matching.matcher import Conflict, Matcher, Matches

__all__ = ["ConditionSet", "Conflict", "Matcher", "Matches"]
