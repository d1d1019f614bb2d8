"""What a gauge sees at each station of a simulated axis."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import (
    follow_path,
    jacobian,
    linear_terms,
    predict,
    prepare,
    simulate,
    sound,
    vector_of,
    with_guide,
    with_lift,
)
from plumbrise.errors import InputError
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank, stations_of
from plumbrise.readings import KINDS, Move, Reading, Readings, Run, moves

UP_AND_DOWN = [(10.0, "up"), (12.0, "up"), (14.0, "up"), (14.0, "down"), (12.0, "down")]


def reversal(station, path=UP_AND_DOWN, **more):
    readings = tuple(
        Reading(seq=i, target_mm=z, reading_mm=z, approach=way) for i, (z, way) in enumerate(path)
    )
    return Run(
        name=station, kind=KINDS["reversal"], station=STATIONS[station], readings=readings, **more
    )


def soft():
    axis = with_lift(sound(blank("one-screw")), lambda i: replace(i, seat_stiffness_n_per_mm=40.0))
    return replace(axis, plunger_mm=0.0)


def test_stations_along_the_chain_add_up():
    """Screw shift plus told height is the nut; nut less what the bracket gives is the gantry."""
    axis, stations = soft(), ("motor-shaft", "screw", "nut", "gantry-left")
    shown = simulate(axis, Readings(tuple(reversal(s) for s in stations))).reading_mm
    shaft, screw, nut, left = shown.reshape(4, -1)
    run = reversal("nut")
    path = follow_path(axis, moves(run))
    force = path.force_n[[i for i, m in enumerate(moves(run)) if m.reading is not None], 0]
    told = np.array([z for z, _ in UP_AND_DOWN])
    lift = axis.lifts[0]
    assert shaft - screw == pytest.approx(force / lift.coupling_stiffness_n_per_mm)
    assert nut - left == pytest.approx(force / lift.bracket_stiffness_n_per_mm)
    assert nut == pytest.approx(told + screw)


def test_a_seat_that_stiffens_gives_less_over_its_second_half():
    """20 N on 40 N/mm with 0.4 mm of travel, twice as stiff from 0.2 mm (8 N) on: 12 N at 80."""
    axis = with_lift(
        replace(soft(), weight_n=20.0),
        lambda i: replace(i, seat_travel_mm=0.4, seat_stiffening=2.0),
    )
    resting = follow_path(axis, [Move(target_mm=5.0)])
    hard_stop_mm = 20 / 1500
    assert resting.shaft_mm[0, 0] == pytest.approx(-(0.2 + 12 / 80 + hard_stop_mm), abs=1e-9)


def test_the_middle_of_the_gantry_is_the_mean_of_its_ends():
    runs = tuple(reversal(f"gantry-{place}") for place in ("left", "middle", "right"))
    left, middle, right = simulate(soft(), Readings(runs)).reading_mm.reshape(3, -1)
    assert middle == pytest.approx((left + right) / 2)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=lambda a: a.id)
def test_every_station_of_an_arrangement_can_be_read(arrangement):
    runs = tuple(reversal(station.id) for station in stations_of(arrangement))
    made = simulate(sound(blank(arrangement.id)), Readings(runs))
    assert np.isfinite(made.reading_mm).all()
    assert made.unconverged == 0


def test_runs_over_the_same_moves_are_simulated_once():
    runs = tuple(reversal(s) for s in ("screw", "nut", "gantry-left"))
    session = prepare(blank("one-screw"), Readings(runs))
    assert session.programs.count == len(moves(runs[0]))


def test_a_link_station_of_several_screws_must_name_one():
    with pytest.raises(InputError, match="run nut, station"):
        prepare(blank("two-screw"), Readings((reversal("nut"),)))


def test_a_sticking_plunger_holds_back_by_twice_its_half_at_every_station():
    axis = with_guide(soft(), lambda g: replace(g, drag_n=1e-9))
    runs = Readings((reversal("nut"), reversal("gantry-right")))
    free = simulate(axis, runs).reading_mm
    stuck = simulate(replace(axis, plunger_mm=0.01), runs).reading_mm
    held = (stuck - free).reshape(2, -1)
    assert held[:, 4] - held[:, 1] == pytest.approx([0.02, 0.02])


def test_a_gauge_on_a_block_shows_the_block_and_its_own_sticking():
    path = [(0.0, "up"), (1.0, "up"), (2.0, "up"), (1.0, "down"), (0.0, "down")]
    run = replace(reversal("block", path), kind=KINDS["gauge-check"])
    shown = simulate(replace(soft(), plunger_mm=0.005), Readings((run,))).reading_mm
    assert shown == pytest.approx([0, 0.995, 1.995, 1.005, 0.005])


def test_a_loose_frame_joint_opens_only_past_its_slip():
    axis = soft()
    joints = tuple(
        replace(j, stiffness_n_per_mm=100.0, joint_stiffness_n_per_mm=50.0, slip_n=5.0)
        for j in axis.frame
    )
    pushes = (0.0, 4.0, 10.0, 0.0, -10.0, 0.0)
    readings = tuple(
        Reading(seq=i, target_mm=10, reading_mm=0, approach="up", force_n=push)
        for i, push in enumerate(pushes)
    )
    run = Run(
        name="push",
        kind=KINDS["side-push"],
        station=STATIONS["frame-left"],
        readings=readings,
        axis="left-right",
    )
    shown = simulate(replace(axis, frame=joints), Readings((run,))).reading_mm
    assert shown == pytest.approx([0, 0.04, 0.1 + 0.1, 0.1, -0.1 - 0.1, -0.1])


def test_a_hung_mass_pulls_down_the_end_it_hangs_on():
    readings = tuple(
        Reading(seq=i, target_mm=50, reading_mm=0, approach="down", mass_kg=mass, mass_at_mm=340)
        for i, mass in enumerate((0.0, 1.0))
    )
    runs = tuple(
        Run(name=s, kind=KINDS["dead-weight"], station=STATIONS[s], readings=readings)
        for s in ("gantry-left", "gantry-right")
    )
    left, right = np.diff(simulate(soft(), Readings(runs)).reading_mm.reshape(2, -1))[:, 0]
    assert right < left < 0


def test_thread_errors_in_the_model_are_their_linear_terms():
    """For small errors on an axis without drag, model and columns say the same."""
    machine = blank("one-screw")
    machine = replace(
        machine, screw=replace(machine.screw, common=replace(machine.screw.common, lead_mm=8.0))
    )
    axis = with_guide(sound(machine), lambda g: replace(g, drag_n=1e-9))
    path = [(z, "up") for z in np.linspace(10, 40, 31)]
    readings = Readings((reversal("gantry-left", path),))
    session = prepare(axis, readings)
    terms = linear_terms(session)
    parts = {"lead-error:left": 1e-3, "screw-bend:left:cos": 0.01, "screw-bend:left:sin": -0.02}
    bent = with_lift(
        axis,
        lambda i: replace(
            i, thread=replace(i.thread, error_ratio=1e-3, turn_cos_mm=0.01, turn_sin_mm=-0.02)
        ),
    )
    plain = predict(session, vector_of(axis))
    added = sum(size * terms.columns[:, terms.names.index(name)] for name, size in parts.items())
    assert simulate(bent, readings).reading_mm == pytest.approx(plain + added, abs=1e-6)


def test_without_a_lead_nothing_that_turns_is_claimed():
    session = prepare(blank("one-screw"), Readings((reversal("nut"),)))
    assert set(linear_terms(session).causes) <= {"lead-error", "gauge-tilt", "warm-drift"}


def test_the_jacobian_is_the_slope_of_the_prediction():
    session = prepare(soft(), Readings((reversal("gantry-left"), reversal("screw"))))
    theta = vector_of(session.base)
    which = [session.layout.index("weight_n"), session.layout.index("racking_n_per_mm")]
    shown, slopes = jacobian(session, theta, which, np.array([1e-4, 1e-4]))
    assert shown == pytest.approx(predict(session, theta))
    for column, at in enumerate(which):
        more, less = theta.copy(), theta.copy()
        more[at] += 1e-3
        less[at] -= 1e-3
        central = (predict(session, more) - predict(session, less)) / 2e-3
        assert slopes[:, column] == pytest.approx(central, abs=1e-6)


def test_a_vector_of_the_wrong_length_is_refused():
    session = prepare(soft(), Readings((reversal("nut"),)))
    with pytest.raises(ValueError, match="numbers are needed"):
        predict(session, np.ones(3))


def drift_columns(times):
    rows = tuple(
        Reading(seq=i, target_mm=10.0, reading_mm=0.0, approach="up", time_s=t)
        for i, t in enumerate(times)
    )
    run = Run(name="a", kind=KINDS["hold"], station=STATIONS["nut"], readings=rows)
    terms = linear_terms(prepare(blank("one-screw"), Readings((run,))))
    return {
        name: terms.columns[:, k]
        for k, name in enumerate(terms.names)
        if terms.causes[k] == "warm-drift"
    }


def test_drift_counts_from_the_first_time_whatever_the_clock_says():
    early, late = (drift_columns([start, start + 600, start + 1200]) for start in (0.0, 52_200.0))
    assert early.keys() == late.keys() != set()
    for name, column in early.items():
        assert late[name] == pytest.approx(column), name


def test_a_run_timed_in_part_shows_no_drift_of_its_own():
    assert not drift_columns([0.0, None, 1200.0])
