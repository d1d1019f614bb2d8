"""A harness as the TOML that `read_harness` reads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from plumbrise.files.harness_fields import BY_TABLE, FORMAT
from plumbrise.files.toml_value import toml_value
from plumbrise.wiring import FRAME, Bridged, Harness, Line, Reading


def write_harness(harness: Harness) -> str:
    """The harness as TOML; what is not known is left out.

    Example:
        >>> print(write_harness(Harness((Line("left"),))), end="")
        format = 1
        <BLANKLINE>
        [[line]]
        name = "left"
        motor = { contacts = 4 }
    """
    return "\n".join(_lines(harness)) + "\n"


def _lines(harness: Harness) -> Iterator[str]:
    yield f"format = {FORMAT}"
    if harness.name:
        yield f"name = {toml_value(harness.name)}"
    if harness.note:
        yield f"note = {toml_value(harness.note)}"
    if harness.invented:
        yield "invented = true"
    for line in harness.lines:
        yield ""
        yield from _line(line)
    for name, part in (("meter", harness.meter), ("drive", harness.drive)):
        keys = _keys(name, part)
        rows = harness.drive.measured if name == "drive" else ()
        if keys or rows:
            yield ""
            yield f"[{name}]"
            yield from (f"{key} = {value}" for key, value in keys.items())
            yield from _measured(rows, ())


def _line(line: Line) -> Iterator[str]:
    yield "[[line]]"
    yield f"name = {toml_value(line.name)}"
    if line.axis != "z":
        yield f"axis = {toml_value(line.axis)}"
    for part in ("board", "cable", "motor"):
        keys = _keys(part, getattr(line, part))
        if part == "board":
            keys.pop("contacts")
        if keys:
            inside = ", ".join(f"{key} = {value}" for key, value in keys.items())
            yield f"{part} = {{ {inside} }}"
    yield from _measured(line.measured, line.bridged)


def _keys(table: str, part: Any) -> dict[str, str]:
    found = {}
    for name in BY_TABLE[table]:
        value = getattr(part, name, None)
        if value is not None and value != ():
            found[name] = toml_value(value)
    return found


def _measured(readings: tuple[Reading, ...], bridged: tuple[Bridged, ...]) -> Iterator[str]:
    rows = [_reading(reading) for reading in readings]
    rows += [
        f"{{ bridged = {toml_value(b.between)}, stiff = {toml_value(b.stiff or 'none')} }}"
        for b in bridged
    ]
    if rows:
        yield "measured = ["
        yield from (f"    {row}," for row in rows)
        yield "]"


def _reading(reading: Reading) -> str:
    ends = ", ".join('"frame"' if one == FRAME else str(one) for one in reading.between)
    said = "open = true" if reading.is_open else "joined = true"
    if reading.ohm is not None:
        said = f"ohm = {toml_value(reading.ohm)}"
    warm = "" if reading.celsius is None else f", celsius = {toml_value(reading.celsius)}"
    return f'{{ at = "{reading.at}", between = [{ends}], {said}{warm} }}'
