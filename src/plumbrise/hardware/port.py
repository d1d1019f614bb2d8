"""Serial ports: how they are opened, and what is said when they cannot be."""

from __future__ import annotations

from typing import Protocol

from plumbrise.errors import InputError

FRAMES = {"8N1": (8, "N", 1), "7E1": (7, "E", 1), "7O1": (7, "O", 1), "8E1": (8, "E", 1)}
"""Data bits, parity, stop bits. Nearly everything is 8N1; older indicators are 7E1."""
SLOWEST_BAUD, FASTEST_BAUD = 50, 4_000_000
READ_WAIT_S = 0.05
WRITE_WAIT_S = 2.0


class Port(Protocol):
    """What indicator and controller need of a serial port; errors are OSError."""

    def read(self, size: int = 1, /) -> bytes:
        """Up to so many bytes; fewer, or none, once the port's short wait is over."""
        ...

    def write(self, data: bytes, /) -> int | None:
        """Send these bytes; an OSError when they do not go out in time."""
        ...

    def close(self) -> None:
        """Let go of the port."""
        ...

    @property
    def in_waiting(self) -> int:
        """Bytes that have arrived and were not read."""
        ...


def open_port(name: str, *, baud: int, frame: str = "8N1") -> Port:
    """A serial port, held by this program alone.

    Args:
        name: the port's name on this computer.
        baud: bits a second, as set at the other end.
        frame: data bits, parity and stop bits: 8N1, 7E1, 7O1 or 8E1.

    Raises:
        InputError: no such port, not permitted, in use; a baud rate or frame that cannot be.
    """
    import serial

    if not SLOWEST_BAUD <= baud <= FASTEST_BAUD:
        raise InputError(
            place="baud",
            value=baud,
            allowed=f"{SLOWEST_BAUD} to {FASTEST_BAUD}",
            remedy="Look it up in the menu or the manual of the instrument.",
        )
    if frame not in FRAMES:
        raise InputError(
            place="frame",
            value=frame,
            allowed=", ".join(FRAMES),
            remedy="8N1 fits nearly everything.",
        )
    bits, parity, stop = FRAMES[frame]
    try:
        port: Port = serial.Serial(
            name,
            baudrate=baud,
            bytesize=bits,
            parity=parity,
            stopbits=stop,
            timeout=READ_WAIT_S,
            write_timeout=WRITE_WAIT_S,
            exclusive=True,
        )
    except (OSError, ValueError) as problem:
        there = port_names()
        raise InputError(
            place="port",
            value=name,
            allowed=", ".join(there) if there else "a serial port (none was found)",
            remedy=f"{_why(problem)} Check the cable, and that no other program holds the port.",
        ) from problem
    return port


def port_names() -> list[str]:
    """The serial ports of this computer."""
    from serial.tools.list_ports import comports

    return sorted(found.device for found in comports())


def read_some(port: Port) -> bytes:
    """What has arrived, or the first byte within the port's short wait; b"" for silence.

    Raises:
        OSError: the port has gone.
    """
    data = port.read(max(1, min(4096, port.in_waiting)))
    return bytes(data)


def _why(problem: Exception) -> str:
    number = getattr(problem, "errno", None)
    words = {2: "There is no such port.", 13: "This user may not use it.", 16: "It is in use."}
    return words.get(number or 0, "It did not open.")
