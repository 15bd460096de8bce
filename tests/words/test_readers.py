"""Readers of others: what is believed of them, and one that asks a language model, held against a stub server."""

import json
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.words import hear
from saltriage.words.combined import HeardPiece
from saltriage.words.model_reader import ModelReader
from saltriage.words.readers import Vocabulary, vocabulary_of

KNOWLEDGE = load_knowledge()
TEXT = "Hi, this is Ann Baker on +44 20 7946 0123. The dingus is gurgling like a drain. pH 7,8."


class Server(ThreadingHTTPServer):
    answer = ""
    status = 200
    got: dict[str, Any] | None = None


class Handler(BaseHTTPRequestHandler):
    server: Server

    def do_POST(self) -> None:
        self.server.got = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        self.send_response(self.server.status)
        self.end_headers()
        self.wfile.write(self.server.answer.encode())

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def server() -> Iterator[Server]:
    with Server(("127.0.0.1", 0), Handler) as running:
        thread = threading.Thread(target=running.serve_forever, args=(0.01,))
        thread.start()
        yield running
        running.shutdown()
        thread.join()


def reader_of(server: Server) -> ModelReader:
    return ModelReader(f"http://127.0.0.1:{server.server_address[1]}/v1", KNOWLEDGE, seconds=5)


def says(*items: tuple[str, str, str]) -> str:
    content = {"says": [{"id": id, "polarity": polarity, "words": words} for id, polarity, words in items]}
    return json.dumps({"choices": [{"message": {"content": json.dumps(content)}}]})


def test_what_a_model_hears_is_asked_back(server: Server) -> None:
    """With its words; never sure. Numbers are those of our own parser."""
    server.answer = says(("pump-noisy", "present", "The dingus is gurgling like a drain"))
    known = {"pump-noisy", "air-under-pump-lid"} & set(KNOWLEDGE.symptoms)
    id = sorted(known)[0]
    server.answer = says((id, "present", "The dingus is gurgling like a drain"))

    heard = hear(TEXT, KNOWLEDGE, others=[reader_of(server)])

    assert id not in {each.id for each in heard.symptoms}
    assert "The dingus is gurgling like a drain" in {each.words for each in heard.likely if each.id == id}
    assert [(each.id, each.number) for each in heard.readings] == [("ph", 7.8)]


def test_names_and_numbers_of_people_stay_here(server: Server) -> None:
    """And the answer's form is asked for as a JSON schema."""
    server.answer = says()
    hear(TEXT, KNOWLEDGE, others=[reader_of(server)])

    assert server.got is not None
    sent = server.got["messages"][1]["content"]
    assert "Ann" not in sent
    assert "7946" not in sent
    assert "gurgling" in sent
    assert "pH 7,8" in sent
    assert server.got["response_format"]["json_schema"]["schema"]["required"] == ["says"]


@pytest.mark.parametrize(
    ("text", "sent"),
    [
        ("ann@pool.example wrote", "**************** wrote"),
        ("Ring 07700 900123 or (020) 7946-0123", "Ring ************ or ***************"),
        ("my name is Ann Baker Smith, pump off", "my name is ***************, pump off"),
        ("I'm Ann and Mrs Baker lives next door", "I'm *** and Mrs ***** lives next door"),
        ("THIS IS THE THIRD BOARD AND I'M NOT PAYING", "THIS IS THE THIRD BOARD AND I'M NOT PAYING"),
        ("Mrs next door says so", "Mrs next door says so"),
        ("the pen says 3400-3650, once 3300 3350 3400", "the pen says 3400-3650, once 3300 3350 3400"),
        ("salt 3200 now 3400, pH 7.2-7.4", "salt 3200 now 3400, pH 7.2-7.4"),
    ],
)
def test_what_is_private(text: str, sent: str) -> None:
    """Names and numbers of people, and nothing that tells about the pool."""
    assert ModelReader("http://127.0.0.1:9/v1", KNOWLEDGE).without_private(text) == sent


@pytest.mark.parametrize(
    "answer",
    [
        "not json",
        "{}",
        json.dumps({"choices": [{"message": {"content": "I cannot help with that."}}]}),
        says(("no-such-symptom", "present", "The dingus")),
        says(("foam", "present", "words that nobody said")),
        says(("foam", "perhaps", "The dingus")),
    ],
)
def test_nonsense_falls_back_to_the_built_in_reader(server: Server, answer: str) -> None:
    """As if nobody had been asked."""
    server.answer = answer

    assert hear(TEXT, KNOWLEDGE, others=[reader_of(server)]) == hear(TEXT, KNOWLEDGE)


def test_a_server_in_trouble_is_passed_over(server: Server) -> None:
    """Likewise one that is not there."""
    server.status = 500

    assert hear(TEXT, KNOWLEDGE, others=[reader_of(server)]) == hear(TEXT, KNOWLEDGE)
    gone = ModelReader("http://127.0.0.1:9/v1", KNOWLEDGE, seconds=1)
    assert hear(TEXT, KNOWLEDGE, others=[gone]) == hear(TEXT, KNOWLEDGE)


def test_an_address_that_is_none_is_refused() -> None:
    """Before anything is sent."""
    with pytest.raises(UsageRefused, match="http"):
        ModelReader("file:///etc/hosts", KNOWLEDGE)


@dataclass
class Calm:
    """A reader that denies every danger."""

    name: str = "calm"

    def read(self, text: str, vocabulary: Vocabulary) -> Sequence[HeardPiece]:
        return [HeardPiece(id, "absent", 1.0, text, 0, len(text)) for id in vocabulary.questions]


def test_no_reader_takes_a_danger_away() -> None:
    """Nor anything that is sure."""
    text = "my ladder tingles and the low salt light is on"

    assert hear(text, KNOWLEDGE, others=[Calm()]).symptoms == hear(text, KNOWLEDGE).symptoms


def test_the_vocabulary_is_what_can_be_asked() -> None:
    """By id, as the owner is asked."""
    assert vocabulary_of(KNOWLEDGE).questions["foam"].endswith("?")
