"""The independent simulator against closed forms, and against itself."""

import ast
from dataclasses import replace
from math import inf
from pathlib import Path

import numpy as np
import pytest

import plumbrise.demo
from plumbrise.demo.draws import draw
from plumbrise.demo.dynamics import integrate
from plumbrise.demo.plans import DEPTHS, dead_weight, plan, reversal, steps
from plumbrise.demo.session import happened
from plumbrise.demo.simulator import simulate_session
from plumbrise.demo.tables import at_rest, tables
from plumbrise.demo.true_axis import Axis, Guide, Lift
from plumbrise.machine import ARRANGEMENTS, Machine, PerSide
from plumbrise.machine.description import Screw
from plumbrise.readings import moves

DRAG_N, WEIGHT_N = 2.5, 12.0


def quiet(arrangement="one-screw", **changes):
    """An axis whose drag builds up at once, whose seat is straight, and that moves slowly."""
    kind = ARRANGEMENTS[arrangement]
    machine = Machine(arrangement=kind, screw=PerSide(Screw(lead_mm=8.0)))
    guide = Guide(drag_n=DRAG_N, reach_mm=0.01, static_ratio=1.0, viscous_n_s_per_mm=0.0)
    lift = Lift(coupling_n_per_mm=40.0, bracket_n_per_mm=2000.0)
    values = {
        "machine": machine,
        "lifts": (lift,) * len(kind.sides),
        "guides": (guide,) * len(kind.ends),
        "racking_n_per_mm": 60.0,
        "weight_n": WEIGHT_N,
        "drag_breathes": 0.0,
        "home_scatter_mm": 0.0,
        "speed_mm_per_s": 3.0,
    }
    return Axis(**(values | changes))


def watched(axis, *runs, step_s=1e-4):
    return happened(axis, runs, draw(runs, np.random.default_rng(4)), step_s=step_s)


def loop_mm(done):
    """Mean of down less up at the same targets."""
    up, down = done.true_mm[:7], done.true_mm[7:14][::-1]
    return float(np.mean(down - up))


def test_the_simulator_shares_nothing_with_the_model_that_explains():
    room = Path(plumbrise.demo.__file__).parent
    for file in room.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                assert not name.startswith(("plumbrise.axis", "plumbrise.explain"))


def test_the_screw_shifts_by_twice_the_drag_over_the_stiffness():
    axis = quiet(lifts=(Lift(thrust_n_per_mm=60.0, coupling_n_per_mm=0.01),))
    (done,) = watched(axis, reversal("screw", 40.0))
    assert loop_mm(done) == pytest.approx(2 * 2 * DRAG_N / 60.0, rel=0.03)


def test_the_far_side_lags_by_twice_its_drag_over_the_racking_stiffness():
    near, far = watched(quiet(), reversal("gantry-left", 40.0), reversal("gantry-right", 40.0))
    assert loop_mm(far) - loop_mm(near) == pytest.approx(2 * DRAG_N / 60.0, rel=0.03)


def test_without_drag_nothing_is_lost():
    free = Guide(drag_n=1e-6, reach_mm=0.01)
    (done,) = watched(quiet(guides=(free, free)), reversal("gantry-right", 40.0))
    assert loop_mm(done) == pytest.approx(0, abs=5e-4)


def test_a_hung_mass_sinks_by_its_weight_over_the_stiffness_without_drag():
    free = Guide(drag_n=1e-6, reach_mm=0.01)
    straight = Lift(thrust_n_per_mm=1000.0, coupling_n_per_mm=0.01, bracket_n_per_mm=50.0)
    axis = quiet(guides=(free, free), lifts=(straight,), racking_n_per_mm=2000.0)
    run = dead_weight(axis.machine, "gantry-left")
    run = replace(run, readings=tuple(replace(r, mass_at_mm=0.0) for r in run.readings))
    (done,) = watched(axis, run)
    assert done.true_mm[2] - done.true_mm[0] == pytest.approx(
        -9.80665 * (1 / 50 + 1 / 1000), rel=0.03
    )


def test_a_play_opens_only_where_drag_exceeds_the_weight():
    lift = Lift(play_mm=0.3)
    heavy = Guide(drag_n=9.0, reach_mm=0.01, static_ratio=1.0)
    light = quiet(lifts=(lift,))
    stuck = quiet(lifts=(lift,), guides=(heavy, heavy))
    light_loop, stuck_loop = (
        loop_mm(watched(axis, reversal("nut", 40.0))[0]) for axis in (light, stuck)
    )
    assert light_loop < 0.1
    assert stuck_loop > 0.3


def test_a_clamp_that_holds_does_not_creep_and_one_that_does_not_sinks():
    run = steps("fine-steps", "screw", 0.1, 10)
    (held,) = watched(quiet(), run)
    (slips,) = watched(quiet(lifts=(Lift(clamp_holds_n=8.0),)), run)
    assert slips.path_mm[-1] < held.path_mm[-1] - 0.02
    assert quiet().lifts[0].clamp_holds_n == inf


def test_halving_the_step_changes_little():
    run = reversal("gantry-right", 40.0)
    (coarse,), (fine,) = (watched(quiet(), run, step_s=s) for s in (1e-4, 5e-5))
    assert np.max(np.abs(coarse.true_mm - fine.true_mm)) < 1.5e-3


def test_left_to_itself_the_axis_comes_to_rest():
    """Thrown upward and left alone: the swings die away, no stretch of time beats the one before."""
    axis = quiet(lifts=(Lift(thrust_n_per_mm=100.0, end_float_mm=0.0),))
    fixed, state = tables(axis), at_rest(axis, tables(axis), 20.0)
    state[1][:] = 30.0
    mass = np.linalg.inv(fixed.body_inverse)
    table = np.array([[20.0, 20.0, 1.0, 1.0, 0.002, 0.0]])
    still, free = np.full((1, 1), 20.0), np.full((1, 1), inf)
    moving = []
    for _ in range(250):
        integrate(
            fixed.body_inverse, fixed.racking, 0.002, fixed.lift_end, fixed.lifts, fixed.guides,
            fixed.bristles, fixed.drag_over_height, np.ones((1, 2)), table, still, still,
            fixed.weight[np.newaxis], free, state, 1e-4,
        )  # fmt: skip
        moving.append(float(state[1] @ mass @ state[1]) / 2)
    swings = [max(moving[i : i + 50]) for i in range(0, 250, 50)]
    assert swings == sorted(swings, reverse=True)
    assert swings[-1] < 1e-4 * swings[0]


def test_the_same_seed_gives_the_same_table():
    axis = quiet()
    run = plan(axis.machine, "five-minutes")
    first, second = (simulate_session(axis, run, np.random.default_rng(5)) for _ in range(2))
    assert first == second
    assert simulate_session(axis, run, np.random.default_rng(6)) != first


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("arrangement", sorted(ARRANGEMENTS))
def test_every_arrangement_can_be_read_at_every_depth(arrangement, depth):
    axis = quiet(arrangement)
    runs = plan(axis.machine, depth)
    session = simulate_session(axis, runs, np.random.default_rng(1))
    values = [r.reading_mm for run in session.runs for r in run.taken]
    assert np.all(np.isfinite(values))
    assert [run.name for run in session.runs] == [run.name for run in runs]


def test_the_axis_makes_the_moves_that_readings_mean():
    run = reversal("gantry-left", 40.0)
    (done,) = watched(quiet(), run)
    made = moves(run)
    assert len(done.path_mm) == len(made)
    assert [made[i].reading for i in done.read_at] == list(range(len(run.readings)))
