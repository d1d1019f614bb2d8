"""What a person did at the gauge, one act after another, and what that makes of the set-ups."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from plumbrise.readings import Reading, Run


class Did(Enum):
    """What a person did."""

    KEPT = "kept"
    CANNOT_READ = "cannot read"
    SKIPPED = "skipped the rest"
    REPEATED = "repeated the run"
    NOTED = "noted"
    MENDED = "mended"
    INTERRUPTED = "interrupted"


ANSWERS = (Did.KEPT, Did.CANNOT_READ)
"""What answers a reading that is asked for."""
AGAIN = (Did.REPEATED, Did.INTERRUPTED)
"""What asks for the same run once more, under a name of its own right after it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing done: at which run of the session (in order, as they stood then) and which reading
    of it.

    `time_s` is the time since the session began, `value_mm` what was kept or mended, `words` a
    note.
    """

    did: Did
    run: int
    reading: int
    value_mm: float | None = None
    time_s: float | None = None
    temp_c: float | None = None
    words: str = ""


def played(planned: Sequence[Run], acts: Iterable[Act]) -> tuple[Run, ...]:
    """The runs after these acts, in the order of the acts."""
    runs = list(planned)
    for act in acts:
        if act.did in AGAIN:
            runs.insert(act.run + 1, _again(runs, act.run))
        rows = list(runs[act.run].readings)
        rows[act.reading] = _changed(rows[act.reading], act)
        runs[act.run] = replace(runs[act.run], readings=tuple(rows))
    return tuple(runs)


def _changed(row: Reading, act: Act) -> Reading:
    """What an act makes of the reading that it was done at."""
    if act.did is Did.KEPT:
        return replace(row, reading_mm=act.value_mm, time_s=act.time_s, temp_c=act.temp_c)
    if act.did is Did.MENDED:
        return replace(row, reading_mm=act.value_mm)
    if act.did is Did.CANNOT_READ:
        return replace(row, time_s=act.time_s)
    if act.did in (Did.NOTED, Did.INTERRUPTED) and act.words:
        return replace(row, note=f"{row.note}; {act.words}" if row.note else act.words)
    return row


def _again(runs: Sequence[Run], number: int) -> Run:
    """The same set-up with nothing read, under a name of its own."""
    run = runs[number]
    stem = run.name.rsplit(" again", maxsplit=1)[0]
    taken = {r.name for r in runs}
    name = next(n for i in range(1, 1000) if (n := f"{stem} again {i}") not in taken)
    blank = tuple(
        replace(r, reading_mm=None, time_s=None, temp_c=None, note="") for r in run.readings
    )
    return replace(run, name=name, readings=blank)
