"""The title block: the answers so far, which is also how to get about."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.explain.results import CauseFinding
from plumbrise.quantity import percent
from plumbrise.report.headline import named_causes
from plumbrise.report.names import cause_title, counted, listed, lowered
from plumbrise.web import build_words, foresee_words, prove_words, redesign_words, words
from plumbrise.web.bench import Story


@dataclass(frozen=True, slots=True)
class Cell:
    """One answer: its stage, the answer so far, where it leads; `waits` marks one not there yet."""

    id: str
    title: str
    answer: str
    address: str
    waits: bool = False


def title_block(
    story: Story, *, foreseen: str = "", redesigned: str = "", built: str = "", proved: str = ""
) -> tuple[Cell, ...]:
    """The cells of a machine's sheet, in the order of the work.

    Args:
        story: the machine.
        foreseen: what the last print that was foreseen on it came to.
        redesigned: what its last redesign came to.
        built: how far its work order is, and what its wiring sheet says.
        proved: what was last proved of it.
    """
    base = f"/m/{story.id}"
    return (
        Cell("machine", words.MACHINE, _machine(story), f"{base}/machine"),
        Cell("measure", words.MEASURE, words.PLAN_ANSWER, f"{base}/plan"),
        Cell(
            "readings", words.READINGS, _read(story), f"{base}/readings", not story.readings.count
        ),
        Cell("answer", words.EXPLAIN, _answer(story), base, story.explanation is None),
        Cell(
            "foresee",
            foresee_words.FORESEE,
            foreseen or (foresee_words.NOT_LOOKED if story.explanation else words.NEEDS_READINGS),
            f"{base}/foresee",
            not foreseen,
        ),
        Cell(
            "redesign",
            redesign_words.REDESIGN,
            redesigned or (redesign_words.NOT_ASKED if story.explanation else words.NEEDS_READINGS),
            f"{base}/redesign",
            not redesigned,
        ),
        Cell(
            "build", build_words.BUILD, built or build_words.NOT_BEGUN, f"{base}/build", not built
        ),
        Cell(
            "prove",
            prove_words.PROVE,
            proved or prove_words.NOT_COMPARED,
            f"{base}/prove",
            not proved,
        ),
    )


def _machine(story: Story) -> str:
    lead = story.machine.screw.common.lead_mm
    kind = story.machine.arrangement.title.lower()
    return f"{kind}, {words.LEAD} {lead:g} mm" if lead else f"{kind}, {words.NO_LEAD}"


def _read(story: Story) -> str:
    if not story.readings.count:
        return words.NONE_YET
    places = len({run.station.id for run in story.readings.runs})
    return f"{counted(story.readings.count, 'reading')}, {counted(places, 'place')}"


def _answer(story: Story) -> str:
    if story.explanation is None:
        return words.WORKING if story.job and not story.job.ended else words.NEEDS_READINGS
    named = named_causes(story.explanation)
    if not named:
        return words.CANNOT_TELL
    first = named[0]
    if isinstance(first, CauseFinding):
        return f"{lowered(cause_title(first.cause))}, {percent(first.probability)}"
    if len(first.causes) > 2:
        return f"{len(first.causes)} {words.PLACES_OPEN}"
    return f"{listed([lowered(cause_title(c)) for c in first.causes], 'or')}"
