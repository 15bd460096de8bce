"""Readers of others: what is believed of them, and one that asks a language model, held against a stub server."""

import json
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.words import hear
from saltriage.words.combined import HeardPiece
from saltriage.words.model_reader import ModelReader
from saltriage.words.readers import Vocabulary, pieces_of, vocabulary_of, with_others

KNOWLEDGE = load_knowledge()
HERE = Path(__file__).parent
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


RECORDED = {
    line["id"]: line["answer"]
    for line in map(json.loads, (HERE / "recorded" / "V5.jsonl").read_text(encoding="utf-8").splitlines())
}
SAID = {
    line["id"]: line["said"]
    for line in map(json.loads, (HERE.parent / "strangers" / "V5.jsonl").read_text(encoding="utf-8").splitlines())
}
FORMS = {
    line["id"]: {
        fact["symptom"]: fact["answer"] for fact in line["facts"] if fact["from"] == "said" and "symptom" in fact
    }
    for line in map(
        json.loads, (HERE.parent / "strangers" / "form" / "V5.jsonl").read_text(encoding="utf-8").splitlines()
    )
}


def test_recorded_answers_through_the_whole_path(server: Server) -> None:
    """Sixty calls answered by a mind that saw only the prompt; see recorded/README.md.

    Words stand in the text, ids exist, nothing sure and no danger comes or goes, and what the clerks ticked is found:
    0.82 of it when the answers were written, 0.41 by the built-in reader that has not learned from these calls.
    """
    reader, vocabulary = reader_of(server), vocabulary_of(KNOWLEDGE)
    ticked = found = contrary = 0
    for id, text in SAID.items():
        server.answer = json.dumps({"choices": [{"message": {"content": json.dumps(RECORDED[id])}}]})
        pieces = pieces_of(text, [reader], KNOWLEDGE)
        assert server.got is not None
        assert server.got["messages"][1]["content"] == reader.without_private(text)
        assert all(text[each.start : each.end] == each.words and each.id in vocabulary.questions for each in pieces)
        told = {each.id: "yes" if each.present else "no" for each in pieces if each.polarity in ("present", "absent")}
        asked_for = {symptom: answer for symptom, answer in FORMS[id].items() if symptom in vocabulary.questions}
        ticked += len(asked_for)
        found += sum(told.get(symptom) == answer for symptom, answer in asked_for.items())
        contrary += sum(told.get(symptom, answer) != answer for symptom, answer in asked_for.items())

    assert found >= 0.75 * ticked
    assert contrary <= 0.01 * ticked


@pytest.mark.parametrize("id", ["V5-003", "V5-012", "V5-040"])
def test_a_recorded_answer_changes_nothing_that_is_sure(server: Server, id: str) -> None:
    """Dangers are heard by our own reader, and numbers by our own parser, with the model as without it."""
    server.answer = json.dumps({"choices": [{"message": {"content": json.dumps(RECORDED[id])}}]})
    alone, both = hear(SAID[id], KNOWLEDGE), hear(SAID[id], KNOWLEDGE, others=[reader_of(server)])

    assert (both.symptoms, both.readings) == (alone.symptoms, alone.readings)
    assert {each.id for each in alone.likely} <= {each.id for each in both.likely}
    assert all(both.hints[id] >= chance for id, chance in alone.hints.items() if chance >= 0.5)


def test_two_readers_that_agree(server: Server) -> None:
    """The surer one counts, and it stays to be asked back."""
    text = "put in 5 bags of 25 kg"
    alone = next(each for each in hear(text, KNOWLEDGE).likely if each.id == "salt-added-lately")
    pieces = [HeardPiece("salt-added-lately", "present", 0.99, text, 0, len(text))]
    both = with_others([], [alone], pieces)

    assert [(each.id, each.reliability) for each in both] == [("salt-added-lately", 0.99)]
    assert with_others([], [alone], [HeardPiece("salt-added-lately", "absent", 0.99, text, 0, len(text))]) == (alone,)
