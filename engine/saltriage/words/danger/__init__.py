"""Dangers in a caller's words, heard by a reader that was trained on the lines in rules/corpus/dangers.

It knows no rule and no symptom: what it hears is a kind of danger, how bad, how likely, and the words that say so. What
follows from that is for others to decide. The weights are read when the first text is.

>>> [(each.kind, each.sureness) for each in dangers_in("Every time I grab the ladder I get a tingle up my arm.")]
[('electric', 'sure')]
>>> dangers_in("The salt light is on after all that rain. How much salt do I need?")
()
"""

from saltriage.words.danger.reader import DangerHeard, DangerReader, danger_reader, dangers_in

__all__ = ["DangerHeard", "DangerReader", "danger_reader", "dangers_in"]
