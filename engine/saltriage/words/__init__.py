"""A caller's own words -> what they may mean: symptoms said or denied, readings with their units, and the words for it.

Nothing is decided here: what comes back are candidates to be confirmed. A unit that was not named, or a word that names
two ('gallons', 'degrees'), stays open, with what it may be. All English stands in the
rules: callers' phrases with their symptom, the rest in rules/hearing.

>>> from saltriage.knowledge import load_knowledge
>>> [(each.id, each.present, each.words) for each in hear("no foam on the pool", load_knowledge()).symptoms]
[('foam', False, 'no foam on the pool')]
"""

from saltriage.words.danger import DangerHeard, dangers_in
from saltriage.words.ear import Ear, ear_of, ear_with, method_in, rules_in_order, sayings_of
from saltriage.words.hearing import Heard, HeardPiece, HeardReading, HeardSymptom, Unheard, hear, hear_with
from saltriage.words.reply_words import ReplyWords, plain_reply, reply_words, reply_words_of

__all__ = [
    "DangerHeard", "Ear", "Heard", "HeardPiece", "HeardReading", "HeardSymptom", "ReplyWords", "Unheard", "dangers_in",
    "ear_of", "ear_with", "hear", "hear_with", "method_in", "plain_reply", "reply_words", "reply_words_of",
    "rules_in_order", "sayings_of",
]  # fmt: skip
