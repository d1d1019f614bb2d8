"""A sitting keeps every act before it counts, and another one goes on from there."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS, blank
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.store import Shelf
from plumbrise.store.beginning import begin


def stairs(name, station):
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(4)
    )
    return Run(name=name, kind=COARSE_STEPS, station=STATIONS[station], readings=rows)


PLAN = (stairs("left", "gantry-left"), stairs("right", "gantry-right"))


def sitting(shelf, seconds=lambda: 1.5):
    return begin(shelf, blank("one-screw"), PLAN, since_s=seconds, label="evening")


@pytest.fixture
def shelf(tmp_path):
    with Shelf.open(tmp_path / "shelf.sqlite", now=lambda: datetime(2026, 5, 1, tzinfo=UTC)) as it:
        yield it


def values(readings):
    return [[r.reading_mm for r in run.readings] for run in readings.runs]


def test_what_is_kept_is_on_the_shelf_at_once(shelf):
    now = sitting(shelf)
    now.keep(0.0)
    now.keep(0.6)
    assert values(shelf.readings(now.machine_id)) == [[0.0, 0.6]]
    now.undo()
    assert values(shelf.readings(now.machine_id)) == [[0.0]]


def test_another_sitting_goes_on_where_the_first_was_cut_off(shelf):
    first = sitting(shelf)
    for value in (0.0, 0.6):
        first.keep(value)
    first.cannot_read()
    first.note("a lorry")
    again = sitting(shelf)
    assert (again.session.asks.run, again.session.asks.reading) == (0, 3)
    again.keep(2.6)
    assert again.session.asks.run == 1
    assert again.session.runs[0].readings[1].time_s == 1.5


def test_a_run_done_again_is_found_again(shelf):
    first = sitting(shelf)
    first.keep(0.0)
    first.repeat()
    first.keep(0.01)
    again = sitting(shelf)
    assert [run.name for run in again.session.runs] == ["left", "left again 1", "right"]
    assert (again.session.asks.run, again.session.asks.reading) == (1, 1)


def test_two_plans_with_the_same_names_are_kept_apart(shelf):
    first = sitting(shelf)
    first.keep(0.0)

    def another():
        return begin(shelf, blank("one-screw"), PLAN[:1], since_s=lambda: 2.0, label="later")

    other = another()
    assert other.session.asks.reading == 0
    other.keep(0.5)
    again = another()
    assert again.session.runs[0].readings[0].reading_mm == 0.5
    again.keep(1.1)
    assert sitting(shelf).session.asks.reading == 1


STEPS = st.lists(
    st.sampled_from(["keep", "cannot", "note", "skip", "repeat", "mend", "break", "undo"]),
    max_size=16,
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_whatever_is_done_shelf_and_session_hold_the_same_values(tmp_path_factory, steps):
    place = tmp_path_factory.mktemp("shelf") / "shelf.sqlite"
    with Shelf.open(place, now=lambda: datetime(2026, 5, 1, tzinfo=UTC)) as shelf:
        now = sitting(shelf)
        for number, step in enumerate(steps):
            refused, before = "", now.session
            try:
                {
                    "keep": lambda n=number: now.keep(n / 100),
                    "cannot": now.cannot_read,
                    "note": lambda: now.note("seen"),
                    "skip": now.skip,
                    "repeat": now.repeat,
                    "mend": lambda n=number: now.mend(0, 0, n / 50),
                    "break": lambda: now.interrupted("alarm"),
                    "undo": now.undo,
                }[step]()
            except InputError as problem:
                refused = problem.place
            assert refused in ("", "reading", "note", "mending")  # nothing there to do it to
            assert not refused or now.session == before
        stored = {
            run.name: {r.seq: r.reading_mm for r in run.readings if r.reading_mm is not None}
            for run in shelf.readings(now.machine_id).runs
        }
        held = {
            run.name: {r.seq: r.reading_mm for r in run.readings if r.reading_mm is not None}
            for run in now.session.readings.runs
        }
        assert {name: rows for name, rows in stored.items() if rows} == held


def test_what_is_sent_again_after_the_bench_was_started_anew_is_known(shelf):
    first = sitting(shelf)
    first.keep(0.0, token="one")
    again = sitting(shelf)
    held = again.sent("one")
    assert held is not None
    assert held.reading.reading_mm == 0.0
    assert again.sent("two") is None


def test_a_sent_reading_that_was_taken_back_stays_known(shelf):
    now = sitting(shelf)
    now.keep(0.0, token="one")
    now.undo()
    assert now.sent("one").taken_back_at is not None
    assert sitting(shelf).sent("one").taken_back_at is not None


def test_a_reading_that_waited_to_be_sent_keeps_the_time_at_which_it_was_read(shelf):
    now = sitting(shelf, seconds=lambda: 100.0)
    now.keep(0.0, ago_s=40.0)
    assert shelf.readings(now.machine_id).runs[0].readings[0].time_s == 60.0


def test_a_reading_may_come_after_a_later_one(shelf):
    now = sitting(shelf)
    now.keep(1.6, at=(0, 2))
    now.keep(0.0, at=(0, 0))
    assert (now.session.asks.run, now.session.asks.reading) == (0, 1)
    assert sitting(shelf).session.asks == now.session.asks
    with pytest.raises(InputError):
        now.keep(0.1, at=(0, 0))


def test_the_last_kept_is_what_undo_takes_off_the_shelf(shelf):
    now = sitting(shelf)
    assert now.last_kept() is None
    now.keep(0.0)
    last = now.last_kept()
    now.undo()
    taken = {one.id for one in shelf.kept(last.run_id, all_of_it=True) if one.taken_back_at}
    assert taken == {last.id}


def test_the_same_mark_is_written_once(shelf):
    now = sitting(shelf)
    now.keep(0.0)
    for _ in range(2):
        now.mark(0, "read twice", "reading 1: 0.02 mm")
    (run,) = shelf.runs(now.machine_id)
    assert [m.words for m in run.marks if m.what == "read twice"] == ["reading 1: 0.02 mm"]
