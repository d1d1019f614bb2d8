"""The few facts of a machine that a reader of the table needs."""

from __future__ import annotations

from plumbrise.machine import Machine, known, lead_mm
from plumbrise.readings.table import Scale


def scale_of(machine: Machine) -> Scale:
    """Lead, full step, gauge resolution, dial turn and side of the only screw.

    A belt between motor and screw gears the full step down or up; a belt that only ties two
    screws does not.

    Example:
        >>> from plumbrise.machine import blank
        >>> scale_of(blank("one-screw")).resolution_mm
        0.01
    """
    lead = lead_mm(machine)
    gear = 1.0
    if machine.drive is not None and not machine.arrangement.tied:
        motor_teeth = known(machine, "drive.motor_teeth").value
        gear = motor_teeth / known(machine, "drive.screw_teeth").value
    steps = known(machine, "motor.full_steps_per_turn").value
    one_screw = len(machine.arrangement.sides) == 1
    return Scale(
        lead_mm=lead,
        full_step_mm=None if lead is None else lead * gear / steps,
        resolution_mm=known(machine, "gauge.resolution_mm").value,
        wrap_mm=machine.gauge.wrap_mm,
        screw_side=machine.screw_sides[0] if one_screw else None,
    )
