"""Opening what readings come from and what moves the axis, for the terminal."""

from __future__ import annotations

import time
from contextlib import ExitStack
from typing import TYPE_CHECKING

import click

from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.hardware.port import Port
    from plumbrise.measure.indicator_line import LinePattern

SAMPLES = 6
LISTEN_S = 20.0


def indicator_on(
    open_while: ExitStack, port: str | None, baud: int, template: str | None, ask: str
) -> Indicator | None:
    """The indicator on a port, its lines learnt where nobody says how they look."""
    if port is None:
        return None
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
