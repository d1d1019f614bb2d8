"""Who may come in: one-time codes, and the cookie that a browser gets for one.

A code lets one browser in, once, for a while. The cookie holds until the key file beside the shelf
is deleted, so that a phone in the middle of a set-up is still known after the bench starts anew.
"""

from __future__ import annotations

import hmac
import os
import secrets
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from threading import Lock

LETTERS = "ABCDEFGHJKMNPQRSTVWXYZ23456789"
CODE_LETTERS = 10
CODE_LASTS_S = 15 * 60.0
MOST_WRONG = 5
WRONG_WITHIN_S = 60.0


class Door:
    """Codes that are open and the secret that signs cookies."""

    def __init__(self, secret: bytes, clock: Callable[[], float]) -> None:
        self._secret, self._clock = secret, clock
        self._open: dict[str, float] = {}
        self._wrong: list[float] = []
        self._lock = Lock()
        self.when_used: Callable[[], None] = lambda: None

    def new_code(self) -> str:
        """A code for one browser; older ones stay open for their time."""
        code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LETTERS))
        with self._lock:
            self._open[code] = self._clock() + CODE_LASTS_S
        return code

    def let_in(self, code: str) -> str | None:
        """The cookie for a code that is open, which it then no longer is; None for any other."""
        said = "".join(c for c in code.upper() if c.isalnum())
        with self._lock:
            now = self._clock()
            self._open = {known: until for known, until in self._open.items() if until > now}
            found = next((k for k in self._open if hmac.compare_digest(k, said)), None)
            if found is None:
                self._wrong = [*[t for t in self._wrong if t > now - WRONG_WITHIN_S], now]
                return None
            del self._open[found]
        name = secrets.token_urlsafe(12)
        self.when_used()
        return f"{name}.{self._signature(name)}"

    @property
    def shut(self) -> bool:
        """Too many wrong codes in the last minute: nobody is let in for now."""
        with self._lock:
            since = self._clock() - WRONG_WITHIN_S
            return sum(t > since for t in self._wrong) >= MOST_WRONG

    def knows(self, cookie: str) -> bool:
        """True for a cookie that this door gave."""
        name, _, signature = cookie.partition(".")
        return bool(name) and hmac.compare_digest(signature, self._signature(name))

    def _signature(self, name: str) -> str:
        return hmac.new(self._secret, name.encode("utf-8", "replace"), sha256).hexdigest()[:40]


def secret_beside(shelf: Path) -> bytes:
    """The secret kept beside the shelf, made at the first start and readable by its owner only."""
    path = shelf.with_name(f"{shelf.name}.key")
    try:
        found = path.read_bytes()
        if len(found) == 32:
            return found
        path.unlink()
    except FileNotFoundError:
        pass
    made = secrets.token_bytes(32)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(made)
    return made
