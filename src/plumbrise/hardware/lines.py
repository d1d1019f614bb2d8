"""Bytes from a serial port cut into lines: damaged ones are kept apart, never mended."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

MOST_CHARACTERS = 256
"""A longer line is none: without line ends a wrong baud rate would fill the memory."""


class LineKind(Enum):
    """What arrived between two line ends."""

    TEXT = "text"
    GARBLED = "garbled"
    OVERLONG = "overlong"


@dataclass(frozen=True, slots=True)
class Line:
    """One line without its end. The text of a garbled or overlong one is not to be read."""

    kind: LineKind
    text: str


class LineSplitter:
    """Takes bytes as they come, in whatever pieces, and gives whole lines.

    Lines may end in CR, LF or both in either order; empty ones are passed over; NULs are dropped
    and counted. A line with any byte that is no printable ASCII character is garbled. The first
    piece after opening may be half a line: with `from_middle` it is thrown away and counted.
    """

    def __init__(self, *, from_middle: bool = False, most_characters: int = MOST_CHARACTERS):
        self.nulls = 0
        self.cut_off = 0
        self._from_middle = from_middle
        self._most = most_characters
        self._rest = bytearray()
        self._overlong = False

    def feed(self, data: bytes) -> list[Line]:
        """The lines that these bytes complete."""
        self.nulls += data.count(0)
        found: list[Line] = []
        for byte in data.replace(b"\0", b""):
            if byte in b"\r\n":
                found += self._end()
            elif self._overlong:
                continue
            elif len(self._rest) < self._most:
                self._rest.append(byte)
            else:
                self._rest.clear()
                self._overlong = True
                found += [Line(LineKind.OVERLONG, "")]  # told while it runs: it may never end
        return found

    @property
    def pending(self) -> int:
        """Characters of a line that has not ended yet."""
        return len(self._rest)

    def drop_pending(self) -> bool:
        """Forget the line that has not ended; true if there was one."""
        was = bool(self._rest)
        self._rest.clear()
        self._overlong = False
        return was

    def _end(self) -> list[Line]:
        raw, self._rest = bytes(self._rest), bytearray()
        overlong, self._overlong = self._overlong, False
        if self._from_middle:
            self._from_middle = False
            self.cut_off += bool(raw)
            return []
        if overlong or not raw:
            return []  # an overlong line has been told
        if any(byte != 0x09 and not 0x20 <= byte < 0x7F for byte in raw):
            return [Line(LineKind.GARBLED, raw.decode("ascii", "backslashreplace"))]
        return [Line(LineKind.TEXT, raw.decode("ascii"))]
