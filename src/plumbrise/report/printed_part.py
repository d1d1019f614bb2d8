"""A test part in words: what to print, where to measure, and what its measures said."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.explain.causes import CAUSES
from plumbrise.foresee.part import PartToPrint, Patch
from plumbrise.foresee.part_evidence import PartEvidence
from plumbrise.quantity import percent, plain
from plumbrise.report.foresee_words import span_mm
from plumbrise.report.names import counted, lowered

WORTH_SAYING = 0.02
PART = "A part to print as a gauge"
SAYS = "What the printed part says"
COARSE = (
    "These weigh the axes that the gauge readings left, and are not calibrated as those of the "
    "answer are. A printed part is a coarse gauge: read a dial gauge to be sure."
)


def part_text(part: PartToPrint) -> str:
    """The part, its steps with what they should measure, and the steps that tell the most."""
    return "\n".join(_part(part)) + "\n"


def _part(part: PartToPrint) -> Iterator[str]:
    yield PART
    yield from (f"  {words}" for words in part.words)
    yield ""
    yield "  place     layers  told mm  sound mm  expected mm"
    for patch in part.patches:
        yield (
            f"  {patch.place:<8}  {patch.layers:>6}  {patch.told_mm:>7.2f}  "
            f"{patch.sound_mm:>8.2f}  {span_mm(patch.expected_mm)}"
        )
    yield ""
    yield "These squares tell the causes apart best:"
    yield from (f"  {tells_words(patch)}" for patch in part.best)


def tells_words(patch: Patch) -> str:
    """How thick a square is under each cause that may be there."""
    ordered = sorted(patch.by_cause_mm.items(), key=lambda item: item[1])
    said = "; ".join(f"{lowered(CAUSES[c].title)} {plain(mm, 2)} mm" for c, mm in ordered)
    place = f"{patch.place[:1].upper()}{patch.place[1:]}"
    return f"{place}, {counted(patch.layers, 'layer')}: {said}."


def evidence_text(evidence: PartEvidence) -> str:
    """What the measured part changed in the probabilities of the causes, said as what it is."""
    lines = [SAYS, verdict_words(evidence), f"  {'cause':<44}  before      with the part"]
    lines += [f"  {cause:<44}  {was:<10}  {now}" for cause, was, now in evidence_rows(evidence)]
    return "\n".join([*lines, COARSE]) + "\n"


def verdict_words(evidence: PartEvidence) -> str:
    """Whether believed axes print like this, and how many."""
    if evidence.verdict == "odd":
        return (
            "No axis that is believed after the readings prints like this "
            f"(misfit {evidence.misfit:.1f} where 1 is usual). Look at the measuring, the level of "
            "the bed and the lifts first; the probabilities stay as they were."
        )
    left, of = f"{evidence.left:.0f}", evidence.count
    if evidence.verdict == "hint":
        return f"Only about {left} of {of} believed axes print like this, so take it as a hint."
    return f"The believed axes print like this: about {left} of {of} still count."


def evidence_rows(evidence: PartEvidence) -> tuple[tuple[str, str, str], ...]:
    """Each cause that is worth a word: its name, its probability before and with the part."""
    ordered = sorted(evidence.after, key=lambda cause: -evidence.after[cause])
    return tuple(
        (CAUSES[c].title, percent(evidence.before[c]), percent(evidence.after[c]))
        for c in ordered
        if max(evidence.before[c], evidence.after[c]) >= WORTH_SAYING
    )
