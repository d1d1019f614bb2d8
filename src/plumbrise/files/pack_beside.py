"""What a pack tells of the whole story, worked out again from its stages: the proof, the work that
was chosen, the harness."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import chain, islice
from typing import Any

from plumbrise.analyse import analyse
from plumbrise.build import build_steps
from plumbrise.errors import InputError, InputErrors
from plumbrise.explain import LinkLoss
from plumbrise.files.archive import shown
from plumbrise.files.harness_file import read_harness
from plumbrise.files.pack import Pack, PackNotWhole, Stage
from plumbrise.files.pack_again import MOST_TOLD, OTHER, SAME, Agreement, differences
from plumbrise.files.pack_links import links_in
from plumbrise.files.pack_names import BUILD, HARNESS, PRINT, PROPOSAL, Json
from plumbrise.files.pack_text import json_text
from plumbrise.files.prints_table import read_prints
from plumbrise.files.proof import proofs_dict
from plumbrise.files.proposal import Chosen, read_proposal
from plumbrise.files.work_order import read_progress, work_order_dict
from plumbrise.machine import Machine
from plumbrise.prove import Proof, prove_all
from plumbrise.prove import Stage as Read
from plumbrise.prove.links import losses_told
from plumbrise.readings import Readings, scale_of
from plumbrise.wiring import judge

OF_THE_MODEL = ("links", "onward")
"""What of a proof comes from explaining, and not from the readings by themselves."""
NAMES = ("verdict", "thing", "test", "station", "figure", "detail")
"""Words of a judged figure that say something; words are not numbers, and are compared apart."""

Session = tuple[Machine, Readings]


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside the stages: `verdict` of the harness in words, `changes` that were
    promised, and whether proof and work order come out again; empty or None where none is there."""

    proof: Agreement | None = None
    build: Agreement | None = None
    changes: tuple[str, ...] = ()
    harness: str = ""


def beside_again(pack: Pack, opened: Sequence[Session]) -> Beside:
    """All of it worked out again.

    Args:
        pack: the pack.
        opened: machine and readings of each stage.

    Raises:
        PackNotWhole: some of it cannot be read.
    """
    try:
        chosen = chosen_in(pack)
        return Beside(
            proof=None if pack.proof is None else _proof_again(pack, opened, chosen),
            build=None if pack.build is None else _build_again(pack.build, opened[0][0]),
            changes=tuple(one.title for one in chosen.changes) if chosen else (),
            harness=str(judge(read_harness(pack.harness, name=HARNESS)).verdict)
            if pack.harness
            else "",
        )
    except InputErrors as several:
        raise PackNotWhole(several.problems) from None
    except InputError as problem:
        raise PackNotWhole([problem]) from None


def chosen_in(pack: Pack) -> Chosen | None:
    """What was chosen and promised; None where the pack does not tell.

    Raises:
        InputError: it cannot be read.
    """
    if pack.proposal is None:
        return None
    return read_proposal(json_text(pack.proposal), name=PROPOSAL)


def proved(
    stages: Sequence[Stage], opened: Sequence[Session], chosen: Chosen | None
) -> tuple[Proof, ...]:
    """Every stage after against the one before, by what was read alone.

    Raises:
        InputError: what was measured on a print cannot be read.
        InputErrors: rows of it.
    """
    before, *afters = [
        Read(
            stage.name,
            machine,
            readings,
            analyse(readings, scale_of(machine)),
            prints=read_prints(stage.prints, name=f"{stage.name}/{PRINT}") if stage.prints else (),
        )
        for stage, (machine, readings) in zip(stages, opened, strict=True)
    ]
    if chosen is None:
        return prove_all(before, afters)
    return prove_all(before, afters, chosen.promised, target_mm=chosen.target_mm)


def _proof_again(pack: Pack, opened: Sequence[Session], chosen: Chosen | None) -> Agreement:
    again = proofs_dict(proved(pack.stages, opened, chosen))
    assert pack.proof is not None
    found = [*islice(differences(_read(pack.proof), _read(again)), MOST_TOLD)]
    if not found:  # so it has the shape of a proof
        told = chain(_false_verdicts(pack.proof, again), _false_links(pack))
        found = [*islice(told, MOST_TOLD)]
    return Agreement(OTHER if found else SAME, tuple(found))


def _read(proofs: Json) -> Json:
    """The proofs without what explaining adds."""
    return {
        **proofs,
        "proofs": [
            {key: value for key, value in one.items() if key not in OF_THE_MODEL}
            if isinstance(one, dict)
            else one
            for one in _each(proofs)
        ],
    }


def _each(proofs: Json) -> list[Any]:
    """The proofs, one for each session after; none where it tells none."""
    told = proofs.get("proofs")
    return told if isinstance(told, list) else []


def _false_verdicts(packed: Json, again: Json) -> Iterator[str]:
    """Verdicts that the readings do not bear, and figures under another name."""
    for one, other in zip(_each(packed), again["proofs"], strict=True):
        for said, now in zip(one.get("figures", ()), other["figures"], strict=False):
            for key in NAMES:
                if said.get(key, now[key]) != now[key]:
                    told = shown(str(said[key]).encode("utf-8", "replace"))
                    place = f"{now['thing']}, {now['station']}, {key}"
                    yield f"{place}: {told} in the pack, {now[key]} now"


def _false_links(pack: Pack) -> Iterator[str]:
    """Losses of links that are not those of the stages' own explanations."""
    assert pack.proof is not None
    was = links_in(pack.stages[0])
    for now, proof in zip(pack.stages[1:], _each(pack.proof), strict=True):
        links = proof.get("links")
        together = losses_told(was, links_in(now))
        alone = losses_told(_each_alone(was), _each_alone(links_in(now)))
        for one in links if isinstance(links, list) else ():
            if not isinstance(one, dict):
                yield f"{now.name}, links: no link"
                continue
            shared = one.get("shared_with")
            names = (str(one.get("link")), *map(str, shared if isinstance(shared, list) else ()))
            key = names, str(one.get("side")), str(one.get("station"))
            # proofs of before links were told together hold each by itself
            lost = alone if shared is None else together
            for when, losses in zip(("before", "after"), lost, strict=True):
                told = one.get(when)
                loss = losses.get(key)
                again = None if told is None or loss is None else asdict(loss)
                yield from differences(told, again, f"{now.name}, {names[0]}, {when}")


def _each_alone(links: Sequence[LinkLoss]) -> list[LinkLoss]:
    return [replace(one, shared_with=(), together_mm={}) for one in links]


def _build_again(kept: Json, machine: Machine) -> Agreement:
    """The work order made anew for the machine before the work, with what was entered."""
    progress = read_progress(json_text(kept), name=BUILD)
    changes = kept.get("changes")
    if not isinstance(changes, list) or not all(isinstance(one, str) for one in changes):
        raise InputError(
            place=BUILD,
            value=shown(repr(changes).encode()),
            allowed="the changes that it was made for",
            remedy="Ask its maker for the pack again, or make it anew.",
        )
    try:
        order = build_steps(machine, changes)
    except InputError as problem:
        raise problem.within(BUILD) from None
    again = work_order_dict(order, progress)
    found = tuple(islice(differences(kept, again), MOST_TOLD))
    return Agreement(OTHER if found else SAME, found)
