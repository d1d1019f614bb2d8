"""The calculators worked for a proposed set of changes, and what one lacks that could not be."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import Sheet
from plumbrise.redesign import Proposal
from plumbrise.redesign.results import WorkedFor
from plumbrise.web import redesign_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.worked_said import SheetSaid, sheet_said


@dataclass(frozen=True, slots=True)
class SumFor:
    """A calculator worked for the set; without a sheet, `missing` says what it would need."""

    kind: str
    title: str
    sheet: SheetSaid | None
    missing: str


def sums_of(bench: Bench, story: Story, found: Proposal) -> tuple[SumFor, ...]:
    """The sums behind the set that is proposed."""
    chosen = found.chosen
    if chosen is None:
        return ()
    changes = chosen.line.changes
    return tuple(
        SumFor(
            one.kind,
            calculator(one.kind).title,
            _sheet(bench, story, changes, one.sheet),
            _missing(one),
        )
        for one in chosen.sums
    )


def _sheet(
    bench: Bench, story: Story, changes: tuple[str, ...], sheet: Sheet | None
) -> SheetSaid | None:
    """The sheet in words, kept: how far each figure may be off is worked many times over."""
    if sheet is None:
        return None
    key = ("sum", story.fingerprint, changes, sheet.calculator.kind)
    found: SheetSaid = bench.remembered(key, lambda: sheet_said(sheet))
    return found


def _missing(one: WorkedFor) -> str:
    """What the sum needs, or what to do about what was given: that stands behind its place."""
    parts = (one_of.partition(": ") for one_of in one.missing)
    said = [remedy or needed for needed, _, remedy in parts]
    needs = "" if said and said[0][:1].isupper() else f"{words.SUM_NEEDS} "
    return needs + "; ".join(said)
