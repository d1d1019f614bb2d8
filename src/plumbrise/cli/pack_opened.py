"""What `plumbrise pack open` finds in a pack, as text and as JSON, and what it writes of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from plumbrise import __version__
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.explain import Explanation
    from plumbrise.files import Pack, PackNotWhole, Stage
    from plumbrise.files.pack_again import Agreement
    from plumbrise.files.pack_beside import Beside

ONWARD = "What redesign would do next, worked out again"
NO_REPROACH = (
    "  That is no reproach: the step turns on targets, prices and seed that a pack does not tell, "
    "and on the version."
)
WORDS = {
    "same": "the same numbers",
    "near": "the same causes; draws fell a little otherwise",
    "other": "other numbers",
}
"""Verdict of an agreement -> what is said of it."""
DONE = {"analysis": "Analysed", "explanation": "Explained"}
BESIDE = {"proof": "The proof", "build": "The work order"}


@dataclass(frozen=True, slots=True)
class Opened:
    """A pack with its numbers worked out again; `onward` is the next step of its last stage."""

    pack: Pack
    stages: list[dict[str, Any]]
    beside: Beside
    onward: Agreement | None = None

    @property
    def other(self) -> bool:
        """True where the pack says other numbers than its readings do."""
        told = [stage[name] for stage in self.stages for name in DONE]
        told += [agreement_dict(getattr(self.beside, name)) for name in BESIDE]
        return any(one is not None and one["verdict"] == "other" for one in told)


def opened(path: Path, *, recompute: bool, quiet: bool) -> Opened:
    """The pack in a file, looked through and worked out again.

    Raises:
        PackNotWhole: all that is wrong with it.
    """
    from plumbrise.files.pack_again import session_in
    from plumbrise.files.pack_beside import beside_again

    pack = _read(path)
    sessions = [session_in(stage) for stage in pack.stages]
    anew = [
        _explained(stage, *session, quiet=quiet) if recompute else None
        for stage, session in zip(pack.stages, sessions, strict=True)
    ]
    stages = [
        _again(stage, *session, found)
        for stage, session, found in zip(pack.stages, sessions, anew, strict=True)
    ]
    onward = _onward(pack, sessions[-1][0], anew[-1], quiet=quiet)
    return Opened(pack, stages, beside_again(pack, sessions), onward)


def _read(path: Path) -> Pack:
    from plumbrise.files import PackNotWhole, read_pack
    from plumbrise.files.archive import fault
    from plumbrise.files.pack_names import BOUNDS

    size = path.stat().st_size
    if size > BOUNDS.packed:  # before it fills the memory
        raise PackNotWhole([fault("archive", f"{size} bytes", f"up to {BOUNDS.packed}")])
    return read_pack(path.read_bytes())


def _explained(stage: Stage, machine: Any, readings: Any, *, quiet: bool) -> Explanation | None:
    from plumbrise.cli.progress import working
    from plumbrise.files.pack_again import explained_anew

    with working("Explaining it anew", quiet=quiet):
        from plumbrise.cli.compiled_cache import use_compiled_cache

        use_compiled_cache()
        return explained_anew(stage, machine, readings)


def _onward(
    pack: Pack, machine: Any, explanation: Explanation | None, *, quiet: bool
) -> Agreement | None:
    """The next step worked out again; None where the pack tells none, or nothing was explained."""
    from plumbrise.cli.progress import working
    from plumbrise.files.pack_onward import onward_again, onward_in

    told = onward_in(pack)
    if told is None or explanation is None:
        return None
    with working("Looking at what could be done next", quiet=quiet):
        return onward_again(told, machine, explanation)


def _again(stage: Stage, machine: Any, readings: Any, anew: Explanation | None) -> dict[str, Any]:
    """A stage with its numbers worked out again."""
    from plumbrise.files.pack_again import analysed_again, explained_again

    explained = None if anew is None else explained_again(stage, anew)
    return {
        "stage": stage.name,
        "machine": machine.name or machine.arrangement.title,
        "readings": readings.count,
        "analysis": agreement_dict(analysed_again(stage, machine, readings)),
        "explanation": agreement_dict(explained),
    }


def agreement_dict(found: Agreement | None) -> dict[str, Any] | None:
    """An agreement as plain values."""
    return None if found is None else {"verdict": found.verdict, "differences": list(found.told)}


def faults_text(path: Path, broken: PackNotWhole) -> str:
    """All that is wrong with a pack."""
    lines = [f"{path.name}: this pack is not whole. Nothing of it was written."]
    return "\n".join([*lines, *(f"  {problem}" for problem in broken.problems)])


def written(pack: Pack, folder: Path) -> list[str]:
    """Text only, under names of ours; drawings and pages stay in the pack."""
    from plumbrise.cli.reading import write_file

    if folder.exists() and any(folder.iterdir()):
        raise InputError(
            place="--into",
            value=str(folder),
            allowed="a new folder, or an empty one",
            remedy="Name another folder.",
        )
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    for name, text in _texts(pack).items():
        (folder / name).parent.mkdir(exist_ok=True)
        write_file(folder / name, text)
        made.append(f"{folder}/{name}")
    return made


def _texts(pack: Pack) -> dict[str, str]:
    from plumbrise.files.pack_names import BUILD, HARNESS, PRINT, PROOF, PROPOSAL
    from plumbrise.files.pack_text import json_text

    found: dict[str, str] = {}
    for stage in pack.stages:
        found[f"{stage.name}/machine.toml"] = stage.machine
        found[f"{stage.name}/readings.csv"] = stage.readings
        found[f"{stage.name}/results.json"] = json_text(stage.results)
        found[f"{stage.name}/{PRINT}"] = stage.prints
    for name, value in ((PROOF, pack.proof), (PROPOSAL, pack.proposal), (BUILD, pack.build)):
        found[name] = "" if value is None else json_text(value)
    found[HARNESS] = pack.harness
    return {name: text for name, text in found.items() if text}


def as_dict(found: Opened, written: list[str]) -> dict[str, Any]:
    """What `pack open --json` prints."""
    pack, beside = found.pack, found.beside
    return {
        "version": 1,
        "whole": True,
        "faults": [],
        "format": pack.format,
        "packed_on": pack.packed_on,
        "versions": dict(pack.versions),
        "stages": found.stages,
        "proof": agreement_dict(beside.proof),
        "build": agreement_dict(beside.build),
        "onward": agreement_dict(found.onward),
        "promised": list(beside.changes),
        "harness": beside.harness or None,
        "written": written,
    }


def as_text(found: Opened, written: list[str]) -> str:
    """The same for people."""
    pack, beside = found.pack, found.beside
    maker = f"plumbrise {pack.versions.get('plumbrise', 'of a version it does not tell')}"
    lines = [f"The pack is whole. Packed on {pack.packed_on} by {maker}."]
    for stage in found.stages:
        lines.append(f"{stage['stage']}: {stage['machine']}, {stage['readings']} readings.")
        for name, what in DONE.items():
            lines += [f"  {line}" for line in _agreement(f"{what} again", stage[name])]
    for name, what in BESIDE.items():
        lines += _agreement(f"{what}, made again", agreement_dict(getattr(beside, name)))
    lines += _agreement(ONWARD, agreement_dict(found.onward))
    if found.onward is not None and found.onward.verdict == "other":
        lines.append(NO_REPROACH)
    if beside.changes:
        lines.append(f"Promised: {', '.join(beside.changes).lower()}.")
    if beside.harness:
        lines.append(f"The harness, judged here: {beside.harness}.")
    if found.other and pack.versions.get("plumbrise") != __version__:
        lines.append(f"This is {__version__}: another version may be why the numbers are other.")
    lines += [f"Written: {path}" for path in written]
    return "\n".join(lines)


def _agreement(what: str, found: dict[str, Any] | None) -> list[str]:
    if found is None:
        return []
    return [f"{what}: {WORDS[found['verdict']]}.", *(f"  {one}" for one in found["differences"])]
