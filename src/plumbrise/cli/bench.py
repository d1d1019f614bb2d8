"""`plumbrise bench`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Unpack

import click

from plumbrise.cli.options import AS_JSON, STOP_BYTES, takes_a_controller, takes_indicators
from plumbrise.cli.plugging import Plugged, devices_on

if TYPE_CHECKING:
    from socket import socket

    from plumbrise.web.door import Door


@click.command()
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    help="Port; a fixed usual one if left out, a free one if that is taken.",
)
@click.option("--no-browser", is_flag=True, help="Print the address, open nothing.")
@click.option(
    "--share",
    is_flag=True,
    help="Also for your phone: listens on this computer's address in your network.",
)
@click.option("--address", help="With --share: the address to listen on, if not the one found.")
@click.option(
    "--shelf",
    "shelf_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The shelf's file, if not the usual one.",
)
@takes_indicators
@takes_a_controller
@STOP_BYTES
@click.option(
    "--move-from-anywhere",
    is_flag=True,
    help="With --share: other devices may move the axis too, not only stop it.",
)
@AS_JSON
def command(
    port: int | None,
    no_browser: bool,
    share: bool,
    address: str | None,
    shelf_file: Path | None,
    as_json: bool,
    **plugged: Unpack[Plugged],
) -> None:
    """Open the local page: the whole job in a browser.

    It listens on this computer alone. Each address that it prints lets one browser in, once,
    within a quarter of an hour; that browser is known from then on. With --json every such
    address is a line of JSON. With --indicator the value shows on the measure sheet, given twice
    those of two stations; with --controller the axis is moved from there, and every sheet has a
    stop.

    \b
    Example:
        plumbrise bench
        plumbrise bench --share
    """
    import time
    from contextlib import ExitStack
    from datetime import UTC, datetime
    from threading import Thread

    from plumbrise.cli.compiled_cache import use_compiled_cache

    use_compiled_cache()
    from plumbrise.store import Shelf, shelf_path
    from plumbrise.web.app import app
    from plumbrise.web.bench import Bench
    from plumbrise.web.door import Door, secret_beside
    from plumbrise.web.serving import hosts_of, serve
    from plumbrise.web.work import Work

    def now() -> datetime:
        return datetime.now(UTC)

    sockets = _sockets(port, address if address or share else None, share)
    place = shelf_path(shelf_file)
    with Shelf.open(place, now=now) as shelf, ExitStack() as open_while:
        devices = devices_on(open_while, **plugged)
        work = Work()
        try:
            door = Door(secret_beside(place), time.monotonic)
            cookie = f"plumbrise-{sockets[0].getsockname()[1]}"
            bench = Bench(shelf, door, work, now, hosts_of(sockets), cookie)

            def ready() -> None:
                _say(sockets, door, not no_browser, as_json)
                Thread(target=bench.warm_up, daemon=True).start()

            serve(app(bench, devices=devices), sockets, ready=ready, closing=devices.stop)
        finally:
            work.close()
            for sock in sockets:
                sock.close()
    click.echo("\nThe bench is closed. All that was kept is on disk.", err=as_json)


def _sockets(port: int | None, address: str | None, share: bool) -> list[socket]:
    from plumbrise.errors import InputError
    from plumbrise.web.serving import LOOPBACK, bound, network_address

    try:
        sockets = [bound(LOOPBACK, port)]
        if share:
            address = address or network_address()
            if address is None:
                raise InputError(
                    place="--share",
                    value="no network",
                    allowed="a computer that is in a network",
                    remedy="Join your network, or name the address with --address.",
                )
            sockets.append(bound(address, sockets[0].getsockname()[1]))
    except OSError as problem:
        raise InputError(
            place="--port" if address is None else "--address",
            value=address or port,
            allowed="one that is free here",
            remedy="Another program has it, or it is not this computer's: name another.",
        ) from problem
    return sockets


def _say(sockets: list[socket], door: Door, open_browser: bool, as_json: bool) -> None:
    """Print how to come in, open the browser, and print a fresh code whenever one was used."""
    here, *shared = [sock.getsockname()[:2] for sock in sockets]
    if not as_json:
        click.echo("The bench is open. Ctrl-C closes it; nothing kept is lost.")

    def told() -> None:
        address, port = (shared or [here])[0]
        code = door.new_code()
        way_in = f"http://{address}:{port}/in/{code}"
        if as_json:
            _tell(way_in, shared=bool(shared))
        elif shared:
            click.echo("\nFor one phone or browser in your network, within a quarter of an hour:")
            click.echo(f"  {way_in}")
            _show_square(way_in)
        else:
            click.echo(f"  Another browser here, once: {way_in}")

    first = f"http://{here[0]}:{here[1]}/in/{door.new_code()}"
    if as_json:
        _tell(first, shared=False)
    else:
        click.echo(f"  {first}")
    door.when_used = told
    if shared:
        told()
    if open_browser:
        import webbrowser

        webbrowser.open(first)


def _tell(way_in: str, *, shared: bool) -> None:
    """The address as a line of JSON, at once: somebody may be waiting for it at a pipe."""
    import json

    click.echo(json.dumps({"version": 1, "open": way_in, "shared": shared}))
    sys.stdout.flush()


def _show_square(address: str) -> None:
    """The address as a QR code, for a phone's camera."""
    import io

    import segno

    drawn = io.StringIO()
    segno.make(address, micro=False, error="l").terminal(out=drawn, compact=True)
    click.echo(drawn.getvalue())
