"""A stub of a language model's server: gives the answer it was told to, and keeps what it got."""

import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

__all__ = ["ModelServer", "model_server", "says"]


class ModelServer(ThreadingHTTPServer):
    """Args: answer, status: of every request. wait: seconds before it. elsewhere: where a request is sent on to.

    drip: seconds between the bytes of the answer. got: every body that came, in order.
    """

    answer = ""
    status = 200
    wait = 0.0
    drip = 0.0
    elsewhere = ""
    got: list[dict[str, Any]]

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/v1"

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self.server_address[1]}"

    @property
    def words(self) -> list[str]:
        """The caller's words that came, in order."""
        return [each["messages"][1]["content"] for each in self.got]


class _Handler(BaseHTTPRequestHandler):
    server: ModelServer

    def do_GET(self) -> None:
        self.server.got.append({"asked with": "GET"})
        self._answer()

    def do_POST(self) -> None:
        self.server.got.append(json.loads(self.rfile.read(int(self.headers["Content-Length"]))))
        time.sleep(self.server.wait)
        self._answer()

    def _answer(self) -> None:
        self.send_response(302 if self.server.elsewhere else self.server.status)
        if self.server.elsewhere:
            self.send_header("Location", self.server.elsewhere)
        self.end_headers()
        body = self.server.answer.encode()
        try:
            for place in range(0, len(body), 1 if self.server.drip else len(body)):
                self.wfile.write(body[place : place + (1 if self.server.drip else len(body))])
                time.sleep(self.server.drip)
        except OSError:
            pass  # whoever asked has hung up

    def log_message(self, format: str, *args: object) -> None:
        pass


@contextmanager
def model_server() -> Iterator[ModelServer]:
    """One that runs in a thread of its own."""
    with ModelServer(("127.0.0.1", 0), _Handler) as running:
        running.got = []
        running.daemon_threads = True
        thread = threading.Thread(target=running.serve_forever, args=(0.01,))
        thread.start()
        yield running
        running.shutdown()
        thread.join()


def says(*items: tuple[str, str, str]) -> str:
    """An answer as the protocol has it. Args: items: id, polarity, words."""
    content = {"says": [{"id": id, "polarity": polarity, "words": words} for id, polarity, words in items]}
    return json.dumps({"choices": [{"message": {"content": json.dumps(content)}}]})
