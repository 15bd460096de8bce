"""A caller's own words -> what they may mean: symptoms said or denied, readings with their units, and the words for it.

Nothing is decided here: what comes back are candidates to be confirmed. A unit that was not named, or a word that names
two ('gallons', 'degrees'), stays open, with what it may be. Synonyms are data (lexicon), phrases stand with the rules.

>>> from types import SimpleNamespace as Rule
>>> rules = Rule(symptoms={"foam": Rule(phrases=("foam on the pool",))}, readings={}, fingerprint="")
>>> [(each.id, each.present, each.words) for each in hear("no foam on the pool", rules).symptoms]
[('foam', False, 'no foam on the pool')]
"""

from saltriage.words.hearing import Heard, HeardReading, HeardSymptom, hear

__all__ = ["Heard", "HeardReading", "HeardSymptom", "hear"]
