"""A sitting that was cut off anywhere goes on as if it had not been."""

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import example, given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS, blank
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.store import Shelf
from plumbrise.store.beginning import begin


def stairs(name, station, note=""):
    rows = tuple(
        Reading(
            seq=i,
            target_mm=float(i),
            reading_mm=None,
            approach="up" if i else "down",
            note=note if i == 1 else "",
        )
        for i in range(3)
    )
    return Run(name=name, kind=COARSE_STEPS, station=STATIONS[station], readings=rows)


PLAN = (stairs("left", "gantry-left", note="hands off"), stairs("right", "gantry-right"))


def sitting(shelf):
    return begin(shelf, blank("one-screw"), PLAN, since_s=lambda: 1.5, label="evening")


def held(session):
    """What a person would see: what is asked, and every value and note that stands."""
    return (
        session.asks and (session.asks.run, session.asks.reading),
        session.left,
        {
            run.name: [(r.seq, r.reading_mm, r.time_s, r.note) for r in run.readings]
            for run in session.runs
        },
    )


def on_disk(shelf, machine_id):
    return {
        run.name: {r.seq: r.reading_mm for r in run.readings if r.reading_mm is not None}
        for run in shelf.readings(machine_id).runs
        if run.taken
    }


def in_session(session):
    return {
        run.name: {r.seq: r.reading_mm for r in run.readings if r.reading_mm is not None}
        for run in session.readings.runs
    }


def done(now, step, number):
    """One act, if it can be done now."""
    acts = {
        "keep": lambda: now.keep(number / 128),
        "cannot": now.cannot_read,
        "note": lambda: now.note(f"seen {number}"),
        "skip": now.skip,
        "repeat": now.repeat,
        "mend": lambda: now.mend(0, 0, number / 64),
        "break": lambda: now.interrupted("alarm"),
        "undo": now.undo,
        "close": now.end_run_if_done,
    }
    refused, before = "", now.session
    try:
        acts[step]()
    except InputError as problem:
        refused = problem.place
    assert refused in ("", "reading", "note", "mending")  # nothing there to do it to
    assert not refused or now.session == before


STEPS = st.lists(
    st.sampled_from(
        [
            "keep",
            "keep",
            "cannot",
            "note",
            "skip",
            "repeat",
            "mend",
            "break",
            "undo",
            "undo",
            "close",
            "again",
            "again",
        ]
    ),
    max_size=18,
)


@given(STEPS)
@example(["keep", "keep", "mend", "again", "undo", "undo"])
@example(["keep", "skip", "mend", "undo", "again"])
@example(["keep", "break", "again", "keep"])
@example(["keep", "repeat", "undo", "again", "keep"])
@example(["keep", "keep", "keep", "keep", "close", "again", "undo", "undo", "keep"])
@example(["keep", "note", "mend", "note", "again", "undo", "undo", "undo", "undo"])
@example(["keep", "repeat", "keep", "undo", "undo", "close", "again", "repeat", "keep"])
def test_a_sitting_cut_off_anywhere_goes_on_where_it_was(steps):
    with (
        TemporaryDirectory() as folder,
        Shelf.open(Path(folder) / "a", now=lambda: datetime(2026, 5, 1, tzinfo=UTC)) as shelf,
    ):
        now = sitting(shelf)
        for number, step in enumerate(steps):
            if step == "again":
                before = held(now.session)
                now = sitting(shelf)
                assert held(now.session) == before
            else:
                done(now, step, number)
            assert on_disk(shelf, now.machine_id) == in_session(now.session)
        now = sitting(shelf)
        while now.session.asks is not None:  # whatever is asked for can be kept
            now.keep(1.0)
        assert now.session.left == 0


def test_a_reading_that_could_not_be_had_is_an_empty_cell_in_the_table():
    with (
        TemporaryDirectory() as folder,
        Shelf.open(Path(folder) / "a", now=lambda: datetime(2026, 5, 1, tzinfo=UTC)) as shelf,
    ):
        now = sitting(shelf)
        now.keep(0.0)
        now.cannot_read()
        now.keep(1.8)
        run = shelf.readings(now.machine_id).runs[0]
        assert [r.reading_mm for r in run.readings] == [0.0, None, 1.8]
