"""Opening what readings come from and what moves the axis, for the terminal."""

from __future__ import annotations

import time
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.hardware.port import Port
    from plumbrise.machine import Machine, Station
    from plumbrise.measure.at_hand import AtHand
    from plumbrise.measure.indicator_line import LinePattern

SAMPLES = 6
LISTEN_S = 20.0


def indicator_on(
    open_while: ExitStack, port: str, baud: int, template: str | None, ask: str
) -> Indicator:
    """The indicator on a port, its lines learnt where nobody says how they look."""
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.hardware.port import open_port
    from plumbrise.measure.indicator_line import from_template

    request = typed_bytes(ask, "--ask")
    opened = open_port(port, baud=baud)
    try:
        if template is not None:
            pattern = from_template(template)
        else:
            pattern = _learnt(opened, request)
    except BaseException:
        opened.close()
        raise
    return open_while.enter_context(Indicator(opened, pattern, ask=request))


def typed_bytes(typed: str, option: str = "bytes") -> bytes:
    """Bytes as a person types them, with \\r, \\n and \\x18 for those that no key has.

    Raises:
        InputError: what stands for no bytes.

    Example:
        >>> typed_bytes("!", "--stop-bytes"), typed_bytes("\\\\x18\\\\n", "--stop-bytes")
        (b'!', b'\\x18\\n')
    """
    try:
        return typed.encode("ascii").decode("unicode_escape").encode("latin-1")
    except UnicodeError as problem:
        raise InputError(
            place=option,
            value=typed,
            allowed=r"plain characters, and \r, \n or \x18 for those that no key types",
            remedy="Look it up in the manual of the device.",
        ) from problem


def gauges_at_hand(
    worksheet: Path, gauges: int | None, second: str | None, indicators: int
) -> AtHand:
    """The gauge that a worksheet was made for, and how many read at once here.

    Raises:
        InputError: more indicators than gauges; the worksheet's line cannot be read.
    """
    from dataclasses import replace

    from plumbrise.files.plan import at_hand_of

    found = at_hand_of(worksheet.read_bytes(), name=worksheet.name)
    at_once = gauges or (2 if second is not None or indicators > 1 else found.at_once)
    if indicators > at_once:
        raise InputError(
            place="--indicator",
            value=f"{indicators} ports",
            allowed=f"up to {at_once}",
            remedy="One port for each gauge, two gauges at most.",
        )
    return replace(found, at_once=at_once)


def station_at(machine: Machine, typed: str) -> Station:
    """A station of this machine by the name that a table gives it."""
    from plumbrise.machine import stations_of

    stations = {station.id: station for station in stations_of(machine.arrangement)}
    if typed not in stations:
        raise InputError(
            place="--second",
            value=typed,
            allowed=", ".join(stations),
            remedy="Name the station where the second gauge stands.",
        )
    return stations[typed]


def _learnt(port: Port, request: bytes) -> LinePattern:
    """The pattern of the lines that come while the plunger is moved."""
    from plumbrise.hardware.lines import LineKind, LineSplitter
    from plumbrise.hardware.port import read_some
    from plumbrise.measure.indicator_line import learn

    click.echo("Move the plunger slowly up and down, so that its lines can be learnt.", err=True)
    splitter = LineSplitter(from_middle=not request)
    found: list[str] = []
    until = time.monotonic() + LISTEN_S
    while time.monotonic() < until:
        if request:
            port.write(request)
            time.sleep(0.2)
        for line in splitter.feed(read_some(port)):
            if line.kind is LineKind.TEXT and line.text.strip() and line.text not in found:
                found.append(line.text)
        if len(found) >= SAMPLES:
            break
    if not found:
        raise InputError(
            place="indicator",
            value="no readable line",
            allowed=f"lines within {LISTEN_S:g} s",
            remedy="Check the cable and the speed (--indicator-baud); switch its output on, or say "
            "what it must be asked (--ask).",
        )
    pattern = learn(found)
    click.echo(f"Its lines: {pattern.template}", err=True)
    return pattern


def controller_on(
    open_while: ExitStack,
    port: str | None,
    baud: int,
    chatter: tuple[str, ...] = (),
    stop_bytes: bytes = b"",
) -> Controller | None:
    """The motion controller on a port."""
    if port is None:
        return None
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.port import open_port

    opened = open_port(port, baud=baud)
    return open_while.enter_context(Controller(opened, chatter=chatter, stop_bytes=stop_bytes))
