"""A test part in words: what to print, where to measure, and what its measures said."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.explain.causes import CAUSES
from plumbrise.foresee.part import PartToPrint
from plumbrise.foresee.part_evidence import PartEvidence
from plumbrise.quantity import percent
from plumbrise.report.foresee import span_mm

WORTH_SAYING = 0.02


def part_text(part: PartToPrint) -> str:
    """The part, its steps with what they should measure, and the steps that tell the most."""
    return "\n".join(_part(part)) + "\n"


def _part(part: PartToPrint) -> Iterator[str]:
    yield "A part to print as a gauge"
    yield from (f"  {words}" for words in part.words)
    yield ""
    yield "  place     layers  told mm  sound mm  expected mm"
    for patch in part.patches:
        yield (
            f"  {patch.place:<8}  {patch.layers:>6}  {patch.told_mm:>7.2f}  "
            f"{patch.sound_mm:>8.2f}  {span_mm(patch.expected_mm)}"
        )
    yield ""
    yield "These steps tell the causes apart best:"
    for patch in part.best:
        said = "; ".join(
            f"{CAUSES[cause].title.lower()} {thick:.2f} mm"
            for cause, thick in sorted(patch.by_cause_mm.items(), key=lambda item: item[1])
        )
        yield f"  {patch.place}, {patch.layers} layers ({patch.place_mm:g} mm from left): {said}"


def evidence_text(evidence: PartEvidence) -> str:
    """What the measured part changed in the probabilities of the causes, said as what it is."""
    return "\n".join(_evidence(evidence)) + "\n"


def _evidence(evidence: PartEvidence) -> Iterator[str]:
    yield "What the printed part says"
    yield {
        "odd": (
            "No axis that is believed after the readings prints like this "
            f"(misfit {evidence.misfit:.1f} where 1 is usual). Look at the measuring, the level of "
            "the bed and the lifts first; the probabilities stay as they were."
        ),
        "hint": (
            f"Only about {evidence.left:.0f} of {evidence.count} believed axes print like this, "
            "so take what follows as a hint."
        ),
        "fits": (
            f"The believed axes print like this (about {evidence.left:.0f} of {evidence.count} "
            "still count)."
        ),
    }[evidence.verdict]
    yield "  cause                       before   with the part"
    shown = sorted(evidence.after, key=lambda cause: -evidence.after[cause])
    for cause in shown:
        before, after = evidence.before[cause], evidence.after[cause]
        if max(before, after) >= WORTH_SAYING:
            yield f"  {CAUSES[cause].title:<26}  {percent(before):<9}  {percent(after)}"
    yield (
        "These weigh the axes that the gauge readings left; they are not calibrated as those of "
        "explain are. A printed part is a coarse gauge: read a dial gauge to be sure."
    )
