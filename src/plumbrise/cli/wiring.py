"""`plumbrise wiring`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, EXISTING

NOT_PROVEN = 1


@click.command()
@click.argument("harness_path", metavar="HARNESS", type=EXISTING)
@click.option(
    "--drawing",
    "drawing_path",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write the harness drawing as SVG.",
)
@click.option("--narrow", is_flag=True, help="Draw it for a phone, 372 px wide.")
@AS_JSON
def command(harness_path: Path, drawing_path: Path | None, narrow: bool, as_json: bool) -> None:
    """Prove a motor harness before power: go, no-go, or what to measure next.

    Exit status 0: go. 1: no-go, or it cannot be told. 2: the file cannot be read.

    \b
    Example:
        plumbrise wiring harness.toml
        plumbrise wiring harness.toml --drawing harness.svg
    """
    from plumbrise.cli.reading import write_file
    from plumbrise.files.decoding import text_of
    from plumbrise.files.harness_file import read_harness
    from plumbrise.wiring import Verdict, judge

    name = harness_path.name
    harness = read_harness(text_of(harness_path.read_bytes(), name=name).text, name=name)
    answer = judge(harness)
    if drawing_path is not None:
        from plumbrise.drawing.harness import harness_drawing

        write_file(drawing_path, harness_drawing(harness, answer, theme="print", narrow=narrow))
    if as_json:
        from plumbrise.cli.session import show_json
        from plumbrise.files.wiring import wiring_dict

        show_json(wiring_dict(answer))
    else:
        from plumbrise.report.wiring import wiring_text

        click.echo(wiring_text(harness, answer), nl=False)
    if answer.verdict is not Verdict.GO:
        raise SystemExit(NOT_PROVEN)
