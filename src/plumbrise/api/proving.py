"""Before against after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plumbrise.api.reading import analyse
from plumbrise.api.showing import text_block

if TYPE_CHECKING:
    from plumbrise.explain import Explanation, Interval
    from plumbrise.machine import Machine
    from plumbrise.prove import PrintReading, Proof
    from plumbrise.prove import Stage as ProofStage
    from plumbrise.readings import Readings
    from plumbrise.redesign import Proposal
    from plumbrise.report.proof_section import Proved


@dataclass(frozen=True, slots=True)
class ProofAnswer:
    """Sessions after against the one before; `result` holds a Proof for each."""

    before: ProofStage
    afters: tuple[ProofStage, ...]
    result: tuple[Proof, ...]

    def __str__(self) -> str:
        from plumbrise.report.proof import proof_text

        return "\n".join(proof_text(proof) for proof in self.result)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise prove --json` gives."""
        from plumbrise.files.proof import proofs_dict

        return proofs_dict(self.result)

    def story(self, *, when: str) -> str:
        """The story as one HTML page to publish, with the data inside."""
        import json

        from plumbrise import __version__
        from plumbrise.files import write_machine, write_readings
        from plumbrise.report.story import Attached, story_page

        files = []
        for i, one in enumerate((self.before, *self.afters)):
            name = "before" if i == 0 else "after" if len(self.afters) == 1 else f"after-{i}"
            machine, readings = write_machine(one.machine), write_readings(one.readings)
            files.append(Attached(f"{name}-machine.toml", "text/plain", machine))
            files.append(Attached(f"{name}-readings.csv", "text/csv", readings))
        told = json.dumps(self.to_dict(), ensure_ascii=False, indent=1)
        files.append(Attached("proof.json", "application/json", told))
        return story_page(self.proved, files=files, when=when, version=__version__)

    @property
    def proved(self) -> Proved:
        """For a report or a page: sessions and proofs together."""
        from plumbrise.report.proof_section import Proved

        return Proved(self.before, self.afters, self.result)


def stage(
    name: str,
    machine: Machine,
    readings: Readings,
    *,
    explanation: Explanation | None = None,
    proposal: Proposal | None = None,
    prints: Sequence[PrintReading] = (),
) -> ProofStage:
    """One session of a story, for `prove`.

    Args:
        name: of the session, as it is to be called.
        machine: as it was at that time.
        readings: what was read.
        explanation: what `explain` made of it: adds where the loss went.
        proposal: what `redesign` would do next: adds whether going on is worth it.
        prints: what was measured on a part printed at that time.
    """
    from plumbrise.prove import Stage as ProofStage

    analysis = analyse(machine, readings).result
    return ProofStage(name, machine, readings, analysis, explanation, proposal, tuple(prints))


def prove(
    before: ProofStage,
    *afters: ProofStage,
    promised: Mapping[str, Mapping[str, Interval]] | None = None,
    target_mm: float | None = None,
) -> ProofAnswer:
    """What changed between sessions, figure by figure, and what may be said of each.

    Args:
        before: the session before the work, from `stage`.
        afters: one or more sessions after it; all are minded together.
        promised: predictions of a proposal by figure and station, as
            `files.proposal.read_proposal` reads them back (`promised`).
        target_mm: the most that an end may lose (`target_mm` there); None: the usual 0.05 mm.

    Raises:
        InputError: no session after.

    Example:
        >>> from plumbrise.demo import scenario
        >>> example = scenario()
        >>> same = stage("evening", example.machine, example.readings)
        >>> {str(one.verdict) for one in prove(same, same).result[0].figures} <= {
        ...     "no difference shown", "cannot tell"}
        True
    """
    from plumbrise.errors import InputError
    from plumbrise.prove import GOOD_MM, prove_all

    if not afters:
        raise InputError(
            place="afters",
            value=0,
            allowed="one session or more",
            remedy="Give a session that was read after the work.",
        )
    limit = GOOD_MM if target_mm is None else target_mm
    return ProofAnswer(before, afters, prove_all(before, afters, promised, target_mm=limit))
