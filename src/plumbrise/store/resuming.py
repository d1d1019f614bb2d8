"""A capture session as what is kept of it left it, so that it goes on where it stopped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from plumbrise.measure.acts import Act, Did
from plumbrise.measure.session import Session
from plumbrise.readings import Reading, Run
from plumbrise.store.records import Kept, ShelvedRun
from plumbrise.store.series import is_blank

ENDS = {did.value: did for did in (Did.SKIPPED, Did.REPEATED, Did.INTERRUPTED)}
"""Words with which a run was left -> what was done."""


def resumed(session: Session, kept: Sequence[tuple[ShelvedRun, Sequence[Kept]]]) -> Session:
    """The session after all that stands: readings in the order kept, mended ones with what they
    mended, notes, and runs that were left, broken off or done again.

    Args:
        session: the plan, nothing done.
        kept: every run begun, in that order, with all that was kept in it.
    """
    for shelved, rows in kept:
        names = [run.name for run in session.runs]
        name = own_name(shelved.name, names)
        if name not in names or not _same_set_up(shelved, session.runs[names.index(name)]):
            name = shelved.name.rpartition(" ")[0]  # numbered, since another run had the name
        if name not in names or not _same_set_up(shelved, session.runs[names.index(name)]):
            continue  # done again, and that taken back
        number = names.index(name)
        for act in _acts(rows, number, session.runs[number].readings):
            session = replace(session, acts=(*session.acts, act))
        did, _, why = _last_words(shelved).partition(": ")
        if did in ENDS:
            asks = session.asks
            reading = asks.reading if asks is not None and asks.run == number else 0
            act = Act(did=ENDS[did], run=number, reading=reading, words=why)
            session = replace(session, acts=(*session.acts, act))
    return session


def _same_set_up(shelved: ShelvedRun, run: Run) -> bool:
    return (shelved.kind, shelved.station, shelved.axis) == (run.kind, run.station, run.axis)


def left_with(act: Act) -> str:
    """The words with which a run is ended, from which `resumed` knows what was done."""
    return f"{act.did.value}: {act.words}" if act.words else act.did.value


def own_name(name: str, names: Sequence[str]) -> str:
    """The name in the plan of a run that the shelf numbered, because another plan's run on this
    machine had the name already."""
    if name in names:
        return name
    stem, _, number = name.rpartition(" ")
    return stem if number.isdigit() and stem in names else name


def _last_words(shelved: ShelvedRun) -> str:
    if shelved.ended_at is None:
        return ""
    return next((m.words for m in reversed(shelved.marks) if m.what == "ended"), "")


def _acts(rows: Sequence[Kept], run: int, planned: Sequence[Reading]) -> Iterator[Act]:
    """What was done in a run, as far as it stands. The order is that of keeping, so that taking
    back goes the same way here and on the shelf."""
    by_seq = {reading.seq: i for i, reading in enumerate(planned)}
    noted = {reading.seq: reading.note for reading in planned}
    for one, mended in _standing(rows):
        row = one.reading
        if row.seq not in by_seq:
            continue
        act = Act(
            did=_did(one, mended),
            run=run,
            reading=by_seq[row.seq],
            value_mm=row.reading_mm,
            time_s=row.time_s,
            temp_c=row.temp_c,
        )
        yield act
        before = noted[row.seq]
        if row.note != before:
            noted[row.seq] = row.note
            words = row.note.removeprefix(f"{before}; ") if before else row.note
            yield Act(did=Did.NOTED, run=run, reading=act.reading, words=words)


def _did(one: Kept, mended: bool) -> Did:
    if mended:
        return Did.MENDED
    return Did.CANNOT_READ if one.reading.reading_mm is None else Did.KEPT


def _standing(rows: Sequence[Kept]) -> Iterator[tuple[Kept, bool]]:
    """What stands and what it was put in the place of, each with whether it mends another; a row
    that came without a reading is nothing that was done."""
    by_id = {one.id: one for one in rows}
    found = {one.id: one for one in rows if one.taken_back_at is None}
    for one in list(found.values()):
        while one.instead_of is not None:
            one = by_id[one.instead_of]
            found[one.id] = one
    blank = {one.id for one in rows if is_blank(one)}
    for at in sorted(found.keys() - blank):
        yield found[at], found[at].instead_of not in blank | {None}
