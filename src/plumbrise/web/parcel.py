"""Values on their way to the working process and back.

Kinds, stations and arrangements are told apart by identity, so they travel by name.
"""

from __future__ import annotations

import pickle
import struct
from io import BytesIO
from typing import IO, Any

from plumbrise.machine import ARRANGEMENTS, STATIONS, Arrangement, Station
from plumbrise.readings import KINDS, Kind

_TABLES: dict[str, dict[str, Any]] = {
    "kind": KINDS,
    "station": STATIONS,
    "arrangement": ARRANGEMENTS,
}
_NAMES: dict[type[Any], str] = {Kind: "kind", Station: "station", Arrangement: "arrangement"}
_SIZE = struct.Struct(">Q")


class _Packer(pickle.Pickler):
    def persistent_id(self, obj: Any) -> tuple[str, str] | None:
        table = _NAMES.get(type(obj))
        return None if table is None else (table, obj.id)


class _Unpacker(pickle.Unpickler):
    def persistent_load(self, pid: Any) -> Any:
        table, name = pid
        return _TABLES[table][name]


def packed(value: Any) -> bytes:
    """The value as bytes.

    Example:
        >>> from plumbrise.readings.kinds import REVERSAL
        >>> unpacked(packed({"kind": REVERSAL}))["kind"] is REVERSAL
        True
    """
    into = BytesIO()
    _Packer(into, protocol=5).dump(value)
    return into.getvalue()


def unpacked(data: bytes) -> Any:
    """The value that was packed. Only for what this program has packed itself."""
    return _Unpacker(BytesIO(data)).load()


def send(to: IO[bytes], value: Any) -> None:
    """One value down a pipe."""
    data = packed(value)
    to.write(_SIZE.pack(len(data)))
    to.write(data)
    to.flush()


def receive(source: IO[bytes]) -> Any:
    """The next value from a pipe.

    Raises:
        EOFError: the other end is gone.
    """
    head = source.read(_SIZE.size)
    if len(head) < _SIZE.size:
        raise EOFError
    (size,) = _SIZE.unpack(head)
    data = source.read(size)
    if len(data) < size:
        raise EOFError
    return unpacked(data)
