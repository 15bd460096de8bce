"""The corpus of sayings as a table: clauses and sayings by features, and what each of them says."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from saltriage.words.learned.clauses import clause_pattern, clauses_of
from saltriage.words.learned.evidence import MANNERS
from saltriage.words.learned.features import ROWS, Rarity
from saltriage.workshop.saying_corpus import CallLine, SayingCorpus

__all__ = ["LearnedLine", "LineTable", "lines_of", "table_of"]

_OVERLAP = 0.5  # of the shorter of clause and words, from which on the clause says what the words say


@dataclass(frozen=True, slots=True)
class LearnedLine:
    """A text that is learned from. Args: says: symptom, said or denied. manner: '' where it speaks in more than one.

    voice: the set of the call that it is a clause of, '' for a saying.
    """

    text: str
    says: tuple[tuple[str, bool], ...]
    manner: str
    voice: str


@dataclass(frozen=True, slots=True)
class LineTable:
    """Args: features: (lines, ROWS), sparse. answers: (lines, 2 * symptoms + manners). voices: of each line."""

    features: Any
    answers: NDArray[np.float32]
    voices: NDArray[np.str_]


def lines_of(corpus: SayingCorpus) -> list[LearnedLine]:
    """Sayings as they are; of calls the clauses, the words that were labelled, and words known to say nothing."""
    found = []
    for line in corpus.sayings:
        claimed = line.finding and line.polarity in ("present", "absent")
        says = ((line.finding, line.polarity == "present"),) if claimed else ()
        found.append(LearnedLine(line.say, says, line.polarity, ""))
    ends = clause_pattern(corpus.joints)
    for call in corpus.calls:
        found += _of_call(call, clauses_of(call.said, ends)) if call.judges else _of_part(call)
    return found


def _of_call(call: CallLine, clauses: Sequence[tuple[int, int]]) -> list[LearnedLine]:
    found = []
    for start, end in clauses:
        says = {
            (each.finding, each.polarity == "present")
            for each in call.says
            if min(end, each.end) - max(start, each.start) > _OVERLAP * min(end - start, each.end - each.start)
        }
        found.append(_line(call.said[start:end], says, call.voice))
    whole = {(each.start, each.end) for each in call.says} - set(clauses)
    for start, end in sorted(whole):
        says = {
            (each.finding, each.polarity == "present") for each in call.says if (each.start, each.end) == (start, end)
        }
        found.append(_line(call.said[start:end], says, call.voice))
    return found


def _line(text: str, says: set[tuple[str, bool]], voice: str) -> LearnedLine:
    manners = {present for _, present in says}
    manner = "idle" if not says else "" if len(manners) > 1 else "present" if True in manners else "absent"
    return LearnedLine(text, tuple(sorted(says)), manner, voice)


def _of_part(call: CallLine) -> list[LearnedLine]:
    found = []
    for each in call.says:
        claimed = each.polarity in ("present", "absent")
        says = ((each.finding, each.polarity == "present"),) if claimed else ()
        found.append(LearnedLine(call.said[each.start : each.end], says, each.polarity, ""))
    return [*found, *(LearnedLine(words, (), "idle", "") for words in call.idle)]


def table_of(lines: Sequence[LearnedLine], symptoms: Sequence[str], rarity: Rarity) -> LineTable:
    """The lines by features, as the reader weighs them, and what they say by symptom."""
    from scipy.sparse import csr_matrix  # comes with scikit-learn, which only training needs

    place = {symptom: at for at, symptom in enumerate(symptoms)}
    ends, columns, values = [0], [], []
    answers = np.zeros((len(lines), 2 * len(symptoms) + len(MANNERS)), dtype=np.float32)
    for at, line in enumerate(lines):
        rows, told = rarity.vector(line.text)
        columns.append(rows)
        values.append(told)
        ends.append(ends[-1] + len(rows))
        for symptom, present in line.says:
            answers[at, place[symptom] + (0 if present else len(symptoms))] = 1.0
        if line.manner:
            answers[at, 2 * len(symptoms) + MANNERS.index(line.manner)] = 1.0
    features = csr_matrix((np.concatenate(values), np.concatenate(columns), ends), shape=(len(lines), ROWS))
    features.sum_duplicates()
    return LineTable(features, answers, np.array([line.voice for line in lines]))
