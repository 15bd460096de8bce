"""What is wrong with the corpus of dangers and the weights learned from it."""

from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import Finding, finding_at
from saltriage.knowledge.places import Place
from saltriage.words.danger.reader import CORPUS_FOLDER
from saltriage.words.danger.weights import WEIGHTS_FILE, read_weights
from saltriage.workshop.corpus_files import files_fingerprint
from saltriage.workshop.danger_corpus import read_corpus

__all__ = ["danger_findings"]

_MEND = "Run saltriage rules train, and commit the weights with the lines."


def danger_findings(rules: Path) -> list[Finding]:
    """Findings of the corpus below some rules; none where they bring no corpus.

    Lines that the weights were trained with passed the check then and are not read again: it takes seconds.
    """
    folder = rules / CORPUS_FOLDER
    if not folder.is_dir():
        return []
    path = folder / WEIGHTS_FILE
    try:
        if read_weights(path).fingerprint == files_fingerprint(folder):
            return []
        told = "The weights were trained with other lines than stand here now."
    except UsageRefused as reason:
        told = f"{str(reason).partition(';')[0]}."
    return [*read_corpus(folder)[1], finding_at("R092", path.as_posix(), Place(1, 1), told, _MEND)]
