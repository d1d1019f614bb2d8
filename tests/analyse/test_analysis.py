"""Figures of whole runs and sessions: what they mean, what leaves them alone, what is not told."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.analyse import CannotTell, Figure, analyse, analyse_run
from plumbrise.analyse.analysis import FIGURES, NAMES
from plumbrise.quantity import GRAVITY_M_PER_S2, Unit, combined
from plumbrise.readings import KINDS, Readings, Scale
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    GAUGE_CHECK,
    HOLD,
    ONE_TURN,
    REVERSAL,
    SIDE_PUSH,
)

SORTS = ("staircase", "reversal", "full travel", "homes")


def moved(run, by):
    return replace(
        run, readings=tuple(replace(r, reading_mm=r.reading_mm + by) for r in run.readings)
    )


def told_of(found):
    return {(f.name, f.detail): f.value.value for f in found.figures}


@given(zero=st.integers(-40, 40), sort=st.sampled_from(SORTS))
def test_the_zero_of_the_gauge_does_not_matter(zero, sort, made, scale):
    run = made[sort](np.random.default_rng(1))
    before, after = analyse_run(run, scale), analyse_run(moved(run, zero / 8), scale)
    assert told_of(after) == pytest.approx(told_of(before), abs=1e-9)
    assert [o.kind for o in after.oddities] == [o.kind for o in before.oddities]


@pytest.mark.parametrize("sort", ["reversal", "full travel"])
def test_turning_the_axis_over_keeps_the_loss(sort, made, scale):
    """Heights and readings counted downward: up is down, and what lags still lags."""
    run = made[sort](np.random.default_rng(2))
    rows = tuple(
        replace(
            r,
            target_mm=300 - r.target_mm,
            reading_mm=-r.reading_mm,
            approach="down" if r.approach == "up" else "up",
        )
        for r in run.readings
    )
    before, after = analyse_run(run, scale), analyse_run(replace(run, readings=rows), scale)
    lost = [found.figure("lost_motion").value for found in (before, after)]
    assert lost[1].value == pytest.approx(lost[0].value, abs=1e-9)
    assert before.figure("reversal_value", "mean").value.value == pytest.approx(-lost[0].value)


@pytest.mark.parametrize("factor", [0.1, 10.0])
def test_ten_times_the_size_gives_ten_times_the_loss(factor, made):
    run = made["staircase"](np.random.default_rng(3))
    rows = tuple(
        replace(r, target_mm=r.target_mm * factor, reading_mm=r.reading_mm * factor)
        for r in run.readings
    )
    before = analyse_run(run, Scale(resolution_mm=0.001))
    after = analyse_run(replace(run, readings=rows), Scale(resolution_mm=0.001 * factor))
    for name in ("lost_motion", "take_up"):
        assert after.figure(name).value.value == pytest.approx(
            factor * before.figure(name).value.value
        )


@pytest.mark.parametrize(
    ("sort", "true", "settings"),
    [
        ("staircase", 0.2, {"reach": 0.05}),
        ("staircase", 0.2, {"step": 1.0, "end": 12.0}),
        ("reversal", 0.15, {}),
        ("full travel", 0.1, {}),
    ],
)
def test_the_interval_holds_the_true_loss_nineteen_times_in_twenty(
    sort, true, settings, made, scale
):
    """400 sessions; the gauge's own errors are drawn as the budget says they are. A share of
    95 % scatters by 1.1 %."""
    held, trials = 0, 400
    for seed in range(trials):
        rng = np.random.default_rng(5000 + seed)
        lost = analyse_run(made[sort](rng, **settings), scale).figure("lost_motion")
        own = sum(
            rng.uniform(-1, 1) * np.sqrt(3) * part.u
            for part in lost.budget
            if part.kind == "B" and ("gauge" in part.words or "stand" in part.words)
        )
        held += abs(lost.value.value + own - true) <= lost.value.expanded
    assert 0.93 <= held / trials <= 0.98


@pytest.mark.parametrize("sort", SORTS)
def test_every_budget_adds_up_to_its_figure(sort, made, scale):
    for figure in analyse_run(made[sort](np.random.default_rng(4)), scale).figures:
        u, dof = combined([(part.u, part.dof) for part in figure.budget])
        assert (figure.value.u, figure.value.dof) == pytest.approx((u, dof))
        assert figure.value.u > 0


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
def test_every_kind_of_test_is_analysed(kind):
    assert kind.id in FIGURES
    assert kind.id in NAMES


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
@pytest.mark.parametrize("count", [0, 1, 2])
def test_too_few_readings_say_what_is_wanted(kind, count, build, scale):
    run = build(kind, list(range(count)), list(range(count)), [True] * count)
    found = analyse_run(run, scale)
    for missing in found.cannot_tell:
        assert missing.why.startswith("Cannot tell yet: ")
        assert missing.need.endswith(".")
    told = {f.name for f in found.figures} | {c.name for c in found.cannot_tell}
    assert set(NAMES[kind.id]) <= told


def test_one_run_a_direction_tells_no_repeatability_and_says_what_would(made, scale):
    found = analyse_run(made["full travel"](np.random.default_rng(5), passes=1), scale)
    missing = next(c for c in found.cannot_tell if c.name == "repeatability")
    assert missing.why == "Cannot tell yet: 3 runs a direction are wanted, 1 is there."
    assert missing.need == "Repeat the test twice."


def test_a_staircase_of_known_shape_reads_as_it_is_defined(build, scale):
    """Dead for 0.2 mm, then every step in full: each figure follows by hand."""
    told = np.arange(31) / 10
    read = np.maximum(told - 0.2, 0)
    found = analyse_run(build(FINE_STEPS, told, read, [False] + [True] * 30), scale)
    assert found.figure("lost_motion").value.value == pytest.approx(0.2)
    assert found.figure("take_up").value.value == pytest.approx(0.19)
    assert found.figure("shortfall", "after 1 mm").value.value == pytest.approx(0.2)
    assert found.figure("shortfall", "after 2 mm").value.value == pytest.approx(0.2)
    assert found.figure("shortfall", "end").value.value == pytest.approx(0.2)
    assert found.figure("step_gain", "first steps").value.value == pytest.approx(0.6)
    assert found.figure("step_gain", "settled").value.value == pytest.approx(1.0)


@given(error=st.floats(-0.02, 0.02))
def test_a_scale_error_is_no_lost_motion(error, build, scale):
    told = np.arange(31) / 10
    read = np.maximum(told - 0.2, 0) * (1 + error)
    found = analyse_run(build(FINE_STEPS, told, read, [False] + [True] * 30), scale)
    assert found.figure("lost_motion").value.value == pytest.approx(0.2, abs=1e-6)
    assert found.figure("step_gain", "settled").value.value == pytest.approx(1 + error)


def test_a_staircase_that_ends_too_soon_gives_a_bound(build, scale):
    told = np.arange(11) / 20
    read = 0.3 * told
    found = analyse_run(build(FINE_STEPS, told, read, [False] + [True] * 10), scale)
    lost = found.figure("lost_motion")
    assert lost.at_least
    assert lost.value.value == pytest.approx(0.35)
    assert "take_up" in {c.name for c in found.cannot_tell}


@pytest.mark.parametrize("way", [1.5, 8.0])
def test_a_short_run_whose_last_steps_still_come_up_short_gives_a_bound(way, build, scale):
    """A tenth of every later step lost on 1.5 mm may be take-up; on 8 mm no take-up is so long."""
    told = np.linspace(0, way, 31)
    read = np.maximum(0.6 * told, 0.92 * told - 0.2 + 0.1 * way / 8)
    lost = analyse_run(build(FINE_STEPS, told, read, [False] + [True] * 30), scale).figure(
        "lost_motion"
    )
    assert lost.at_least == (way == 1.5)
    if lost.at_least:
        assert lost.value.value == pytest.approx(told[-1] - read[-1])


def test_a_screw_that_sinks_while_told_to_rise_loses_what_it_sinks(build, scale):
    told = np.arange(31) / 10
    read = -0.15 * (1 - np.exp(-told / 0.1))
    run = build(FINE_STEPS, told, read, [False] + [True] * 30, station="screw")
    assert analyse_run(run, scale).figure("lost_motion").value.value == pytest.approx(
        0.15, abs=0.002
    )


def test_turning_zones_are_left_out_of_a_reversal(build, scale):
    """Read without an overrun, the heights next to a turn have not taken up their loss."""
    places = 10 + np.arange(21) * 0.25
    told = np.concatenate([places, places[::-1]])
    ups = np.arange(42) < 21
    lag = np.concatenate([np.full(21, 0.1), 0.1 * np.exp(-np.arange(21) * 0.25 / 0.2)])
    found = analyse_run(build(REVERSAL, told, told - lag, ups), scale)
    assert found.figure("lost_motion").value.value == pytest.approx(0.1, abs=0.002)


@given(amplitude=st.floats(0.01, 0.08), phase=st.floats(0, 350))
def test_an_error_once_a_turn_is_found_with_its_phase(amplitude, phase, build, scale):
    told = 20 + np.arange(33) * 0.5
    angle = 2 * np.pi * told / 8
    rng = np.random.default_rng(6)
    read = told + amplitude * np.cos(angle - np.radians(phase)) + rng.normal(0, 0.001, 33)
    found = analyse_run(build(ONE_TURN, told, read, [True] * 33), scale)
    size = found.figure("once_per_turn", "amplitude").value
    turn = found.figure("once_per_turn", "phase").value
    assert abs(size.value - amplitude) < 3 * size.u
    assert abs((turn.value - phase + 180) % 360 - 180) < 4 * turn.u + 1
    assert turn.unit is Unit.DEGREE


def test_the_pattern_of_four_full_steps_is_found_beside_the_turn(build, scale):
    told = 20 + np.arange(33) * 0.5
    read = told + 0.012 * np.sin(2 * np.pi * told / 0.16)
    found = analyse_run(build(ONE_TURN, told, read, [True] * 33), scale)
    assert found.figure("full_step_pattern", "amplitude").value.value == pytest.approx(0.012)


def test_steps_of_whole_patterns_cannot_tell_them(build, scale):
    told = 20 + np.arange(40) * 0.32
    found = analyse_run(build(ONE_TURN, told, told, [True] * 40), scale)
    missing = {c.name: c for c in found.cannot_tell if c.name == "full_step_pattern"}
    assert "no multiple of 0.08 mm" in missing["full_step_pattern"].need


def test_without_a_lead_nothing_is_said_of_a_turn(build):
    told = np.arange(33) * 0.5
    found = analyse_run(build(ONE_TURN, told, told, [True] * 33), Scale())
    assert not found.figures
    assert {c.name for c in found.cannot_tell} == {"once_per_turn", "full_step_pattern"}


def test_a_hung_mass_gives_the_springs_softness(build, scale):
    kilograms = [0, 0.5, 1, 1.5, 2, 1.5, 1, 0.5, 0]
    read = [-0.02 * m * GRAVITY_M_PER_S2 for m in kilograms]
    run = build(DEAD_WEIGHT, [50] * 9, read, [True] * 9, mass_kg=kilograms)
    found = analyse_run(run, scale).figure("compliance").value
    assert found.value == pytest.approx(0.02)
    assert found.unit is Unit.MM_PER_N


def test_a_pull_upward_counts_as_load_taken_off(build, scale):
    pulls = [0.0, 2.0, 4.0, 6.0, 4.0, 2.0, 0.0]
    run = build(DEAD_WEIGHT, [50] * 7, [0.01 * p for p in pulls], [True] * 7, force_n=pulls)
    assert analyse_run(run, scale).figure("compliance").value.value == pytest.approx(0.01)


def test_masses_only_hung_on_leave_the_mean_untold(build, scale):
    run = build(DEAD_WEIGHT, [50] * 4, [0, -0.1, -0.2, -0.3], [True] * 4, mass_kg=[0, 1, 2, 3])
    found = analyse_run(run, scale)
    assert found.figure("compliance") is None
    assert found.figure("compliance", "loading") is not None


def test_a_sideways_push_gives_way_in_its_direction(build, scale):
    push = [0.0, 5.0, 10.0, 15.0, 10.0, 5.0, 0.0]
    run = build(
        SIDE_PUSH, [0] * 7, [0.004 * p for p in push], [True] * 7, "frame-left", force_n=push
    )
    run = replace(run, axis="left-right")
    assert analyse_run(run, scale).figure("compliance").value.value == pytest.approx(0.004)


def test_drift_is_told_an_hour_and_in_all(build, scale):
    times = [600.0 * i for i in range(7)]
    run = build(HOLD, [5] * 7, [0.03 * t / 3600 for t in times], [True] * 7, time_s=times)
    found = analyse_run(run, scale)
    assert found.figure("drift", "an hour").value.value == pytest.approx(0.03)
    assert found.figure("drift", "in all").value.value == pytest.approx(0.03)
    assert found.figure("drift", "an hour").value.unit is Unit.MM_PER_HOUR


def test_a_tilted_gauge_reads_long_on_leaves(build, scale):
    leaf = [0.0, 0.2, 0.4, 0.6, 0.8, 0.6, 0.4, 0.2, 0.0]
    read = [x / np.cos(np.radians(15)) for x in leaf]
    run = build(GAUGE_CHECK, leaf, read, [True] * 5 + [False] * 4, "block")
    found = analyse_run(run, scale).figure("scale_error").value
    assert found.value == pytest.approx(1 / np.cos(np.radians(15)) - 1)


def test_the_far_side_lags_by_the_difference_of_the_two_losses(made):
    rng = np.random.default_rng(7)
    near = made["staircase"](rng, lost=0.2, reach=0.05, name="near")
    far = made["staircase"](rng, lost=0.3, reach=0.05, name="far", station="gantry-right")
    one_screw = Scale(lead_mm=8, resolution_mm=0.001, screw_side="left")
    between = analyse(Readings((near, far)), one_screw).between
    lag = next(b for b in between if b.figure.name == "far_side_lag")
    assert lag.runs == ("near", "far")
    assert abs(lag.figure.value.value - 0.1) < lag.figure.value.expanded
    swapped = analyse(Readings((near, far)), replace(one_screw, screw_side="right")).between
    turned = next(b for b in swapped if b.figure.name == "far_side_lag")
    assert turned.figure.value.value == pytest.approx(-lag.figure.value.value)


def test_one_end_alone_does_not_tell_the_far_side(made):
    run = made["staircase"](np.random.default_rng(7))
    (missing,) = analyse(Readings((run,)), Scale(screw_side="left")).between
    assert isinstance(missing.figure, CannotTell)
    assert "right end" in missing.figure.need


def test_several_screws_have_no_far_side_but_a_difference(build, scale):
    told = np.concatenate([np.arange(11.0), np.arange(11.0)[::-1]]) * 10 + 20
    ups = np.arange(22) < 11
    left = build(REVERSAL, told, told, ups, "gantry-left", "l")
    right = build(REVERSAL, told, told * 1.001, ups, "gantry-right", "r")
    between = analyse(Readings((left, right)), scale).between
    found = {b.figure.detail: b.figure for b in between}
    assert {b.figure.name for b in between} == {"side_difference"}
    assert found["mean, reversal"].value.value == pytest.approx(0.05)
    assert found["change with height, reversal"].value.value == pytest.approx(0.1)
    assert found["change with direction, reversal"].value.value == pytest.approx(0, abs=1e-9)


def test_loop_and_loads_of_one_spring_and_one_drag_agree(build, scale):
    """A spring of 0.02 mm/N under a drag of 3 N: the loop is 0.12 mm wide, both ways of asking."""
    told = np.concatenate([np.arange(10.0), np.arange(10.0)[::-1]]) + 20
    ups = np.arange(20) < 10
    jitter = np.random.default_rng(8).normal(0, 0.002, 20)
    loop = build(REVERSAL, told, told - np.where(ups, 0.12, 0) + jitter, ups, name="loop")
    kilograms = [0, 1, 2, 3, 4, 3, 2, 1, 0]
    back = np.arange(9) >= 5
    sunk = [0.02 * m * GRAVITY_M_PER_S2 for m in kilograms]
    read = [-(s + (0.12 if b else 0)) for s, b in zip(sunk, back, strict=True)]
    noise = np.random.default_rng(9).normal(0, 0.002, 9)
    loads = build(DEAD_WEIGHT, [20] * 9, np.array(read) + noise, [False] * 9, mass_kg=kilograms)
    (check,) = analyse(Readings((loop, loads)), scale).cross_checks
    assert check.agrees
    wide = analyse(
        Readings((build(REVERSAL, told, told - np.where(ups, 0.3, 0), ups, name="w"), loads)), scale
    )
    assert wide.cross_checks[0].agrees is False
    words = wide.cross_checks[0].words
    assert float(re.search(r"stand (\S+) ± \S+ mm apart", words)[1]) == pytest.approx(
        0.18, abs=0.01
    )
    assert not re.search("slip|play", words)


def test_two_runs_of_one_test_that_differ_are_said_to(made, scale):
    rng = np.random.default_rng(10)
    one = made["reversal"](rng, lost=0.10, name="first")
    two = made["reversal"](rng, lost=0.16, name="second")
    (said,) = analyse(Readings((one, two)), scale).oddities
    assert said.kind == "disagreement"


def test_few_readings_are_remarked_on(build, scale):
    run = build(COARSE_STEPS, [0, 1, 2, 3], [0, 0.8, 1.8, 2.8], [False, True, True, True])
    assert any(
        "one odd reading cannot be told" in r for r in analyse(Readings((run,)), scale).remarks
    )


@given(
    read=st.lists(st.floats(-5, 5), min_size=3, max_size=25),
    kind=st.sampled_from(list(KINDS.values())),
)
def test_whatever_was_read_gives_an_answer(read, kind, build, scale):
    n = len(read)
    ups = [i % 8 < 4 for i in range(n)]
    told = [float(i % 4) for i in range(n)]
    found = analyse_run(build(kind, told, read, ups), scale)
    for figure in found.figures:
        assert isinstance(figure, Figure)
        assert np.isfinite(figure.value.value)
        assert figure.value.u >= 0


def test_a_reversal_that_never_came_to_a_level_gives_a_bound(build, scale):
    """A loss that is taken up over more than the whole loop is not all seen in it."""
    places = 20 + np.arange(9) * 0.5
    told = np.concatenate([places, places[::-1]])
    ups = np.arange(18) < 9
    lag = np.concatenate([np.full(9, 0.5), 0.5 * np.exp(-(np.arange(9) * 0.5 + 1) / 3)])
    lost = analyse_run(build(REVERSAL, told, told - lag, ups), scale).figure("lost_motion")
    assert lost.at_least
    assert lost.value.value < 0.5


def test_a_display_step_that_all_readings_share_counts(build):
    """Without scatter every reading rounds alike: the step stays in the budget."""
    told = np.arange(11.0)
    read = np.round(np.where(told > 0, told - 0.2037, 0), 2)
    coarse = Scale(resolution_mm=0.01)
    lost = analyse_run(build(COARSE_STEPS, told, read, [False] + [True] * 10), coarse)
    found = lost.figure("lost_motion")
    assert sum("display step" in part.words for part in found.budget) == 1
    assert 0.006 < found.value.expanded < 0.03


def test_a_gauge_set_sideways_tells_no_loss(build, scale):
    run = build(FINE_STEPS, np.arange(10) / 10, [0.0] * 10, [False] + [True] * 9)
    found = analyse_run(replace(run, axis="left-right"), scale)
    assert not found.figures
    assert "sideways" in found.cannot_tell[0].why
