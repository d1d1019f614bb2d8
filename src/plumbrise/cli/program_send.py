"""`plumbrise program send`: a checked program sent to the motion controller, line by line."""

from __future__ import annotations

import queue
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, MACHINE, STOP_BYTES
from plumbrise.errors import InputError, InputErrors

if TYPE_CHECKING:
    from plumbrise.hardware import AtStop, Controller, Finished, Halted, Timing
    from plumbrise.machine import Machine

WORD = "move"
"""What a person types before the first move: a slip of the Enter key starts nothing."""
ENTER_LOOK_S = 0.1
_STOPS = {
    False: "sends nothing more; what was sent is still moved.",
    True: "sends nothing more but the bytes you gave; whether the controller stops on them is not "
    "known here, and the axis homes before it moves again.",
}
"""What a stop does, by whether bytes are given for it."""


@click.command("send")
@MACHINE
@click.argument("program_path", metavar="FILE", type=EXISTING)
@click.option("--port", "port_name", required=True, help="Serial port of the motion controller.")
@click.option("--baud", type=int, default=115200, show_default=True, help="Bits a second.")
@click.option(
    "--chatter",
    multiple=True,
    help="Beginning of a line that your controller sends unasked and that means nothing.",
)
@STOP_BYTES
@AS_JSON
def command(
    machine_path: Path,
    program_path: Path,
    port_name: str,
    baud: int,
    chatter: tuple[str, ...],
    stop_bytes: str,
    as_json: bool,
) -> None:
    """Send a motion program to the controller, line by line, with a stop that is always live.

    The program is checked first, and nothing is sent that the check refuses. It asks for a typed
    word before the first move. At a stop of the program, Enter goes on and s stops; while
    the axis moves, Enter stops. Ctrl-C stops at any time.

    \b
    Example:
        plumbrise program send machine.toml set-up-1.gcode --port COM5
    """
    from plumbrise.cli.taking import typed_bytes

    stops = typed_bytes(stop_bytes, "--stop-bytes")
    status = run(machine_path, program_path, port_name, baud, chatter, as_json, stop_bytes=stops)
    click.get_current_context().exit(status)


def run(
    machine_path: Path,
    program_path: Path,
    port_name: str,
    baud: int = 115200,
    chatter: tuple[str, ...] = (),
    as_json: bool = False,
    timing: Timing | None = None,
    stop_bytes: bytes = b"",
) -> int:
    """Check, warn, ask, send.

    Status 0: all sent and done. 1: not safe, not confirmed, or stopped before the end.

    Raises:
        InputError: standard input is no terminal; the port does not open.
    """
    from plumbrise.cli.reading import machine_at
    from plumbrise.hardware import Controller, open_port
    from plumbrise.hardware.steps import steps_of

    if not sys.stdin.isatty():
        raise InputError(
            place="standard input",
            value="no terminal",
            allowed="a person at a terminal, who can stop the axis",
            remedy="Type the command yourself; it cannot be run from a script.",
        )
    machine = machine_at(machine_path)
    text = program_path.read_bytes().decode("utf-8", "replace")
    try:
        steps_of(machine, text)  # before the port is opened, which restarts some controllers
    except InputErrors as refused:
        click.echo(f"Not safe, and nothing was sent.\n{refused}", err=True)
        return 1
    _warn(machine, text, stop_bytes)
    if click.prompt(f"Type {WORD} to begin", default="", show_default=False, err=True) != WORD:
        click.echo("Nothing was sent.", err=True)
        return 1
    click.echo("Opening the port. Some controllers begin anew now; wait.", err=True)
    port = open_port(port_name, baud=baud)
    with Controller(port, timing=timing, chatter=chatter, stop_bytes=stop_bytes) as controller:
        controller.load(machine, text)
        end = _sent(controller)
        _tell_end(end, controller, as_json)
    from plumbrise.hardware import Finished

    return 0 if isinstance(end, Finished) else 1


def _warn(machine: Machine, text: str, stop_bytes: bytes) -> None:
    from plumbrise.cautions import DEFER, FALLING_GANTRY, HOT_PARTS, PINCH
    from plumbrise.measure.program_check import check_program

    check = check_program(machine, text, sender_waits=True)
    name = machine.name or "the machine of this file"
    click.echo(f"The axis of {name} is about to move.", err=True)
    if check.lowest_mm is not None and check.highest_mm is not None:
        reach = f"It moves between {check.lowest_mm:g} and {check.highest_mm:g} mm"
        click.echo(f"{reach}, about {check.minutes:.0f} min and {check.stops} stops.", err=True)
    for finding in check.findings:
        click.echo(f"- {finding}", err=True)
    for hazard in (PINCH, FALLING_GANTRY, HOT_PARTS):
        click.echo(f"- {hazard.title}: {hazard.words}", err=True)
    click.echo(
        f"- The stop here {_STOPS[bool(stop_bytes)]} The switch of the machine is the only sure "
        "stop: keep a hand at it.",
        err=True,
    )
    click.echo(f"- The manual of the machine comes first. {DEFER}", err=True)


def _sent(controller: Controller) -> Finished | Halted:
    """Send to the end or a halt; the keyboard is listened to all the while."""
    from plumbrise.hardware import AtStop

    typed: queue.SimpleQueue[str] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(typed,), daemon=True).start()
    while True:
        came = _to_next_stop(controller, typed)
        if not isinstance(came, AtStop):
            return came
        height = "" if came.height_mm is None else f" at {came.height_mm:g} mm"
        click.echo(f"Line {came.line}: {came.says or 'stop'}. At rest{height}.", err=True)
        click.echo("Enter goes on, s and Enter stops.", err=True)
        if not _goes_on(controller, typed):
            controller.stop()


def _to_next_stop(
    controller: Controller, typed: queue.SimpleQueue[str]
) -> AtStop | Finished | Halted:
    found: list[AtStop | Finished | Halted] = []
    moving = threading.Thread(target=lambda: found.append(controller.next_stop()), daemon=True)
    click.echo("Moving. Enter or Ctrl-C stops.", err=True)
    moving.start()
    while moving.is_alive():
        try:
            if _next(typed) is not None:
                controller.stop()
        except KeyboardInterrupt:
            controller.stop()
    return found[0]


def _goes_on(controller: Controller, typed: queue.SimpleQueue[str]) -> bool:
    try:
        while (line := _next(typed)) is None:
            if controller.halted is not None:
                return True  # said by the next step: alarm or loss while at rest
    except KeyboardInterrupt:
        return False
    return line.strip() == ""


def _next(typed: queue.SimpleQueue[str]) -> str | None:
    try:
        return typed.get(timeout=ENTER_LOOK_S)
    except queue.Empty:
        return None


def _listen(typed: queue.SimpleQueue[str]) -> None:
    for line in sys.stdin:
        typed.put(line)
    typed.put("s")  # the terminal has gone: nobody is there to stop the axis


def _tell_end(end: Finished | Halted, controller: Controller, as_json: bool) -> None:
    from plumbrise.hardware import Halted

    for event in controller.events:
        if event.kind in ("doubled", "damaged", "home"):
            click.echo(f"Told on the way: {event.words}", err=True)
    if isinstance(end, Halted):
        click.echo(f"Stopped after line {end.line}. {end.words}", err=True)
        click.echo(f"{end.bound} {end.unsure}", err=True)
    else:
        click.echo("All lines were sent, acknowledged and done.", err=True)
    if not as_json:
        return
    from plumbrise.cli.session import show_json

    halted = isinstance(end, Halted)
    counts = controller.counts
    show_json(
        {
            "version": 1,
            "result": end.cause.value if isinstance(end, Halted) else "finished",
            "line": end.line,
            "needs_home": isinstance(end, Halted) and end.needs_home,
            "may_still_move": (
                {"moves": end.bound.moves, "mm": end.bound.mm, "s": round(end.bound.s, 1)}
                if isinstance(end, Halted)
                else None
            ),
            "words": f"{end.words} {end.unsure}" if isinstance(end, Halted) else "",
            "sent": counts.sent,
            "acknowledged": counts.done,
            "doubled": counts.doubled,
            "damaged": counts.damaged,
            "halted": halted,
        }
    )
