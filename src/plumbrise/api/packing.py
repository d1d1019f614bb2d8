"""A story as one file to publish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from plumbrise.api.explaining import Answer
from plumbrise.api.proving import ProofAnswer, prove, stage
from plumbrise.api.reading import analyse
from plumbrise.api.showing import StrPath

if TYPE_CHECKING:
    from plumbrise.files import Pack, Stage
    from plumbrise.redesign import Proposal


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What a pack may hold beside its stages, each the text of a file, "" for none.

    `proposal` is what `redesign --json` printed, `build` what `build --progress` keeps, `harness`
    a harness file. `prints` are tables of what was measured on a print, one for each stage.
    `onward` is what redesign would do next.
    """

    proposal: str = ""
    build: str = ""
    harness: str = ""
    prints: tuple[str, ...] = ()
    onward: Proposal | None = None


def pack(
    answers: Sequence[Answer], path: StrPath, *, when: str, beside: Beside | None = None
) -> Path:
    """Write a pack to publish: machine, readings, results, drawing and report of each stage, and
    where there is a stage after, the proof and the story.

    Args:
        answers: before the change, then after each.
        path: where to write the zip archive.
        when: the day to write in it.
        beside: what else belongs to the story.

    Raises:
        InputError: something beside is not what it should be.
        OSError: it cannot be written.
    """
    path = Path(path)
    path.write_bytes(packed(answers, when=when, beside=beside))
    return path


def packed(answers: Sequence[Answer], *, when: str, beside: Beside | None = None) -> bytes:
    """The same as bytes: all that it says is said of the very files that it holds.

    Raises:
        InputError: no stage, or more than a pack has; something beside that cannot be read.
        InputErrors: all that is wrong with it.
    """
    from plumbrise.errors import InputError
    from plumbrise.files import Pack, Stage, write_machine, write_pack, write_readings
    from plumbrise.files.json_text import json_object
    from plumbrise.files.pack_again import session_in
    from plumbrise.files.pack_beside import beside_again
    from plumbrise.files.pack_names import STAGES

    if not 0 < len(answers) <= len(STAGES):
        raise InputError(
            place="stages",
            value=len(answers),
            allowed=f"one before and up to {len(STAGES) - 1} after",
            remedy="Pack a longer story in parts.",
        )
    more = beside or Beside()
    prints = (*more.prints, *("",) * len(answers))
    stages, again = [], []
    for name, answer, printed in zip(STAGES, answers, prints, strict=False):
        texts = (write_machine(answer.machine), write_readings(answer.readings))
        written = Stage(name, *texts, {}, prints=printed)
        machine, readings = session_in(written)
        again.append(Answer(machine, readings, analyse(machine, readings).result, answer.result))
        stages.append(_shown(written, again[-1], when))
    found = Pack(
        tuple(stages),
        when,
        made_with(),
        proposal=json_object(more.proposal) if more.proposal else None,
        build=json_object(more.build) if more.build else None,
        harness=more.harness,
    )
    beside_again(found, [(one.machine, one.readings) for one in again])  # that it can be read
    if len(again) > 1:
        proof = _proof_in(found, again, more.onward)
        found = replace(found, proof=proof.to_dict(), story=proof.story(when=when))
    return write_pack(found)


def _proof_in(found: Pack, answers: Sequence[Answer], onward: Proposal | None) -> ProofAnswer:
    """The proof of a pack's own files, with where the loss went."""
    from plumbrise.files.pack_beside import chosen_in
    from plumbrise.files.prints_table import read_prints

    before, *afters = [
        stage(
            one.name,
            answer.machine,
            answer.readings,
            explanation=answer.result,
            prints=read_prints(one.prints, name=one.name) if one.prints else (),
        )
        for one, answer in zip(found.stages, answers, strict=True)
    ]
    chosen = chosen_in(found)
    afters[-1:] = [replace(one, proposal=onward) for one in afters[-1:]]
    if chosen is None:
        return prove(before, *afters)
    return prove(before, *afters, promised=chosen.promised, target_mm=chosen.target_mm)


def _shown(stage: Stage, answer: Answer, when: str) -> Stage:
    """The stage with its results, drawing and report."""
    from plumbrise import __version__
    from plumbrise.drawing import load_path, mark
    from plumbrise.files.pack_again import results_of
    from plumbrise.report import html_report

    session = (answer.machine, answer.readings, answer.analysis, answer.result)
    marking = mark(answer.machine, answer.readings, answer.result, answer.analysis)
    return replace(
        stage,
        results=results_of(answer.analysis, answer.result),
        drawing=load_path(answer.machine, marking, theme="print"),
        report=html_report(
            *session,
            when=when,
            version=__version__,
            machine_text=stage.machine,
            readings_text=stage.readings,
        ),
    )


def made_with() -> dict[str, str]:
    """The versions that a result depends on."""
    from importlib.metadata import version
    from platform import python_version

    from plumbrise import __version__

    of = {name: version(name) for name in ("numpy", "scipy", "numba")}
    return {"plumbrise": __version__, "python": python_version(), **of}
