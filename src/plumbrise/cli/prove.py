"""`plumbrise prove`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, MACHINE, SEED, STATION, TEST


@click.command()
@MACHINE
@click.argument("before_path", metavar="BEFORE", type=EXISTING)
@click.argument("after_paths", metavar="AFTER...", type=EXISTING, nargs=-1, required=True)
@click.option(
    "--after-machine",
    "after_machine_path",
    type=EXISTING,
    help="The machine file as it is after the work, if it changed.",
)
@click.option(
    "--proposal",
    "proposal_path",
    type=EXISTING,
    help="What `redesign --json` printed: promised against achieved.",
)
@click.option("--links", "with_links", is_flag=True, help="Explain both, and compare each link.")
@TEST
@STATION
@INCHES
@AS_JSON
@SEED
def command(
    machine_path: Path,
    before_path: Path,
    after_paths: tuple[Path, ...],
    after_machine_path: Path | None,
    proposal_path: Path | None,
    with_links: bool,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
    seed: int,
) -> None:
    """Before and after, figure by figure, with what may be said of each.

    \b
    Example:
        plumbrise prove machine.toml before.csv after.csv
        plumbrise prove machine.toml before.csv after.csv --proposal proposal.json
    """
    from plumbrise.cli.session import session_at, show_json
    from plumbrise.prove import Stage, prove

    def stage(machine: Path, path: Path) -> Stage:
        session = session_at(machine, path, test=test, station=station, inches=inches)
        explanation = session.explained(seed=seed, quiet=as_json) if with_links else None
        return Stage(path.name, session.machine, session.readings, session.analysed(), explanation)

    promised = None
    if proposal_path is not None:
        from plumbrise.files.decoding import text_of
        from plumbrise.files.proposal import read_promised

        name = proposal_path.name
        promised = read_promised(text_of(proposal_path.read_bytes(), name=name).text, name=name)
    before = stage(machine_path, before_path)
    after_machine = after_machine_path or machine_path
    proofs = [prove(before, stage(after_machine, path), promised) for path in after_paths]
    if as_json:
        from plumbrise.files.proof import VERSION, proof_dict

        show_json({"version": VERSION, "proofs": [proof_dict(proof) for proof in proofs]})
        return
    from plumbrise.report.proof import proof_text

    click.echo("\n".join(proof_text(proof) for proof in proofs), nl=False)
