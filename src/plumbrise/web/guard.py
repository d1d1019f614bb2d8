"""What every request passes before a page sees it: the right host, our own origin, a known browser,
a body of a size and in a time that a person's browser keeps, and not too many at once.

Any site open in the same browser can reach a page on this computer, and so can anyone on the same
network once the bench is shared; nothing here trusts either.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Any

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from plumbrise.web import words
from plumbrise.web.door import Door

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "media-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)",
    "cache-control": "no-store",
}
STOP = "/stop"
"""Stopping the axis harms nobody: no cookie and no rate keeps it, only our own origin."""
OPEN = ("/static/", "/in", "/favicon.ico", STOP)
"""What a browser may see before it is known: nothing of the shelf."""
SAFE = ("GET", "HEAD")
METHODS = (*SAFE, "POST")


@dataclass(frozen=True, slots=True)
class Limits:
    """How much, how long and how often. Times in seconds."""

    body_bytes: int = 4_000_000
    body_within_s: float = 10.0
    path_bytes: int = 2_000
    burst: float = 600.0
    each_second: float = 200.0
    known_clients: int = 256


@dataclass(slots=True)
class _Bucket:
    left: float
    at: float


@dataclass(slots=True)
class Guard:
    """ASGI: refuses what is not ours, then hands on with the headers that every answer bears."""

    app: ASGIApp
    door: Door
    hosts: Callable[[], frozenset[str]]
    cookie: Callable[[], str]
    clock: Callable[[], float]
    limits: Limits = Limits()
    _buckets: OrderedDict[str, _Bucket] = field(default_factory=OrderedDict)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no other protocol is spoken here

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                lasting = scope["path"].startswith("/static/")
                message["headers"] = _with_ours(message.get("headers", []), lasting=lasting)
            await send(message)

        refused = self._refused(scope)
        if refused is not None:
            opened = _heads(scope).get("sec-fetch-mode") == "navigate"
            if refused[0] == 401 and opened and scope["method"] in SAFE:
                await _answer(sending, 303, words.NOT_KNOWN, to="/in")
            else:
                await _answer(sending, *refused)
            return
        await self.app(scope, self._limited(scope, receive), sending)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        heads = _heads(scope)
        host = heads.get("host", "")
        if host not in self.hosts():
            return 421, words.WRONG_HOST
        asked = len(scope.get("raw_path") or b"") + len(scope["query_string"])
        if asked > self.limits.path_bytes:
            return 414, words.TOO_LONG_AN_ADDRESS
        if scope["method"] not in METHODS:
            return 405, words.NO_SUCH_METHOD
        if scope["path"] != STOP and not self._within_rate(scope):
            return 429, words.TOO_OFTEN
        if scope["method"] not in SAFE and not _from_us(heads, host):
            return 403, words.FROM_ELSEWHERE
        path = scope["path"]
        if not any(path == at or path.startswith(at.rstrip("/") + "/") for at in OPEN):
            if not self._known(heads):
                return 401, words.NOT_KNOWN
            if heads.get("sec-fetch-site") == "cross-site" and scope["method"] in SAFE:
                mode = heads.get("sec-fetch-mode", "")
                if mode != "navigate":
                    return 403, words.FROM_ELSEWHERE
        size = heads.get("content-length", "0")
        if not size.isascii() or not size.isdigit():
            return 400, words.BAD_LENGTH
        if int(size) > self.limits.body_bytes:
            return 413, words.TOO_LARGE
        return None

    def _known(self, heads: dict[str, str]) -> bool:
        try:
            found = SimpleCookie(heads.get("cookie", "")).get(self.cookie())
        except CookieError:
            return False
        return found is not None and self.door.knows(found.value)

    def _within_rate(self, scope: Scope) -> bool:
        client = (scope.get("client") or ("", 0))[0]
        now = self.clock()
        bucket = self._buckets.get(client)
        if bucket is None:
            bucket = self._buckets[client] = _Bucket(self.limits.burst, now)
            while len(self._buckets) > self.limits.known_clients:
                self._buckets.popitem(last=False)
        else:
            self._buckets.move_to_end(client)
        gained = (now - bucket.at) * self.limits.each_second
        bucket.left, bucket.at = min(bucket.left + gained, self.limits.burst), now
        if bucket.left < 1:
            return False
        bucket.left -= 1
        return True

    def _limited(self, scope: Scope, receive: Receive) -> Receive:
        """The body, cut off where it grows too large or comes too slowly."""
        got = 0
        until = self.clock() + self.limits.body_within_s
        ended = scope["method"] in SAFE

        async def limited() -> Message:
            nonlocal got, ended
            if ended:
                return await receive()
            try:
                message = await asyncio.wait_for(receive(), max(until - self.clock(), 0.01))
            except TimeoutError:
                raise HTTPException(408) from None
            got += len(message.get("body", b""))
            if got > self.limits.body_bytes:
                raise HTTPException(413)
            ended = not message.get("more_body", False)
            return message

        return limited


def _heads(scope: Scope) -> dict[str, str]:
    """Headers by name; one sent twice is as good as none where it matters."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key = name.decode("latin-1").lower()
        twice = key in found and key in ("host", "origin")
        found[key] = "twice" if twice else value.decode("latin-1")
    return found


def _from_us(heads: dict[str, str], host: str) -> bool:
    """True for a request that a page of ours sent."""
    origin = heads.get("origin")
    site = heads.get("sec-fetch-site")
    if origin is None or origin != f"http://{host}":
        return False
    return site in (None, "same-origin")


def _with_ours(headers: Any, *, lasting: bool) -> list[tuple[bytes, bytes]]:
    """The answer's headers and those that every answer bears. What is the same for all may be
    kept by the browser and asked after; nothing else is."""
    there = {name.lower() for name, _ in headers}
    if lasting:
        headers = [*headers, (b"cache-control", b"no-cache")]
        there.add(b"cache-control")
    ours = [(k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in there]
    return [*headers, *ours]


async def _answer(send: Send, status: int, said: str, to: str = "") -> None:
    body = f"{said}\n".encode()
    head = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    if to:
        head.append((b"location", to.encode()))
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})
