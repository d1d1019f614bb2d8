"""`plumbrise build`."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, MACHINE
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.build import Progress, WayBack, WorkOrder

Act = Callable[..., "Progress"]
"""What enters something: order, progress, step, what was said, when."""
NOT_DONE = 1
TO_WRITE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@MACHINE
@click.argument("proposal_path", metavar="PROPOSAL", type=EXISTING)
@click.option(
    "--progress",
    "progress_path",
    type=TO_WRITE,
    metavar="FILE",
    help="Keep what is done in this file, and go on from it.",
)
@click.option("--done", multiple=True, metavar="STEP=VALUE", help="Enter a step's value.")
@click.option(
    "--accept",
    "as_it_is",
    multiple=True,
    metavar="STEP=WHY",
    help="Take a value outside its limit as it is, or go on without one, and why.",
)
@click.option(
    "--wiring",
    "wiring_path",
    type=EXISTING,
    metavar="VERDICT.json",
    help="What `plumbrise wiring --json` said: only a go opens the way to power.",
)
@click.option(
    "--on-my-word", metavar="WORDS", help="Take the wiring on yourself, in a sentence that is kept."
)
@click.option(
    "--back-from", metavar="STEP", help="This step failed: the way to a printer that prints."
)
@click.option(
    "--moves",
    "moves_path",
    type=TO_WRITE,
    help="Write the program of first moves, once the wiring is proved.",
)
@click.option(
    "--sheet", "sheet_path", type=TO_WRITE, metavar="FILE", help="Write a sheet: .pdf or .html."
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Paper of the PDF.",
)
@AS_JSON
def command(
    machine_path: Path,
    proposal_path: Path,
    progress_path: Path | None,
    done: tuple[str, ...],
    as_it_is: tuple[str, ...],
    wiring_path: Path | None,
    on_my_word: str | None,
    back_from: str | None,
    moves_path: Path | None,
    sheet_path: Path | None,
    paper: str,
    as_json: bool,
) -> None:
    """Chosen changes as ordered work: what accepts each step, wiring first, then power.

    PROPOSAL is what `plumbrise redesign --json` wrote. MACHINE is the machine as it is, before the
    changes. Status 1 where a value that was entered is outside its limit, or the wiring is no go.

    \b
    Example:
        plumbrise build machine.toml proposal.json --progress work.json
        plumbrise build machine.toml proposal.json --progress work.json --done blocks-left=0.5
    """
    from plumbrise.build import build_steps
    from plumbrise.cli.reading import machine_at, write_file
    from plumbrise.cli.session import show_json
    from plumbrise.files.decoding import text_of
    from plumbrise.files.proposal import read_proposal
    from plumbrise.files.work_order import work_order_dict

    machine = machine_at(machine_path)
    text = text_of(proposal_path.read_bytes(), name=proposal_path.name).text
    order = build_steps(machine, read_proposal(text, name=proposal_path.name).changes)
    kept = _kept(progress_path, order)
    progress = _entered(order, kept, done, as_it_is, wiring_path, on_my_word)
    new = progress.entries[len(kept.entries) :]
    moves = None if moves_path is None else _moves(order, progress)
    sheet = None if sheet_path is None else _sheet(order, progress, sheet_path, paper)
    if progress_path is not None and (new or not progress_path.exists()):
        from_now_on = work_order_dict(order, replace(progress, changes=order.changes))
        text = json.dumps(from_now_on, ensure_ascii=False, indent=2)
        write_file(progress_path, f"{text}\n")
    if moves_path is not None and moves is not None:
        write_file(moves_path, moves)
        click.echo(f"Written: {moves_path}", err=as_json)
    if sheet_path is not None and sheet is not None:
        write_file(sheet_path, sheet)
        click.echo(f"Written: {sheet_path}", err=as_json)
    if as_json:
        show_json(work_order_dict(order, progress, _way(order, progress, back_from)))
    else:
        click.echo(_told(order, progress, kept, back_from), nl=False)
    if any(not entry.holds for entry in new):
        raise SystemExit(NOT_DONE)


def _kept(path: Path | None, order: WorkOrder) -> Progress:
    """What the file holds; nothing where there is none yet."""
    from plumbrise.build import Progress
    from plumbrise.files.decoding import text_of
    from plumbrise.files.work_order import read_progress

    if path is None or not path.exists():
        return Progress(changes=order.changes)
    return read_progress(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def _entered(
    order: WorkOrder,
    progress: Progress,
    done: tuple[str, ...],
    as_it_is: tuple[str, ...],
    wiring_path: Path | None,
    on_my_word: str | None,
) -> Progress:
    """All that was entered at once, in the order of the work."""
    from plumbrise.build import WIRING, accepted, entered, on_own_word, wiring_seen
    from plumbrise.files.decoding import text_of
    from plumbrise.files.work_order import read_verdict

    when = datetime.now().astimezone().isoformat(timespec="minutes")
    acts: list[tuple[str, str, Act]] = [(*_split("--done", one), entered) for one in done]
    acts += [(*_split("--accept", one), accepted) for one in as_it_is]
    if wiring_path is not None:
        text = text_of(wiring_path.read_bytes(), name=wiring_path.name).text
        verdict = read_verdict(text, name=wiring_path.name)
        acts.append((WIRING, verdict, _as_act(wiring_seen)))
    if on_my_word is not None:
        acts.append((WIRING, on_my_word, _as_act(on_own_word)))
    places = {task.id: number for number, task in enumerate(order.tasks)}
    for step, said, act in sorted(acts, key=lambda one: places.get(one[0], -1)):
        progress = act(order, progress, step, said, when=when)
    return progress


def _as_act(on_wiring: Callable[..., Progress]) -> Act:
    """What is done with the wiring, with the step's name beside it as other acts have it."""

    def act(order: WorkOrder, progress: Progress, _: str, said: str, *, when: str) -> Progress:
        return on_wiring(order, progress, said, when=when)

    return act


def _split(option: str, given: str) -> tuple[str, str]:
    step, equals, said = given.partition("=")
    if not equals:
        raise InputError(
            place=option,
            value=given,
            allowed="STEP=VALUE",
            remedy="Name the step, an equals sign, and the value.",
        )
    return step.strip(), said


def _told(order: WorkOrder, progress: Progress, kept: Progress, back_from: str | None) -> str:
    """The way back where one was asked for, the whole order where nothing was entered, else what
    was entered and what comes next."""
    from plumbrise.build import task_named
    from plumbrise.report.work_order import entered_text, way_back_text, work_order_text

    way = _way(order, progress, back_from)
    if way is not None and back_from is not None:
        return way_back_text(task_named(order, back_from), way)
    if len(progress.entries) > len(kept.entries):
        return entered_text(order, progress, progress.entries[len(kept.entries) :])
    return work_order_text(order, progress)


def _way(order: WorkOrder, progress: Progress, back_from: str | None) -> WayBack | None:
    """The way back from a step, where one was asked for."""
    from plumbrise.build import task_named, way_back

    if back_from is None:
        return None
    return way_back(order, progress, task_named(order, back_from))


def _moves(order: WorkOrder, progress: Progress) -> str:
    from plumbrise.build import moves_handed_out

    moves = moves_handed_out(order, progress)
    if moves is None or not moves.text:
        raise InputError(
            place="--moves",
            value="nothing to write",
            allowed="an order that opens the machine, its wiring proved, and a travel in the "
            "machine file",
            remedy=f"It needs {moves.missing}." if moves else "Nothing is opened.",
        )
    return moves.text


def _sheet(order: WorkOrder, progress: Progress, path: Path, paper: str) -> str | bytes:
    from plumbrise import __version__
    from plumbrise.report.work_order_sheet import work_order_html, work_order_pdf

    when = date.today().isoformat()
    kind = path.suffix.lower()
    if kind == ".html":
        return work_order_html(order, progress, when=when, version=__version__)
    if kind == ".pdf":
        return work_order_pdf(order, progress, when=when, version=__version__, paper=paper)
    raise InputError(
        place="--sheet", value=path.name, allowed="a name that ends in .pdf or .html",
        remedy="Name it so.",
    )  # fmt: skip
