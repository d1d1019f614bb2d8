"""What to change, whether its wiring may be powered, and the work in order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from plumbrise.api.explaining import Answer
from plumbrise.api.showing import StrPath, text_block

if TYPE_CHECKING:
    from plumbrise.build import Progress, WorkOrder
    from plumbrise.machine import Machine
    from plumbrise.redesign import Proposal, Workshop
    from plumbrise.wiring import Harness, WiringVerdict


@dataclass(frozen=True, slots=True)
class ProposalAnswer:
    """What to change; `result` is the Proposal."""

    machine: Machine
    result: Proposal

    def __str__(self) -> str:
        from plumbrise.report.redesign import proposal_text

        return proposal_text(self.machine, self.result)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise redesign --json` gives."""
        from plumbrise.files.proposal import proposal_dict

        return proposal_dict(self.result)


def redesign(
    answer: Answer,
    *,
    at_most_mm: Mapping[str, float] | None = None,
    stays_up: bool = False,
    probability: float | None = None,
    budget: float | None = None,
    workshop: Workshop | None = None,
    take: Sequence[str] | None = None,
    seed: int = 0,
) -> ProposalAnswer:
    """Which changes reach the targets for the least money.

    Args:
        answer: what `explain` gave.
        at_most_mm: targets by figure: "lost-motion", "sides", "bands", "home-range", "height",
            "push"; without any, lost motion and sides at most 0.05 mm.
        stays_up: the moving part must stay up with the motors off.
        probability: how sure all targets must be met; 0.7 if left out.
        budget: most money.
        workshop: prices, parts and tools of your own.
        take: ids of the changes that you take instead of the cheapest set.
        seed: the same seed gives the same proposal.

    Raises:
        InputError: the readings tell too little, or there is no such figure.
    """
    import numpy as np

    from plumbrise.redesign import redesign as redesigned
    from plumbrise.redesign import targets_of
    from plumbrise.redesign.redesigning import PROBABILITY

    result = redesigned(
        answer.machine,
        answer.result,
        targets_of(at_most_mm, stays_up=stays_up),
        rng=np.random.default_rng(seed),
        probability=PROBABILITY if probability is None else probability,
        budget=budget,
        workshop=workshop,
        taken=take,
    )
    return ProposalAnswer(answer.machine, result)


@dataclass(frozen=True, slots=True)
class WiringAnswer:
    """Whether a harness may be powered; `result` is the verdict with its findings."""

    harness: Harness
    result: WiringVerdict

    @property
    def svg(self) -> str:
        """The harness drawing."""
        from plumbrise.drawing.harness import harness_drawing

        return harness_drawing(self.harness, self.result, theme="light")

    def __str__(self) -> str:
        from plumbrise.report.wiring import wiring_text

        return wiring_text(self.harness, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise wiring --json` gives."""
        from plumbrise.files.wiring import wiring_dict

        return wiring_dict(self.result)


def wiring(path: StrPath) -> WiringAnswer:
    """Whether the motor harness that a TOML file describes may be powered.

    Raises:
        InputErrors: all that is wrong with the file.
        OSError: it cannot be read.
    """
    from plumbrise.files.decoding import text_of
    from plumbrise.files.harness_file import read_harness
    from plumbrise.wiring import judge

    path = Path(path)
    harness = read_harness(text_of(path.read_bytes(), name=path.name).text, name=path.name)
    return WiringAnswer(harness, judge(harness))


@dataclass(frozen=True, slots=True)
class WorkAnswer:
    """Changes as ordered work, and what is done of it; `result` is the WorkOrder."""

    result: WorkOrder
    progress: Progress

    def enter(self, step: str, said: str, *, when: str) -> WorkAnswer:
        """The same with a step's value entered; outside its limit it is kept and the step stays
        open.

        Args:
            step: its id.
            said: the value, or a word or two where nothing is measured.
            when: date and time as they shall be kept.

        Raises:
            InputError: no such step, no value, or its turn has not come.
        """
        from plumbrise.build import entered

        progress = entered(self.result, self.progress, step, said, when=when)
        return replace(self, progress=replace(progress, changes=self.result.changes))

    def __str__(self) -> str:
        from plumbrise.report.work_order import work_order_text

        return work_order_text(self.result, self.progress)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise build --json` gives and `--progress` keeps."""
        from plumbrise.files.work_order import work_order_dict

        return work_order_dict(self.result, self.progress)

    def sheet(self, *, when: str, paper: Literal["a4", "letter"] | None = None) -> str | bytes:
        """The work order with blanks for the values, as HTML; as PDF where a paper is named.

        Args:
            when: the date to print in it.
            paper: for a PDF.
        """
        from plumbrise import __version__
        from plumbrise.report.work_order_sheet import work_order_html, work_order_pdf

        told = (self.result, self.progress)
        if paper is None:
            return work_order_html(*told, when=when, version=__version__)
        return work_order_pdf(*told, when=when, version=__version__, paper=paper)


def build(
    machine: Machine,
    changes: ProposalAnswer | Iterable[str],
    *,
    kept: Mapping[str, Any] | None = None,
) -> WorkAnswer:
    """Chosen changes as ordered work: what accepts each step, wiring first, then power.

    Args:
        machine: the axis as it is, before the changes.
        changes: what `redesign` gave, or ids of changes.
        kept: what `to_dict` gave of this work, to go on from.

    Raises:
        InputError: nothing chosen, an unknown change, or a set that cannot be made together.

    Example:
        >>> from plumbrise.machine import blank
        >>> work = build(blank("one-screw"), ["clean-screw"])
        >>> work.enter("read-before", "in before.csv", when="2026-01-05").to_dict()["next"]
        ['write-down', 'photograph']
    """
    from plumbrise.build import Progress, build_steps
    from plumbrise.errors import InputError
    from plumbrise.files.work_order import progress_in

    if isinstance(changes, ProposalAnswer):
        chosen = changes.result.chosen
        if chosen is None:
            raise InputError(
                place="changes",
                value="nothing chosen",
                allowed="a proposal that chose a set",
                remedy="Ask for other targets, or a larger budget.",
            )
        changes = chosen.line.changes
    order = build_steps(machine, changes)
    progress = Progress(changes=order.changes) if kept is None else progress_in(kept)
    return WorkAnswer(order, progress)
