"""With what the opening words are heard: the built-in reader, one that lacks a voice, or recorded answers beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.errors import UsageRefused
from saltriage.exam.json_lines import json_lines, refuse
from saltriage.exam.papers import Papers
from saltriage.knowledge.model import Knowledge
from saltriage.words import Heard, hear
from saltriage.words.combined import HeardPiece
from saltriage.words.learned import SayingReader, read_weights
from saltriage.words.model_reader import ModelReader
from saltriage.words.readers import OtherReader, Vocabulary

__all__ = ["Listening", "RecordedReader", "listening_with"]


@dataclass(frozen=True, slots=True)
class Listening:
    """Args: reader: of sayings; the project's own where it is None. others: readers that hear as well."""

    reader: SayingReader | None = None
    others: tuple[OtherReader, ...] = ()

    def heard(self, text: str, knowledge: Knowledge) -> Heard:
        """What is understood of the text."""
        return hear(text, knowledge, reader=self.reader, others=self.others)


class RecordedReader:
    """A model's reader without its server. Args: answers: by the text that was sent to it."""

    name = "recorded"

    def __init__(self, knowledge: Knowledge, answers: Mapping[str, Any]) -> None:
        self._model = ModelReader("http://recorded.invalid", knowledge)
        self._answers = answers

    def read(self, text: str, vocabulary: Vocabulary) -> Sequence[HeardPiece]:
        """What was answered then, taken as if it came now; nothing where this text was not sent."""
        answer = self._answers.get(self._model.without_private(text))
        return [] if answer is None else self._model.pieces(text, answer)


def listening_with(
    papers: Papers, knowledge: Knowledge, weights: Path | None = None, recorded: Path | None = None
) -> Listening:
    """Args: weights: file of `rules train --without --to`. recorded: file of a model's answers by sheet.

    Raises: UsageRefused: one of the files cannot be read, or no answer is for a sheet that is scored.
    """
    reader = None if weights is None else SayingReader(read_weights(weights))
    return Listening(reader, () if recorded is None else (_recorded(recorded, papers, knowledge),))


def _recorded(path: Path, papers: Papers, knowledge: Knowledge) -> RecordedReader:
    mistakes: list[str] = []
    answers = {line.data["id"]: line.data["answer"] for line in json_lines(path, "exam-recorded", mistakes)}
    refuse(mistakes)
    said = {paper.sheet.id: paper.sheet.said for paper in papers.scored}
    if not answers.keys() & said.keys():
        raise UsageRefused(f"{path}: no answer is for a sheet that is scored")
    model = ModelReader("http://recorded.invalid", knowledge)
    return RecordedReader(
        knowledge, {model.without_private(said[id]): answer for id, answer in answers.items() if id in said}
    )
