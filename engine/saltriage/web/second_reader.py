"""The second reader of a server: asked for finished words alone, beside the engine, so that nobody waits for it there.

What it tells are candidates to be asked back. Where it gives no answer in time, or nonsense, the built-in reader hears
alone, and the answer says so.
"""

import asyncio
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from starlette.requests import Request

from saltriage.knowledge.model import Knowledge
from saltriage.web.settings import Settings
from saltriage.words.combined import HeardPiece
from saltriage.words.hearing import LONGEST
from saltriage.words.model_reader import ModelReader
from saltriage.words.readers import OtherReader, Vocabulary, believable, vocabulary_of

__all__ = ["SecondHearing", "SecondReader", "second_of", "second_told"]

_AT_ONCE = 8  # texts that are read at the same time; more wait, and are passed over when their time is up


@dataclass(frozen=True, slots=True)
class SecondHearing:
    """What the second reader made of one text; handed to the engine as a reader of that text.

    Args: answered: whether it gave anything that can be; a text in which it heard nothing is answered.
    """

    name: str
    pieces: tuple[HeardPiece, ...] = ()
    answered: bool = False

    def read(self, text: str, vocabulary: Vocabulary) -> Sequence[HeardPiece]:
        """What was heard already."""
        return self.pieces


class SecondReader:
    """Asks one reader. Args: reader: None: there is none, and nothing leaves.    seconds: that one answer may take."""

    def __init__(self, reader: OtherReader | None, knowledge: Knowledge, seconds: float) -> None:
        self.name = reader.name if reader else ""
        self._reader, self._seconds = reader, seconds
        self._vocabulary = vocabulary_of(knowledge) if reader else Vocabulary({})
        self._threads = ThreadPoolExecutor(_AT_ONCE, thread_name_prefix="reader")
        self._asked: dict[str, asyncio.Task[SecondHearing]] = {}

    @classmethod
    def of(cls, settings: Settings, knowledge: Knowledge) -> "SecondReader":
        """The one that the settings name. Raises: UsageRefused: its address is none."""
        url, seconds = settings.reader, settings.reader_seconds
        return cls(ModelReader(url, knowledge, seconds=seconds) if url else None, knowledge, seconds)

    async def hearing(self, text: str, *, finished: bool = True) -> tuple[SecondHearing, ...]:
        """What it hears in finished words; empty where there is no reader, no word, or somebody still types.

        Who leaves the field by pressing 'go on' sends the same words twice: they are asked for once.
        """
        text = text[:LONGEST]
        if self._reader is None or not finished or not text.strip():
            return ()
        if text not in self._asked:
            self._asked[text] = asyncio.create_task(self._ask(self._reader, text))
        return (await asyncio.shield(self._asked[text]),)

    async def _ask(self, reader: OtherReader, text: str) -> SecondHearing:
        try:
            async with asyncio.timeout(self._seconds):
                loop = asyncio.get_running_loop()
                told = await loop.run_in_executor(self._threads, reader.read, text, self._vocabulary)
            pieces = tuple(believable(text, told, reader.name, self._vocabulary))
        except Exception:  # time-out or nonsense: the built-in reader hears alone
            return SecondHearing(self.name)
        finally:
            del self._asked[text]
        return SecondHearing(self.name, pieces, answered=bool(pieces) or not told)

    def close(self) -> None:
        """Let the threads end."""
        self._threads.shutdown(wait=False, cancel_futures=True)


def second_of(request: Request) -> SecondReader:
    """The second reader of the application that serves a request."""
    found: SecondReader = request.app.state.second
    return found


def second_told(others: Sequence[SecondHearing]) -> dict[str, object] | None:
    """Who was asked and whether it answered, for an answer; None where nobody was asked."""
    return {"name": others[0].name, "answered": others[0].answered} if others else None
