"""A reader that asks a language model: any server that speaks the open chat-completions protocol with JSON output.

Off unless a desk names a server. It gets the caller's words, without names, telephone numbers and addresses, and the
questions of all symptoms; it returns ids, polarity and words to the letter. Numbers are read by our own parser alone,
dangers by our own reader as well.
"""

import json
import os
import time
from collections.abc import Sequence
from typing import Any
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler, Request, build_opener

from saltriage.errors import UsageRefused
from saltriage.knowledge.model import Knowledge
from saltriage.words.combined import HeardPiece
from saltriage.words.ear import ear_of
from saltriage.words.readers import Vocabulary

__all__ = ["ANSWER", "ModelReader"]

_SECONDS = 20.0  # that a caller waits at most (own judgement)
_MOST_BYTES = 1_000_000
# Always asked back. Of 334 pieces in the answers of tests/words/recorded a clerk had ticked 187, the contrary of none.
_RELIABILITY = 0.55
_POLARITIES = ("present", "absent", "asked", "past")
_TASK = """\
You label what a caller says about a salt-chlorinated pool. You get the caller's words and a list of questions, each
with an id. For every question that the words answer, give its id, the words that say it, copied to the letter, and the
polarity: present (so today), absent (denied), asked (only asked, feared or planned), past (over). Leave out what is not
said. Never infer causes."""
ANSWER: dict[str, Any] = {
    "type": "object",
    "properties": {
        "says": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "id": {"type": "string"},
                    "polarity": {"enum": list(_POLARITIES)},
                    "words": {"type": "string"},
                },
                "required": ["id", "polarity", "words"],
                "additionalProperties": False,
            },
        }
    },
    "required": ["says"],
    "additionalProperties": False,
}


class _NoRedirect(HTTPRedirectHandler):
    """The key, and whose host was named to the caller, must not follow to another host."""

    def redirect_request(self, *_: object, **__: object) -> None:
        return None


_NEVER_ELSEWHERE = build_opener(_NoRedirect)


class ModelReader:
    """Asks one server. Args: url: of the server, with or without `/chat/completions`. rules: tell what is private.

    model: its name for the server. The environment variable SALTRIAGE_READER_KEY is sent as a bearer token if set.
    Raises: UsageRefused: the URL is none of http or https.
    """

    def __init__(self, url: str, rules: Knowledge, model: str = "default", seconds: float = _SECONDS) -> None:
        parts = urlsplit(url)
        if parts.scheme not in ("http", "https") or not parts.hostname:
            raise UsageRefused(f"{url}: the reader's address begins with http:// or https://")
        if "@" in parts.netloc:  # it would be shown to callers
            raise UsageRefused("the reader's address holds a password; put the key in SALTRIAGE_READER_KEY")
        self.name = parts.netloc.lower()
        self._url = url if url.rstrip("/").endswith("/chat/completions") else f"{url.rstrip('/')}/chat/completions"
        self._private = ear_of(rules).speech.private
        self._model, self._seconds = model, seconds

    def without_private(self, text: str) -> str:
        """The text with names, telephone numbers and addresses struck out, sign for sign."""
        return self._private.sub(lambda match: "*" * len(match.group()), text)

    def asked(self, text: str, vocabulary: Vocabulary) -> dict[str, Any]:
        """What is sent."""
        questions = "\n".join(f"{id}: {question}" for id, question in vocabulary.questions.items())
        return {
            "model": self._model,
            "temperature": 0,
            "messages": [
                {"role": "system", "content": f"{_TASK}\n\nQuestions:\n{questions}"},
                {"role": "user", "content": self.without_private(text)},
            ],
            "response_format": {
                "type": "json_schema",
                "json_schema": {"name": "says", "strict": True, "schema": ANSWER},
            },
        }

    def read(self, text: str, vocabulary: Vocabulary) -> Sequence[HeardPiece]:
        """What the model hears. Raises: OSError, ValueError, KeyError, TypeError: no answer, or nonsense."""
        headers = {"Content-Type": "application/json"}
        if key := os.environ.get("SALTRIAGE_READER_KEY", ""):
            headers["Authorization"] = f"Bearer {key}"
        request = Request(self._url, json.dumps(self.asked(text, vocabulary)).encode(), headers)
        # A time-out of a socket begins anew with every byte: a server that drips would hold the thread for hours.
        until = time.monotonic() + self._seconds
        body = b""
        with _NEVER_ELSEWHERE.open(request, timeout=self._seconds) as answer:
            while len(body) < _MOST_BYTES and (part := answer.read1(_MOST_BYTES)):
                body += part
                if time.monotonic() > until:
                    raise TimeoutError
        content = json.loads(body)["choices"][0]["message"]["content"]
        return self.pieces(text, json.loads(content))

    def pieces(self, text: str, answer: Any) -> list[HeardPiece]:
        """What an answer says of the text; words that were not sent are left out.

        Raises: KeyError, TypeError: the answer is not of the form asked for. ValueError: nothing of it was said.
        """
        sent, found = self.without_private(text), []
        for each in answer["says"]:
            start = sent.find(each["words"])
            if start >= 0 and each["words"].strip() and each["polarity"] in _POLARITIES:
                end = start + len(each["words"])
                found.append(HeardPiece(each["id"], each["polarity"], _RELIABILITY, text[start:end], start, end))
        if answer["says"] and not found:
            raise ValueError("nonsense: none of these words were sent")
        return found
