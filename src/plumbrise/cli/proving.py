"""What `prove` and `demo` share: stages of a story, what was promised, what was printed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from plumbrise.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plumbrise.api.proving import ProofAnswer
    from plumbrise.cli.session import Session
    from plumbrise.explain import Explanation
    from plumbrise.files.proposal import Chosen
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
    chosen: Chosen | None = None,
) -> Stage:
    """The same explained; the last one with what could be done next, what was chosen being
    done."""
    from dataclasses import replace

    from plumbrise.cli.progress import working

    explanation = session.explained(seed=seed, quiet=quiet)
    proposal = None
    if last:
        with working("Looking at what could be done next", quiet=quiet):
            proposal = next_step(session.machine, explanation, seed=seed, chosen=chosen)
    found = bare_stage(name, session, prints)
    return replace(found, explanation=explanation, proposal=proposal)


def next_step(
    machine: Machine, explanation: Explanation, *, seed: int, chosen: Chosen | None = None
) -> Proposal | None:
    """What redesign would do with what is left; None where the readings tell too little for it.
    Where a set was chosen and done, its targets hold on and its changes are not named again."""
    import numpy as np

    from plumbrise.redesign import Workshop, redesign, targets_of

    targets = (chosen.targets if chosen else ()) or targets_of()
    done = frozenset(one.id for one in chosen.changes) if chosen else frozenset()
    rng = np.random.default_rng(seed)
    try:
        return redesign(machine, explanation, targets, rng=rng, workshop=Workshop(without=done))
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

    before, after = (
        replace(bare_stage(name, session, printed), explanation=explanation)
        for name, session, printed, explanation in zip(
            names, sessions, prints, explained, strict=True
        )
    )
    return prove_against(chosen_at(promised), before, after).proved


def prove_against(chosen: Chosen | None, before: Stage, *afters: Stage) -> ProofAnswer:
    """The proof, held against what was chosen and its targets where there is a proposal."""
    from plumbrise.api import prove

    if chosen is None:
        return prove(before, *afters)
    return prove(before, *afters, promised=chosen.promised, target_mm=chosen.target_mm)


def chosen_at(path: Path | None) -> Chosen | None:
    """What the proposal in a file chose, if there is one."""
    if path is None:
        return None
    from plumbrise.files.decoding import text_of
    from plumbrise.files.proposal import read_proposal

    text = text_of(path.read_bytes(), name=path.name).text
    return read_proposal(text, name=path.name)


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
