"""`plumbrise demo`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.api import ProofAnswer
    from plumbrise.cli.session import Session
    from plumbrise.explain import Explanation
    from plumbrise.redesign import Proposal

MARK = "made-by-plumbrise-demo.txt"


@click.command()
@click.argument(
    "folder", default="plumbrise-demo", type=click.Path(file_okay=False, path_type=Path)
)
@AS_JSON
def command(folder: Path, as_json: bool) -> None:
    """Do the whole job on an invented machine and write its folder.

    \b
    Example:
        plumbrise demo
        plumbrise demo my-look-around
    """
    from plumbrise.cli.progress import working
    from plumbrise.cli.session import Session, show_json
    from plumbrise.demo import scenario

    _refuse_foreign(folder)
    invented = scenario()
    session = Session(invented.machine, invented.readings)
    if not as_json:
        click.echo(f"{invented.story}\n")
    with working("Looking at the readings", quiet=as_json):
        analysis = session.analysed()
    explanation = session.explained(seed=0, quiet=as_json)
    proposed, proposal, proof = _afterwards(session, explanation, quiet=as_json)
    with working("Drawing and writing", quiet=as_json):
        contents = _contents(session, analysis, explanation, invented.story)
        contents |= _contents_after(proposal, proof)
        _write_folder(folder, contents)
    if as_json:
        from plumbrise.files.results import explanation_dict

        show_json(
            {
                "version": 1,
                "folder": str(folder),
                "files": list(contents),
                "explanation": explanation_dict(explanation),
            }
        )
        return
    from plumbrise.report import answer_text

    click.echo(answer_text(session.machine, session.readings, analysis, explanation))
    _tell(proposed, proposal, proof)
    click.echo(f"\nWritten to {folder}{_SEPARATOR}:")
    for name, words in _FILES.items():
        click.echo(f"  {name:<19} {words}")
    click.echo(f"\nOpen {folder / 'story.html'} in a browser, and report.html beside it.")
    click.echo("Then do it with your own machine:")
    click.echo("  plumbrise describe machine.toml")
    click.echo("  plumbrise explain machine.toml readings.csv")


TAKEN = ("set-rollers", "second-screw-tied")
"""What the invented owner did before the session after the work."""
AFTER = (
    "She has no driver to spare for a second motor and takes a smaller set: she sets the rollers "
    "anew, and hangs the right end on a second screw, tied to the first by a belt."
)
LATER = "Three weeks later she borrows the gauge again."


def _afterwards(
    session: Session, explanation: Explanation, *, quiet: bool
) -> tuple[Proposal, Proposal, ProofAnswer]:
    """What to change, the set that the invented owner takes, and the proof from the session that
    she read after it."""
    import json
    from dataclasses import replace
    from importlib.resources import files

    import numpy as np

    from plumbrise.cli.progress import working
    from plumbrise.cli.proving import bare_stage, explained_stage, prove_against
    from plumbrise.cli.session import Session
    from plumbrise.files import read_machine, read_readings
    from plumbrise.files.proposal import proposal_dict, read_proposal
    from plumbrise.readings import scale_of
    from plumbrise.redesign import propose, prospects_for, targets_of

    with working("Looking at what to change", quiet=quiet):
        rng = np.random.default_rng(0)
        prospects = prospects_for(session.machine, explanation, rng=rng)
        proposed, proposal = (
            propose(prospects, targets_of(), rng=rng, explanation=explanation, taken=taken)
            for taken in (None, TAKEN)
        )
    assert proposal.chosen is not None  # the invented machine allows it
    kept = files("plumbrise.demo").joinpath("session")
    machine = read_machine(
        kept.joinpath("after-machine.toml").read_text(encoding="utf-8"), name="after-machine.toml"
    )
    readings = read_readings(
        kept.joinpath("after-readings.csv").read_bytes(),
        name="after-readings.csv",
        scale=scale_of(machine),
        arrangement=machine.arrangement,
    )
    before = replace(bare_stage("first evening", session), explanation=explanation)
    chosen = read_proposal(json.dumps(proposal_dict(proposal)), name="proposal.json")
    after = explained_stage(
        "after the work",
        Session(machine, readings),
        seed=0,
        quiet=quiet,
        last=True,
        chosen=chosen,
    )
    return proposed, proposal, prove_against(chosen, before, after)


def _contents_after(proposal: Proposal, proof: ProofAnswer) -> dict[str, str | bytes]:
    import json
    from datetime import date
    from importlib.resources import files

    from plumbrise.files import write_machine, write_readings
    from plumbrise.files.proposal import proposal_dict

    after = proof.afters[-1]
    harness = files("plumbrise.demo").joinpath("harness.toml").read_text(encoding="utf-8")
    return {
        "harness.toml": harness,
        "proposal.json": json.dumps(proposal_dict(proposal), ensure_ascii=False, indent=2),
        "after-machine.toml": write_machine(after.machine),
        "after-readings.csv": write_readings(after.readings),
        "proof.json": json.dumps(proof.to_dict(), ensure_ascii=False, indent=2),
        "story.html": proof.story(when=date.today().isoformat()),
    }


def _tell(proposed: Proposal, proposal: Proposal, proof: ProofAnswer) -> None:
    from plumbrise.report.layout import folded
    from plumbrise.report.names import listed, lowered
    from plumbrise.report.proof_words import advice_words, kept_sentence
    from plumbrise.report.redesign_said import proposed_words, taken_words

    assert proposed.chosen is not None
    assert proposal.chosen is not None
    named = listed([lowered(change.title) for change in proposed.chosen.changes])
    (found,) = proof.result
    for words in (
        f"{proposed_words(proposed, proposed.chosen)} That is: {named}.",
        f"{AFTER} {taken_words(proposal, proposal.chosen)} {LATER}",
        f"{found.headline} {kept_sentence(found)} {advice_words(found)}",
    ):
        click.echo("\n" + "\n".join(folded(words)))


_SEPARATOR = "/"
_FILES = {
    "machine.toml": "the invented machine",
    "readings.csv": "what its owner read on one evening",
    "analysis.json": "what the readings say by themselves",
    "explanation.json": "causes, losses, next tests",
    "load-path.svg": "the drawing",
    "report.html": "the report for a browser",
    "report.pdf": "the report for paper",
    "proposal.json": "what to change, and what that promises",
    "after-machine.toml": "the machine after the work",
    "after-readings.csv": "what was read after the work",
    "proof.json": "before against after, and against the promise",
    "harness.toml": "a motor harness with a fault, for `plumbrise wiring`",
    "story.html": "the story, one page to publish",
}


def _contents(
    session: Session, analysis: Analysis, explanation: Explanation, story: str
) -> dict[str, str | bytes]:
    import json

    from plumbrise.cli.documents import drawing_of, html_of, pdf_of
    from plumbrise.files import write_machine, write_readings
    from plumbrise.files.results import analysis_dict, explanation_dict

    return {
        "machine.toml": write_machine(session.machine),
        "readings.csv": write_readings(session.readings),
        "analysis.json": json.dumps(analysis_dict(analysis), ensure_ascii=False, indent=2),
        "explanation.json": json.dumps(explanation_dict(explanation), ensure_ascii=False, indent=2),
        "load-path.svg": drawing_of(session, analysis, explanation),
        "report.html": html_of(session, analysis, explanation),
        "report.pdf": pdf_of(session, analysis, explanation, "a4"),
        MARK: f"{story}\nEverything in this folder is invented; it may be deleted.\n",
    }


def _refuse_foreign(folder: Path) -> None:
    """A folder that holds other things is left alone."""
    if folder.exists() and any(folder.iterdir()) and not (folder / MARK).exists():
        raise InputError(
            place="FOLDER",
            value=str(folder),
            allowed="a new folder, an empty one, or one that the demo made",
            remedy="Name another folder.",
        )


def _write_folder(folder: Path, contents: dict[str, str | bytes]) -> None:
    from plumbrise.cli.reading import write_file

    folder.mkdir(parents=True, exist_ok=True)
    # the mark goes first: a folder left by a stop in between may be written over again
    for name in sorted(contents, key=lambda name: name != MARK):
        write_file(folder / name, contents[name])
