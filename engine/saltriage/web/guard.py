"""What every request passes: the name it was sent to, limits on its body, and headers that keep a page harmless."""

import asyncio
from collections.abc import Mapping
from ipaddress import ip_address

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from saltriage.pool.units import shortened
from saltriage.web.problems import Problem
from saltriage.web.refusing import refusal
from saltriage.web.settings import Settings

__all__ = ["PAGE_POLICY", "Guard"]

PAGE_POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self';"
    " base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": PAGE_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    "Cache-Control": "no-store",
}


class Guard:
    """ASGI middleware: takes the whole body within the limits before the application sees the request."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app, self.settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        try:
            self._check_host(headers.get("host", ""))
            body = await self._body(headers, receive)
        except Problem as problem:
            accept = headers.get("accept", "*/*")
            answer = refusal(scope["path"], accept, problem, {"Connection": "close"})
            await answer(scope, receive, send_guarded)
            return
        if body is None:
            return  # the client went away
        await self.app(scope, _replayed(body, receive), send_guarded)

    def _check_host(self, host: str) -> None:
        """Refuses a name that is not ours: a page elsewhere may have its own name lead to this computer."""
        name = _name_of(host)
        if name not in self.settings.host_names and not (self.settings.any_address and _is_address(name)):
            raise Problem("wrong-host", f"Found Host {shortened(host)}.")

    async def _body(self, headers: Headers, receive: Receive) -> bytes | None:
        most = self.settings.most_bytes
        told = headers.get("content-length", "0")
        if told.isdigit() and int(told) > most:
            raise _too_large(most)
        parts: list[bytes] = []
        size = 0
        try:
            async with asyncio.timeout(self.settings.body_seconds):
                while True:
                    message = await receive()
                    if message["type"] == "http.disconnect":
                        return None
                    parts.append(message.get("body", b""))
                    size += len(parts[-1])
                    if size > most:
                        raise _too_large(most)
                    if not message.get("more_body", False):
                        return b"".join(parts)
        except TimeoutError:
            seconds = self.settings.body_seconds
            raise Problem("too-slow", f"The body did not arrive within {seconds:g} seconds.") from None


def _name_of(host: str) -> str:
    """The name in a Host header, without port, brackets and the dot of a full name (RFC 9110, section 7.2)."""
    if host.startswith("["):
        return host[1:].partition("]")[0].lower()
    return host.partition(":")[0].rstrip(".").lower()


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def _too_large(most: int) -> Problem:
    return Problem("too-large", f"A request may hold at most {most // 1024} kB.")


def _replayed(body: bytes, receive: Receive) -> Receive:
    """The body as one message, then whatever the client does."""
    waiting = [body]

    async def next_message() -> Message:
        if waiting:
            return {"type": "http.request", "body": waiting.pop(), "more_body": False}
        return await receive()

    return next_message
