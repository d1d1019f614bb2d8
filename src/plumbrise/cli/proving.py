"""What `prove` and `demo` share: stages of a story, what was promised, what was printed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from plumbrise.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from plumbrise.cli.session import Session
    from plumbrise.explain import Explanation, Interval
    from plumbrise.machine import Machine
    from plumbrise.prove import PrintReading, Stage
    from plumbrise.redesign import Proposal
    from plumbrise.report.proof_section import Proved


def bare_stage(name: str, session: Session, prints: Path | None = None) -> Stage:
    """A session of the story with what its readings say by themselves."""
    from plumbrise.api import stage

    return stage(name, session.machine, session.readings, prints=prints_at(prints))


def explained_stage(
    name: str,
    session: Session,
    prints: Path | None = None,
    *,
    seed: int,
    quiet: bool,
    last: bool,
) -> Stage:
    """The same explained; the last one with what could be done next."""
    from dataclasses import replace

    from plumbrise.cli.progress import working

    explanation = session.explained(seed=seed, quiet=quiet)
    proposal = None
    if last:
        with working("Looking at what could be done next", quiet=quiet):
            proposal = next_step(session.machine, explanation, seed=seed)
    found = bare_stage(name, session, prints)
    return replace(found, explanation=explanation, proposal=proposal)


def next_step(machine: Machine, explanation: Explanation, *, seed: int) -> Proposal | None:
    """What redesign would do with what is left, for the usual targets; None where the readings
    tell too little for it."""
    import numpy as np

    from plumbrise.redesign import redesign, targets_of

    try:
        return redesign(machine, explanation, targets_of(), rng=np.random.default_rng(seed))
    except InputError:
        return None


def proved_for(
    sessions: Sequence[Session],
    names: Sequence[str],
    prints: Sequence[Path | None],
    explained: Sequence[Explanation],
    promised: Path | None,
) -> Proved:
    """A session against the one before the work, for a report: each argument one of each."""
    from dataclasses import replace

    from plumbrise.api import prove

    before, after = (
        replace(bare_stage(name, session, printed), explanation=explanation)
        for name, session, printed, explanation in zip(
            names, sessions, prints, explained, strict=True
        )
    )
    return prove(before, after, promised=promised_at(promised)).proved


def promised_at(path: Path | None) -> Mapping[str, Mapping[str, Interval]] | None:
    """The predictions of the proposal in a file, if there is one."""
    if path is None:
        return None
    from plumbrise.files.decoding import text_of
    from plumbrise.files.proposal import read_proposal

    text = text_of(path.read_bytes(), name=path.name).text
    return read_proposal(text, name=path.name).predicted


def prints_at(path: Path | None) -> tuple[PrintReading, ...]:
    """The measurements of a print in a file, if there is one."""
    if path is None:
        return ()
    from plumbrise.files.decoding import text_of
    from plumbrise.files.prints_table import read_prints

    return read_prints(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def one_each(option: str, given: tuple[Path, ...], sessions: int) -> tuple[Path, ...]:
    """One file for every session, or one for them all.

    Raises:
        InputError: another number of files.
    """
    if len(given) == 1:
        return given * sessions
    if len(given) != sessions:
        raise InputError(
            place=option,
            value=f"{len(given)} files",
            allowed=f"one, or as many as sessions after: {sessions}",
            remedy="Give the option once for each session, in their order.",
        )
    return given
