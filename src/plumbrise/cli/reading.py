"""Files in and out of the commands: read whole, written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.machine import Machine
    from plumbrise.readings import Readings


def machine_at(path: Path) -> Machine:
    """The machine that a file describes."""
    from plumbrise.api import read_machine

    return read_machine(path)


def readings_at(
    path: Path,
    machine: Machine,
    test: str | None = None,
    station: str | None = None,
    inches: bool = False,
) -> Readings:
    """The readings that a file holds, read with what the machine says of gauge and screw."""
    from plumbrise.api import read_readings

    return read_readings(path, machine, test=test, station=station, inches=inches)


def write_file(path: Path, content: str | bytes) -> None:
    """Write a file beside its place and move it there: a stop leaves the old one or the new one."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as problem:
        raise InputError(
            place=str(path),
            value=str(path.parent),
            allowed="a folder that is there and may be written",
            remedy="Name another place for the file.",
        ) from problem
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, _mode(path))
        os.replace(beside, path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def _mode(path: Path) -> int:
    """The rights of the file that is written over, or those that a new file would get."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
