"""Runs the application with uvicorn; a client that is slow to send its request line and headers is hung up on."""

import asyncio
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from saltriage.knowledge.model import Knowledge
from saltriage.web.app import create_app
from saltriage.web.settings import Settings

__all__ = ["server", "timed_protocol"]


def timed_protocol(seconds: float) -> type[H11Protocol]:
    """An HTTP/1.1 protocol that closes a connection on which a request's head does not arrive within the time.

    Idle connections come under uvicorn's own keep-alive limit, bodies under `saltriage.web.guard`.
    """

    class TimedProtocol(H11Protocol):
        _deadline: asyncio.TimerHandle | None = None

        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            self._wait()

        def connection_lost(self, exc: Exception | None) -> None:
            self._stop_waiting()
            super().connection_lost(exc)

        def data_received(self, data: bytes) -> None:
            super().data_received(data)
            if self._between_requests():
                self._wait()
            else:
                self._stop_waiting()

        def _between_requests(self) -> bool:
            return self.cycle is None or self.cycle.response_complete

        def _wait(self) -> None:
            if self._deadline is None:
                self._deadline = self.loop.call_later(seconds, self._hang_up)

        def _stop_waiting(self) -> None:
            if self._deadline is not None:
                self._deadline.cancel()
                self._deadline = None

        def _hang_up(self) -> None:
            self._deadline = None
            if self._between_requests() and not self.transport.is_closing():
                self.transport.close()

    return TimedProtocol


def server(
    knowledge: Knowledge, host: str = "127.0.0.1", port: int = 8765, settings: Settings | None = None
) -> uvicorn.Server:
    """A server that is ready to run: `server(...).run()`. Port 0 takes a free one."""
    limits = settings or Settings()
    options: dict[str, Any] = {
        "host": host,
        "port": port,
        "http": timed_protocol(limits.head_seconds),
        "ws": "none",
        "lifespan": "on",
        "log_level": "warning",
        "access_log": False,
        "server_header": False,
        "proxy_headers": False,
        "timeout_keep_alive": 15,
        "timeout_graceful_shutdown": 5,
        "h11_max_incomplete_event_size": 32 * 1024,
    }
    if limits.tls is not None:
        options |= {"ssl_certfile": limits.tls.cert, "ssl_keyfile": limits.tls.key}
    return uvicorn.Server(uvicorn.Config(create_app(knowledge, limits), **options))
