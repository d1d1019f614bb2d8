"""Two gauges at once: what is read together, and that both are taken back together."""

from __future__ import annotations

import pytest

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS, blank
from plumbrise.measure.at_hand import AtHand
from plumbrise.measure.pairs import last_done, pairs_of, read_at, with_second
from plumbrise.measure.session import Session
from plumbrise.measure.setups import candidates
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS, DEAD_WEIGHT


def run(station="gantry-left", kind=COARSE_STEPS, count=3):
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(count)
    )
    return Run(name=f"{kind.id} at {station}", kind=kind, station=STATIONS[station], readings=rows)


def test_the_same_moves_at_two_stations_are_read_together():
    runs = (run(), run(kind=DEAD_WEIGHT), run("gantry-right"), run("nut"))
    assert pairs_of(Session(runs)) == {0: 2, 2: 0}


def test_other_moves_or_the_same_place_are_not():
    assert pairs_of(Session((run(), run("gantry-right", count=4)))) == {}
    assert pairs_of(Session((run(), run()))) == {}
    weights = (run(kind=DEAD_WEIGHT), run("gantry-right", DEAD_WEIGHT))
    assert pairs_of(Session(weights)) == {}


def test_both_done_again_are_a_pair_again():
    begun = Session((run(), run("gantry-right"))).keep_value(0.0).keep_value(0.0, at=(1, 0))
    again = begun.interrupted("alarm").interrupted("alarm", run=2)
    assert [one.name for one in again.runs] == [
        "coarse-steps at gantry-left",
        "coarse-steps at gantry-left again 1",
        "coarse-steps at gantry-right",
        "coarse-steps at gantry-right again 1",
    ]
    assert pairs_of(again) == {1: 3, 3: 1}


def test_a_set_up_that_was_left_has_no_partner():
    assert pairs_of(Session((run(), run("gantry-right"))).skip()) == {}


def test_a_second_gauge_reads_whatever_moves_beside_the_first():
    runs = (run(), run(kind=DEAD_WEIGHT), run("gantry-right"), run("nut"))
    made = with_second(runs, STATIONS["screw"])
    assert [one.station.id for one in made] == [
        "gantry-left",
        "gantry-left",
        "gantry-right",
        "nut",
        "screw",
    ]
    assert pairs_of(Session(made)) == {0: 2, 2: 0, 3: 4, 4: 3}
    assert len({one.name for one in made}) == len(made)


def test_a_second_gauge_with_nothing_to_read_is_told():
    with pytest.raises(InputError, match="gantry-left"):
        with_second((run(),), STATIONS["gantry-left"])


def test_every_two_set_ups_that_a_plan_counts_as_a_pair_can_be_read_together():
    """The plan counts set-ups of one kind as read together; so must a sitting."""
    found = candidates(blank("two-screw"))
    session = Session(tuple(one.run for one in found))
    pairs = pairs_of(session)
    for kind in {one.kind for one in found if one.kind.moves}:
        same = [number for number, one in enumerate(found) if one.kind is kind]
        paired = [number for number in same if number in pairs]
        assert len(paired) == len(same) // 2 * 2


TWO = AtHand(at_once=2)


def kept_together(session, count):
    for reading in range(count):
        session = session.keep_value(float(reading), time_s=10.0 * reading + 1.0)
        session = session.keep_value(float(reading), time_s=10.0 * reading + 1.0, at=(1, reading))
    return session


def test_both_readings_of_a_target_are_the_last_thing_done():
    done = kept_together(Session((run(), run("gantry-right")), at_hand=TWO), 3)
    assert last_done(done) == (done, 2)


def test_a_session_taken_up_again_run_by_run_is_taken_back_two_by_two():
    done = kept_together(Session((run(), run("gantry-right")), at_hand=TWO), 3)
    in_order = tuple(sorted(done.acts, key=lambda act: act.run))
    left = Session(done.planned, in_order, at_hand=TWO)
    assert left.acts != done.acts
    for reading in (2, 1, 0):
        left, count = last_done(left)
        assert count == 2
        for _ in range(count):
            left, act = left.undo()
            assert act.reading == reading
    assert left.acts == ()


def test_one_of_a_pair_that_was_read_alone_is_taken_back_alone():
    both = kept_together(Session((run(), run("gantry-right")), at_hand=TWO), 1)
    alone = both.keep_value(1.0, time_s=30.0)
    assert last_done(alone) == (alone, 1)
    assert last_done(alone.note("a lorry"))[1] == 1


def test_of_two_done_again_the_new_ones_are_taken_back_together():
    begun = kept_together(Session((run(), run("gantry-right")), at_hand=TWO), 1)
    again = begun.interrupted("alarm").interrupted("alarm", run=2)
    again = again.keep_value(0.0, time_s=60.0, at=(1, 0)).keep_value(0.1, time_s=60.0, at=(3, 0))
    assert last_done(again) == (again, 2)
    assert last_done(again.undo()[0].undo()[0])[1] == 1  # the alarm


def test_with_one_gauge_the_last_reading_is_taken_back_alone_though_another_set_up_had_its_like():
    one = Session((run(), run("gantry-right")))
    for reading in range(3):
        one = one.keep_value(float(reading))
    for reading in range(3):
        one = one.keep_value(float(reading), at=(1, reading))
    assert last_done(one)[1] == 1


def test_where_one_of_a_pair_was_taken_alone_the_other_is_read_alone():
    session = Session((run(), run("gantry-right")), at_hand=TWO)
    assert read_at(session, session.asks) == (0, 1)
    session = session.keep_value(0.0, at=(1, 0))
    assert read_at(session, session.asks) == (0,)
    alone = Session((run(), run("gantry-right")))
    assert read_at(alone, alone.asks) == (0,)
