"""Two programs at one plan: what both did stands, once, and each sees it before it does more."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
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
from plumbrise.store.sitters import Overtaken

ROWS = 40


def stairs(name, station, count=4):
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(count)
    )
    return Run(name=name, kind=COARSE_STEPS, station=STATIONS[station], readings=rows)


PLAN = (stairs("left", "gantry-left"), stairs("right", "gantry-right"))


def now():
    return datetime(2026, 5, 1, tzinfo=UTC)


@pytest.fixture
def both(tmp_path):
    """Two sittings of one plan, each over a connection of its own."""
    with (
        Shelf.open(tmp_path / "shelf.sqlite", now=now) as here,
        Shelf.open(tmp_path / "shelf.sqlite", now=now) as there,
    ):
        yield (
            begin(here, blank("one-screw"), PLAN, since_s=lambda: 1.0, label="here"),
            begin(there, blank("one-screw"), PLAN, since_s=lambda: 2.0, label="there"),
        )


def on_disk(sitting):
    runs = sitting.shelf.readings(sitting.machine_id).runs
    return {run.name: [r.reading_mm for r in run.readings] for run in runs}


def test_two_that_begin_a_plan_at_once_sit_at_the_same(both):
    one, other = both
    assert (one.machine_id, one.plan_id) == (other.machine_id, other.plan_id)
    assert len(one.shelf.plans(one.machine_id)) == 1


@pytest.mark.parametrize(
    "act",
    [
        lambda s: s.keep(9.0),
        lambda s: s.cannot_read(),
        lambda s: s.undo(),
        lambda s: s.note("seen"),
        lambda s: s.mend(0, 0, 9.0),
        lambda s: s.skip(),
        lambda s: s.repeat(),
        lambda s: s.interrupted("alarm"),
    ],
    ids=["keep", "cannot read", "undo", "note", "mend", "skip", "repeat", "break"],
)
def test_whoever_was_overtaken_does_nothing_and_sees_what_stands(both, act):
    one, other = both
    one.keep(0.0)
    assert other.catch_up()
    one.keep(0.62)
    with pytest.raises(Overtaken, match="Nothing was done here"):
        act(other)
    assert other.session == one.session
    assert on_disk(one) == {"left": [0.0, 0.62]}
    assert not one.catch_up()


def test_once_it_has_seen_the_other_goes_on_after_it(both):
    one, other = both
    one.keep(0.0)
    assert other.catch_up()
    other.keep(0.62)
    assert one.catch_up()
    one.keep(1.61)
    assert on_disk(one) == {"left": [0.0, 0.62, 1.61]}


def test_a_note_a_mend_and_what_takes_them_back_are_seen_too(both):
    one, other = both
    one.keep(0.0)
    for act in (lambda: one.note("a lorry"), lambda: one.mend(0, 0, 0.1), one.undo, one.undo):
        other.catch_up()
        act()
        assert other.catch_up()
        assert other.session.runs == one.session.runs


def test_an_act_that_fails_on_disk_leaves_session_and_shelf_as_they_were(both, monkeypatch):
    one, _ = both
    one.keep(0.0)
    before = one.session
    with monkeypatch.context() as broken:
        broken.setattr(type(one.shelf), "take_back", _full)
        with pytest.raises(InputError, match="full"):
            one.undo()
    assert one.session == before
    one.keep(0.62)
    assert on_disk(one) == {"left": [0.0, 0.62]}


def _full(*_args, **_more):
    raise InputError(place="shelf", value="full", allowed="room", remedy="Make room.")


def test_a_machine_described_otherwise_meanwhile_is_seen(both):
    one, other = both
    one.shelf.describe(
        one.machine_id, 'arrangement = "one-screw"\ngauge = { resolution_mm = 0.001 }'
    )
    assert other.catch_up()
    assert other.session.resolution_mm == 0.001


STEPS = st.lists(
    st.tuples(
        st.booleans(),
        st.sampled_from(["keep", "cannot", "note", "skip", "repeat", "mend", "undo", "look"]),
    ),
    max_size=16,
)


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_whatever_two_do_the_shelf_holds_what_each_was_told_was_kept(tmp_path_factory, steps):
    place = tmp_path_factory.mktemp("two") / "shelf.sqlite"
    with Shelf.open(place, now=now) as here, Shelf.open(place, now=now) as there:
        sittings = [
            begin(shelf, blank("one-screw"), PLAN, since_s=lambda: 1.0, label="x")
            for shelf in (here, there)
        ]
        for number, (first, step) in enumerate(steps):
            sitting = sittings[first]
            told = ""
            try:
                {
                    "keep": lambda s=sitting, n=number: s.keep(n / 128),
                    "cannot": sitting.cannot_read,
                    "note": lambda s=sitting: s.note("seen"),
                    "skip": sitting.skip,
                    "repeat": sitting.repeat,
                    "mend": lambda s=sitting, n=number: s.mend(0, 0, n / 64),
                    "undo": sitting.undo,
                    "look": sitting.catch_up,
                }[step]()
            except InputError as problem:
                told = problem.place
            assert told in ("", "this plan", "reading", "note", "mending")
            if not sitting.catch_up():  # neither behind the shelf nor ahead of it
                assert read(sitting.shelf.readings(sitting.machine_id)) == read(
                    sitting.session.readings
                )


def read(readings):
    """The values that stand, by set-up and number."""
    return {
        (run.name, r.seq): r.reading_mm
        for run in readings.runs
        for r in run.readings
        if r.reading_mm is not None
    }


CHILD = """
import sys
from datetime import UTC, datetime
from plumbrise.machine import STATIONS, blank
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.store import Shelf
from plumbrise.store.beginning import begin
from plumbrise.store.sitters import Overtaken
rows = tuple(Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up") for i in range(40))
plan = (Run(name="left", kind=COARSE_STEPS, station=STATIONS["gantry-left"], readings=rows),)
with Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC)) as shelf:
    sitting = begin(shelf, blank("one-screw"), plan, since_s=lambda: 1.0, label=sys.argv[2])
    while sitting.session.asks is not None:
        value = int(sys.argv[2]) + sitting.session.asks.reading
        try:
            sitting.keep(value)
            print(value, flush=True)
        except Overtaken:
            pass
"""


def test_two_processes_that_fill_one_plan_keep_every_reading_once(tmp_path):
    """Each acknowledged value stands, and no target has two."""
    place = tmp_path / "shelf.sqlite"
    said = [
        subprocess.Popen(
            [sys.executable, "-c", CHILD, str(place), own], stdout=subprocess.PIPE, text=True
        )
        for own in ("100", "200")
    ]
    kept = [[float(line) for line in one.communicate(timeout=120)[0].split()] for one in said]
    assert [one.returncode for one in said] == [0, 0]
    with Shelf.open(place, now=now) as shelf:
        (machine,) = shelf.machines()
        (run,) = shelf.readings(machine.id).runs
        assert len(shelf.plans(machine.id)) == 1
    stands = [reading.reading_mm for reading in run.readings]
    assert Counter(stands) == Counter(kept[0] + kept[1])
    assert [value % 100 for value in stands] == list(range(ROWS))
