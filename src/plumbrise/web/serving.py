"""The server: a socket of this computer alone, or of one address of its network when shared."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import uvicorn
from starlette.types import ASGIApp, Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol

from plumbrise.web.guard import STOP

LOOPBACK = "127.0.0.1"
USUAL_PORT = 8417
MOST_AT_ONCE = 200
MOST_CONNECTIONS = 800
"""More than are ever served at once: who opens many must not keep a stop of the axis out."""
HEAD_WITHIN_S = 10.0


class NotTooMany:
    """ASGI: so many requests at once, and a stop of the axis beyond them."""

    def __init__(self, app: ASGIApp, most: int = MOST_AT_ONCE) -> None:
        self.app, self.most, self.now = app, most, 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if self.now >= self.most and scope.get("path") != STOP:
            head = [(b"content-length", b"0"), (b"connection", b"close")]
            await send({"type": "http.response.start", "status": 503, "headers": head})
            await send({"type": "http.response.body", "body": b""})
            return
        self.now += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self.now -= 1


class PatientButNotForever(H11Protocol):
    """Closes a connection whose first request has not come whole in time: a head sent letter by
    letter would hold it for ever."""

    head_within_s = HEAD_WITHIN_S

    def connection_made(self, transport: Any) -> None:
        """A connection: from here the head has its time."""
        super().connection_made(transport)
        self._until = self.loop.call_later(self.head_within_s, self._too_slow)

    def connection_lost(self, exc: Exception | None) -> None:
        """The other end is gone."""
        self._until.cancel()
        super().connection_lost(exc)

    def _too_slow(self) -> None:
        waiting = self.cycle is None
        if waiting:
            self.transport.close()


def bound(address: str, port: int | None) -> socket.socket:
    """A listening socket. Without a port the usual one, or a free one if that is taken.

    Raises:
        OSError: the port that was asked for is taken.
    """
    for one in (USUAL_PORT, 0) if port is None else (port,):
        sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        # named TCP, or asyncio leaves small packets waiting for 40 ms
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            sock.bind((address, one))
        except OSError:
            sock.close()
            if port is None and one:
                continue
            raise
        return sock
    raise AssertionError


def network_address() -> str | None:
    """This computer's address in its network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # an address set aside for documents (RFC 5737)
        found: str = probe.getsockname()[0]
        return None if found.startswith("127.") or found == "0.0.0.0" else found
    return None


def hosts_of(sockets: list[socket.socket]) -> frozenset[str]:
    """What a browser may call us in its Host header."""
    found = set()
    for sock in sockets:
        address, port = sock.getsockname()[:2]
        found.add(f"{address}:{port}")
        if address == LOOPBACK:
            found.add(f"localhost:{port}")
    return frozenset(found)


def server_of(
    app: ASGIApp, protocol: type[PatientButNotForever] = PatientButNotForever
) -> uvicorn.Server:
    """The server with its limits."""
    return uvicorn.Server(
        uvicorn.Config(
            NotTooMany(app),
            http=protocol,
            ws="none",
            lifespan="off",
            log_level="error",
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            limit_concurrency=MOST_CONNECTIONS,
            timeout_keep_alive=15,
            timeout_graceful_shutdown=2,
            h11_max_incomplete_event_size=16_384,
        )
    )


def serve(
    app: ASGIApp,
    sockets: list[socket.socket],
    *,
    ready: Callable[[], None],
    closing: Callable[[], None] = lambda: None,
) -> None:
    """Serve until Ctrl-C; `closing` is called as soon as that was pressed."""
    server = server_of(app)

    async def run() -> None:
        serving = asyncio.create_task(server.serve(sockets=sockets))
        while not server.started and not serving.done():
            await asyncio.sleep(0.01)
        if server.started:
            ready()
        while not server.should_exit and not serving.done():
            await asyncio.sleep(0.05)
        closing()
        await serving

    with suppress(KeyboardInterrupt):
        asyncio.run(run())
