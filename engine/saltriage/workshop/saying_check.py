"""What is wrong with the corpus of sayings and the weights learned from it."""

from collections.abc import Collection
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Finding, finding_at
from saltriage.knowledge.places import Place
from saltriage.words.learned import CORPUS_FOLDER, WEIGHTS_FILE, read_weights
from saltriage.workshop.corpus_files import files_fingerprint
from saltriage.workshop.saying_corpus import read_sayings_corpus

__all__ = ["saying_findings"]

_MEND = "Run saltriage rules train, and commit the weights with the lines."


def saying_findings(rules: Path, symptoms: Collection[str], readings: Collection[str]) -> list[Finding]:
    """Findings of the corpus below some rules; none where they bring no corpus.

    Lines that the weights were trained with passed the check then and are not read again: it takes seconds. But a
    symptom that was learned and is no more is said.
    """
    folder = rules / CORPUS_FOLDER
    if not folder.is_dir():
        return []
    path = folder / WEIGHTS_FILE
    try:
        weights = read_weights(path)
        if weights.fingerprint == files_fingerprint(folder) and set(weights.symptoms) <= set(symptoms):
            return []
        told = "The weights were trained with other lines, or for other symptoms, than stand here now."
    except UsageRefused as reason:
        told = f"{str(reason).partition(';')[0]}."
    found = read_sayings_corpus(folder, symptoms, readings)[1]
    return [*found, finding_at("R092", path.as_posix(), Place(1, 1), told, _MEND)]
