"""The further simulators meet the closed forms that any axis meets, and label their own faults."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

import answers
import simulators
from simulators.figures import figures
from simulators.labels import labels_of
from simulators.machines import FAULTS, sound_axis
from simulators.tilting import edges

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Guide, Lift, TightSpot
from plumbrise.demo.truth import MENDED, truth
from plumbrise.machine import ARRANGEMENTS

OTHERS = ("asperities", "tilting")


def one_screw(**changed):
    axis = sound_axis("one-screw", np.random.default_rng(3))
    return replace(
        axis, drag_breathes=0.0, home_scatter_mm=0.0, warm_mm=0.0, growth_mm_per_c=0.0, **changed
    )


def motion_of(simulator):
    """The law of motion, drag by tilt left out: closed forms do not know it."""
    return edges(edge=0.0) if simulator == "tilting" else simulators.motion_of(simulator)


def way(simulator, axis, name, depth="gantry-only"):
    """What a run's station did beside what was told."""
    runs = plan(axis.machine, depth)
    draws = draw(runs, np.random.default_rng(1))
    for done in happened(axis, runs, draws, motion=motion_of(simulator)):
        if done.run.name == name:
            return done.true_mm - np.array([r.target_mm for r in done.run.readings])
    raise KeyError(name)


@pytest.mark.parametrize("simulator", OTHERS)
def test_a_reversal_loses_twice_the_drag_over_the_stiffness(simulator):
    """Closed form: 2 F / k, both guides dragging, racking far stiffer than the lift."""
    lift = Lift(seat_n_per_mm=5000, seat_travel_mm=0.5, coupling_n_per_mm=40, bracket_n_per_mm=5000)
    guide = Guide(drag_n=2.0, reach_mm=0.02, static_ratio=1.0)
    axis = one_screw(lifts=(lift,), guides=(guide, guide), racking_n_per_mm=30000.0)
    off = way(simulator, axis, "reversal gantry-left")
    lost = np.mean(off[10:13]) - np.mean(off[3:6])
    k = 1 / (1 / 40 + 1 / 5000 + 1 / 4000)
    assert lost == pytest.approx(2 * 4.0 / k, rel=0.2)


@pytest.mark.parametrize("simulator", OTHERS)
def test_the_far_side_lags_by_twice_its_drag_over_the_racking(simulator):
    """Closed form: 2 F_far / k_rack after a reversal; a drag that grows with tilt lags more."""
    lift = Lift(
        seat_n_per_mm=9000, seat_travel_mm=0.01, coupling_n_per_mm=9000, bracket_n_per_mm=9000
    )
    guide = Guide(drag_n=2.0, reach_mm=0.02, static_ratio=1.0)
    axis = one_screw(lifts=(lift,), guides=(guide, guide), racking_n_per_mm=40.0)
    near = way(simulator, axis, "reversal gantry-left")
    far = way(simulator, axis, "reversal gantry-right")
    lag = (np.mean(far[10:13]) - np.mean(far[3:6])) - (np.mean(near[10:13]) - np.mean(near[3:6]))
    assert 0.75 * 2 * 2.0 / 40.0 < lag < 1.6 * 2 * 2.0 / 40.0


@pytest.mark.parametrize("simulator", OTHERS)
def test_a_hung_mass_sinks_a_soft_coupling(simulator):
    """Closed form: at least (m g - 2 F) / k and at most m g / k."""
    lift = Lift(seat_n_per_mm=9000, seat_travel_mm=0.5, coupling_n_per_mm=30, bracket_n_per_mm=9000)
    guide = Guide(drag_n=0.8, reach_mm=0.02, static_ratio=1.0)
    axis = one_screw(lifts=(lift,), guides=(guide, guide))
    runs = [r for r in plan(axis.machine, "full") if r.name == "dead-weight gantry-left"]
    draws = draw(runs, np.random.default_rng(1))
    (done,) = happened(axis, runs, draws, motion=motion_of(simulator))
    masses = np.array([r.mass_kg or 0.0 for r in done.run.readings])
    sunk = done.true_mm[0] - done.true_mm[np.argmax(masses)]
    full = masses.max() * 9.80665 / 30
    assert full - 2 * 1.6 / 30 - 0.02 < sunk < 1.1 * full + 0.02


@pytest.mark.parametrize("simulator", OTHERS)
def test_only_what_the_axis_has_takes_something(simulator):
    axis = FAULTS["lead-error"](one_screw(), np.random.default_rng(0))
    runs = plan(axis.machine, "five-minutes")
    draws = draw(runs, np.random.default_rng(1))
    labels = truth(axis, runs, draws, motion=simulators.motion_of(simulator))
    assert labels["lead-error"].there
    assert labels["droop"].over == labels["coupling-slip"].over == 0.0


@pytest.mark.parametrize("simulator", OTHERS)
def test_how_the_moves_are_handed_over_changes_nothing(simulator):
    """With an idle cut that never comes every move is handed over by itself; guides and slipping
    clamps remember the one before."""
    lift = replace(one_screw().lifts[0], clamp_holds_n=9.0)
    axis = one_screw(lifts=(lift,))
    runs = plan(axis.machine, "five-minutes")
    draws = draw(runs, np.random.default_rng(1))
    together, apart = (
        happened(each, runs, draws, motion=simulators.motion_of(simulator))
        for each in (axis, replace(axis, current_cut_after_s=1e9))
    )
    for one, other in zip(together, apart, strict=True):
        assert np.array_equal(one.path_mm, other.path_mm)
    whole = replace(axis, lifts=(replace(lift, clamp_holds_n=np.inf),))
    held = happened(whole, runs, draws, motion=simulators.motion_of(simulator))
    assert any(np.ptp(a.path_mm - b.path_mm) > 0.02 for a, b in zip(together, held, strict=True))


def test_a_balance_on_a_kink_is_found_by_shorter_steps():
    """Half steps went from side to side of it for ever and left 4 N."""
    chance = np.random.default_rng([simulators.SIMULATORS.index("tilting"), 5, 26])
    drawn = simulators.session("tilting", "gantry-only", "one-screw", chance)
    assert drawn.readings.count > 30


@pytest.mark.parametrize("simulator", OTHERS)
@pytest.mark.parametrize("weight_n", [1e9, float("nan")])
def test_forces_that_do_not_balance_are_not_passed_over(simulator, weight_n):
    axis = one_screw(weight_n=weight_n)
    runs = plan(axis.machine, "five-minutes")
    draws = draw(runs, np.random.default_rng(1))
    with pytest.raises(ArithmeticError, match="no balance"):
        happened(axis, runs, draws, motion=simulators.motion_of(simulator))


@pytest.mark.parametrize("simulator", OTHERS)
@pytest.mark.parametrize("cause", ["coupling-stretch", "racking", "nut-play", "tight-spot"])
def test_a_fault_is_labelled_by_its_own_cause(simulator, cause):
    rng = np.random.default_rng(5)
    axis = FAULTS[cause](FAULTS["guide-drag"](one_screw(), rng), rng)
    if cause == "tight-spot":  # one that the readings cannot step over
        spot = TightSpot(centre_mm=100.0, half_width_mm=60.0, rise=4.0)
        axis = replace(axis, guides=(replace(axis.guides[0], tight_spots=(spot,)), axis.guides[1]))
    kind = "full-travel" if cause == "tight-spot" else "reversal"
    runs = [r for r in plan(axis.machine, "full") if r.kind.id == kind]
    draws = draw(runs, rng)
    labels = truth(axis, runs, draws, motion=simulators.motion_of(simulator))
    assert labels[cause].there
    assert not labels["bracket-flex"].there


@pytest.mark.parametrize("simulator", OTHERS)
def test_an_error_of_a_micrometre_is_no_cause_however_jagged_the_drag(simulator):
    """Putting it right deals other chance where contacts tear off; that is not what it takes."""
    axis = one_screw(racking_n_per_mm=12.0)
    lift = replace(axis.lifts[0], step_error_mm=0.001, once_a_turn_mm=0.001, lead_error=1e-6)
    axis = replace(axis, lifts=(lift,))
    runs = plan(axis.machine, "five-minutes")
    draws = draw(runs, np.random.default_rng(1))
    labels = labels_of(axis, runs, draws, ("racking",), simulators.motion_of(simulator))
    for cause in ("microstep-error", "screw-bend", "lead-error"):
        assert not labels[cause].there
        assert not labels[cause].doubtful
    assert labels["racking"].there


@pytest.mark.parametrize("simulator", OTHERS)
def test_what_a_soft_coupling_takes_on_the_way_up_is_known(simulator):
    """Closed form: homed from above and driven up, it loses 2 F / k more when it is soft."""
    guide = Guide(drag_n=2.0, reach_mm=0.02, static_ratio=1.0)
    lift = Lift(seat_n_per_mm=9000, seat_travel_mm=0.01, coupling_n_per_mm=40)
    axis = one_screw(lifts=(lift,), guides=(guide, guide), racking_n_per_mm=30000.0)
    there = frozenset({"coupling-stretch"})
    true = figures(axis, there, motion_of(simulator))
    more = 1 / 40 - 1 / Lift().coupling_n_per_mm
    assert true["loss:coupling-stretch:gantry-left"] == pytest.approx(2 * 4.0 * more, rel=0.25)


@pytest.mark.parametrize("simulator", simulators.SIMULATORS)
def test_a_session_depends_on_its_seed_alone(simulator):
    def made(seed):
        rng = np.random.default_rng([9, seed])
        if simulator == "bristles":
            return simulators.bristles.session("five-minutes", "one-screw", rng)
        return simulators.session(simulator, "five-minutes", "one-screw", rng)

    one, again, other = made(4), made(4), made(5)
    assert one == again
    assert one.readings != other.readings


@pytest.mark.parametrize("simulator", simulators.SIMULATORS)
def test_sessions_are_kept_by_seed_number_and_version(simulator, tmp_path, monkeypatch):
    monkeypatch.setattr(simulators.bristles, "CACHE", tmp_path)
    one, two = simulators.sessions(simulator, "five-minutes", 2, seed=11)
    assert one.readings != two.readings
    (other,) = simulators.sessions(simulator, "five-minutes", 1, seed=12)
    assert one.readings != other.readings
    assert simulators.sessions(simulator, "five-minutes", 1, seed=11) == [one]
    assert len(list(tmp_path.glob(f"{simulators.origin(simulator)}-*"))) == 3


def test_a_raised_version_keeps_sessions_and_answers_elsewhere(monkeypatch):
    job = ("tilting", "one-screw", "full", 1, 0)
    simulators.origin.cache_clear()
    before = answers.place(*job)
    monkeypatch.setitem(simulators.VERSIONS, "tilting", 99)
    simulators.origin.cache_clear()
    after, another = answers.place(*job), answers.place("asperities", *job[1:])
    simulators.origin.cache_clear()
    assert len({before, after, another}) == 3


LIMITS = (
    "motor-seat", "coupling-stretch", "coupling-slip", "bracket-flex", "nut-play", "guide-drag",
    "tight-spot", "racking", "thread-misalignment", "lost-steps", "home-scatter", "frame-flex",
    "gauge-stick", "out-of-step", "stick-slip", "droop", "idle-drop",
)  # fmt: skip
"""Causes that putting right leaves a sound part as it is."""


@pytest.mark.parametrize("arrangement", sorted(ARRANGEMENTS))
def test_nothing_on_a_sound_machine_needs_putting_right(arrangement):
    for seed in range(200):
        axis = sound_axis(arrangement, np.random.default_rng(seed))
        assert [cause for cause in LIMITS if MENDED[cause](axis) != axis] == []


@pytest.mark.parametrize("simulator", OTHERS)
def test_no_label_finds_a_cause_on_a_sound_machine(simulator):
    for seed in range(3):
        rng = np.random.default_rng(seed)
        axis = sound_axis("one-screw", rng)
        runs = plan(axis.machine, "five-minutes")
        labels = labels_of(axis, runs, draw(runs, rng), (), simulators.motion_of(simulator))
        assert [cause for cause, label in labels.items() if label.there] == []


@pytest.mark.parametrize("simulator", OTHERS)
@pytest.mark.parametrize("cause", ["droop", "nut-play"])
def test_play_and_droop_show_on_most_machines_that_have_them(simulator, cause):
    there = 0
    for seed in range(6):
        rng = np.random.default_rng([seed, 3])
        axis = FAULTS[cause](sound_axis("one-screw", rng), rng)
        runs = plan(axis.machine, "five-minutes")
        draws = draw(runs, rng)
        there += labels_of(axis, runs, draws, (cause,), simulators.motion_of(simulator))[
            cause
        ].there
    assert there >= 3


@pytest.mark.parametrize("arrangement", ["two-screw", "two-screw-tied", "three-screw-bed"])
def test_other_arrangements_settle(arrangement):
    for simulator in OTHERS:
        axis = sound_axis(arrangement, np.random.default_rng(2))
        runs = plan(axis.machine, "five-minutes")
        draws = draw(runs, np.random.default_rng(1))
        for done in happened(axis, runs, draws, motion=simulators.motion_of(simulator)):
            assert np.all(np.isfinite(done.true_mm))
            assert np.ptp(done.true_mm - [r.target_mm for r in done.run.readings]) < 0.15
