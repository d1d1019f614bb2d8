"""Acceptance values of building against outside values."""

from dataclasses import replace

import pytest

from plumbrise.build import build_steps
from plumbrise.build.limits import steps_per_mm_of
from plumbrise.machine import PerSide, blank
from plumbrise.machine.description import Drive, Guide, Motor, Screw


def _machine(lead_mm, **more):
    return replace(
        blank("one-screw"), screw=PerSide(Screw(lead_mm=lead_mm, starts=4, diameter_mm=8.0)), **more
    )


def _limit(order, step):
    return next(task.accept.bounds for task in order.tasks if task.id == step)


@pytest.mark.parametrize(("lead_mm", "cycle_mm"), [(2, 0.040), (4, 0.080), (8, 0.160)])
def test_MOT_11_layer_heights_are_accepted_on_the_grid_of_four_full_steps(lead_mm, cycle_mm):
    """Electrical cycle of a 1.8 degree motor at leads of 2, 4 and 8 mm: exact arithmetic on the
    full step of I. L. Kosow, Electric Machinery and Transformers, example 11-3."""
    bounds = _limit(build_steps(_machine(lead_mm), ["four-step-layers"]), "layer-heights")
    assert bounds.multiple == pytest.approx(cycle_mm, abs=1e-12)


@pytest.mark.parametrize(("lead_mm", "full_step_mm"), [(2, 0.010), (4, 0.020), (8, 0.040)])
def test_MOT_11_steps_per_mm_are_microsteps_over_the_full_step(lead_mm, full_step_mm):
    """Full step at leads of 2, 4 and 8 mm, from the same source; 16 microsteps. Exact arithmetic."""
    motor = PerSide(Motor(full_steps_per_turn=200, microsteps=16))
    assert steps_per_mm_of(_machine(lead_mm, motor=motor)) == pytest.approx(16 / full_step_mm)


def test_BLT_11_a_geared_screw_takes_steps_in_the_ratio_of_teeth():
    """Equal lengths of belt: 20 teeth that drive 40 halve the turns. Closed form."""
    drive = Drive(motor_teeth=20, screw_teeth=40)
    assert steps_per_mm_of(_machine(8.0, drive=drive)) == pytest.approx(800)


def test_BLT_09_the_tone_that_is_accepted_is_that_of_a_string():
    """f = sqrt(T / mu) / (2 l) for 15 and 40 N, 8.5 g/m, over 350 mm: 60.0 and 98.0 Hz by hand.
    Vibrating string, closed form; the tensions are the usual range of a 6 mm belt."""
    machine = _machine(8.0, guide=Guide(span_mm=350.0))
    bounds = _limit(build_steps(machine, ["second-screw-tied"]), "belt-tension")
    assert bounds.low == pytest.approx(60.01, abs=0.05)
    assert bounds.high == pytest.approx(98.00, abs=0.05)
