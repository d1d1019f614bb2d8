"""`plumbrise capture`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import (
    AS_JSON,
    EXISTING,
    MACHINE,
    STOP_BYTES,
    takes_a_controller,
    takes_indicators,
)


@click.command()
@MACHINE
@click.argument("worksheet_path", metavar="WORKSHEET", type=EXISTING)
@click.option(
    "--to",
    "to",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Keep the table here, up to date after each reading.",
)
@click.option("--shelf", type=click.Path(dir_okay=False, path_type=Path), help="Another shelf.")
@click.option(
    "--anew", is_flag=True, help="Read it all again, as a new series beside what was read before."
)
@click.option("--who", default="", help="Who reads.")
@click.option(
    "--gauge",
    "gauge_serials",
    multiple=True,
    help="What tells this gauge from others; with two gauges given twice.",
)
@click.option("--inches", is_flag=True, help="The gauge shows inches.")
@click.option(
    "--counts-down", is_flag=True, help="Its figure falls when what the tip rests on rises."
)
@click.option("--gauges", type=click.IntRange(1, 2), help="How many gauges read at once.")
@click.option("--second", help="Station where a second gauge stands all the while.")
@takes_indicators
@takes_a_controller
@STOP_BYTES
@AS_JSON
def command(
    machine_path: Path,
    worksheet_path: Path,
    to: Path | None,
    shelf: Path | None,
    anew: bool,
    who: str,
    gauge_serials: tuple[str, ...],
    inches: bool,
    counts_down: bool,
    gauges: int | None,
    second: str | None,
    indicators: tuple[str, ...],
    indicator_baud: int,
    template: str | None,
    ask: str,
    controller: str | None,
    controller_baud: int,
    chatter: tuple[str, ...],
    stop_bytes: str,
    as_json: bool,
) -> None:
    """Take the readings of a worksheet, one by one; each is on disk before the next.

    Two figures are enough for a dial: 64 becomes 12.64 where about 12.6 is expected. Stop at any
    moment: the same command goes on from there. Rows that are filled in already are put on the
    shelf first. With --controller the axis moves to each target by itself; Ctrl-C stops it. With
    two gauges (--gauges 2, or --indicator twice) two stations are read at each target.

    \b
    Example:
        plumbrise plan machine.toml --folder evening
        plumbrise capture machine.toml evening/worksheet.csv --to evening/readings.csv
    """
    from contextlib import ExitStack

    from plumbrise.cli.capturing import Capture, Devices
    from plumbrise.cli.going_on import Sheet
    from plumbrise.cli.hearing import Ends
    from plumbrise.cli.reading import machine_at, readings_at
    from plumbrise.cli.session import show_json
    from plumbrise.cli.taking import (
        controller_on,
        gauges_at_hand,
        indicator_on,
        station_at,
        typed_bytes,
    )
    from plumbrise.errors import InputError
    from plumbrise.files.decoding import text_of
    from plumbrise.measure.pairs import with_second

    if to is not None and to.resolve() == worksheet_path.resolve():
        raise InputError(
            place="--to",
            value=str(to),
            allowed="another file than the worksheet",
            remedy="Name a new file: the worksheet says what is still to be read.",
        )
    machine = machine_at(machine_path)
    runs = readings_at(worksheet_path, machine).runs
    sheet = Sheet(
        machine=machine,
        machine_text=text_of(machine_path.read_bytes(), name=machine_path.name).text,
        runs=runs if second is None else with_second(runs, station_at(machine, second)),
        name=worksheet_path.name,
        at_hand=gauges_at_hand(worksheet_path, gauges, second, len(indicators)),
    )
    with ExitStack() as open_while:
        devices = Devices(
            indicators=tuple(
                indicator_on(open_while, port, indicator_baud, template, ask) for port in indicators
            ),
            controller=controller_on(
                open_while,
                controller,
                controller_baud,
                chatter,
                typed_bytes(stop_bytes, "--stop-bytes"),
            ),
        )
        try:
            capture = Capture.begin(
                open_while,
                sheet,
                shelf=shelf,
                anew=anew,
                devices=devices,
                quiet=as_json,
                who=who,
                gauge_serials=gauge_serials,
                counts_down=counts_down,
                source="indicator" if indicators else "keyboard",
                inches=inches,
                to=to,
            )
        except Ends:
            click.echo("Nothing was begun.", err=True)
            click.get_current_context().exit(1)
        finished = capture.run()
        if as_json:
            show_json(capture.summary())
    click.get_current_context().exit(0 if finished else 1)
