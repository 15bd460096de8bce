"""What a caller's words may mean, heard by a reader that was trained on the sayings in rules/corpus/sayings.

Two small steps, both linear. Each clause gets a score for every symptom, said or denied, from its words and parts of
words. Then one rule, the same for all symptoms, makes a chance of the scores of all clauses, of how often callers speak
of the symptom at all, and of what the phrases of the rules hear.
"""

from saltriage.words.learned.reader import CORPUS_FOLDER, SayingReader, saying_reader
from saltriage.words.learned.weights import WEIGHTS_FILE, SaidSymptom, SayingWeights, read_weights

__all__ = [
    "CORPUS_FOLDER",
    "WEIGHTS_FILE",
    "SaidSymptom",
    "SayingReader",
    "SayingWeights",
    "read_weights",
    "saying_reader",
]
