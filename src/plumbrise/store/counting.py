"""Which way a gauge counts: said once, held for the set-up, and written beside it on the shelf."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from plumbrise.measure.session import Session
from plumbrise.store.records import ShelvedRun
from plumbrise.store.resuming import own_name

if TYPE_CHECKING:
    from plumbrise.store.sitting import Sitting

WHAT = "counts"
"""The mark by which a set-up on the shelf tells it."""
COUNTS = {
    False: "Its figure is taken to rise when what the tip rests on rises.",
    True: "Its figure falls when what the tip rests on rises: what is kept is turned round.",
}
"""By whether it counts down."""
_WORDS = {False: "up", True: "down"}


def turn_round(sitting: Sitting, number: int, *, down: bool) -> int:
    """Take the gauge of a set-up to count down from now on, or up again; what was read with it is
    mended, on disk as one. How many readings that were."""
    run = sitting.session.runs[number]
    if (run.name in sitting.session.counts_down) == down:
        return 0
    read = {i: r.reading_mm for i, r in enumerate(run.readings) if r.reading_mm}
    with sitting.together():
        for reading, value_mm in read.items():
            sitting.mend(number, reading, -value_mm)
        sitting.session = sitting.session.counting(number, down=down)
        written_down(sitting, number)
    return len(read)


def written_down(sitting: Sitting, number: int) -> None:
    """Mark beside a set-up which way its gauge counts, unless that stands there; nothing is marked
    before its first reading, or where it counts up all along."""
    run = sitting.session.runs[number]
    down = run.name in sitting.session.counts_down
    shelved = sitting.shelf.runs(sitting.machine_id)
    of_it = [run for run in shelved if run.plan_id == sitting.plan_id]
    if _said(sitting.session, of_it).get(run.name, False) != down:
        sitting.mark(number, WHAT, f"{_WORDS[down]}, from {sitting.since_s():.1f} s on")


def as_written(session: Session, shelved: Iterable[ShelvedRun]) -> Session:
    """The session with each set-up's gauge counting as it was said to, here or elsewhere; `shelved`
    are the runs of its plan."""
    said = _said(session, shelved)
    for number, run in enumerate(session.runs):
        if run.name in said:
            session = session.counting(number, down=said[run.name])
    return session


def _said(session: Session, shelved: Iterable[ShelvedRun]) -> dict[str, bool]:
    """Set-up -> whether its gauge counts down, as last marked."""
    names = [run.name for run in session.runs]
    said: dict[str, bool] = {}
    for run in shelved:
        marks = [mark.words for mark in run.marks if mark.what == WHAT]
        if marks:
            said[own_name(run.name, names)] = marks[-1].startswith(_WORDS[True])
    return said
