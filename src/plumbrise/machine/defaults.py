"""What is assumed where a person said nothing, and how far to trust it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from plumbrise.elements.asked import Trust
from plumbrise.machine.description import Machine, PerSide


@dataclass(frozen=True, slots=True)
class Default:
    """A value taken where none was given. `words` names it for people."""

    value: float | int | str
    trust: Trust
    words: str
    unit: str = ""


_CP, _GUESS, _HB = Trust.COMMON_PRACTICE, Trust.GUESS, Trust.HANDBOOK

DEFAULTS: dict[str, Default] = {
    "travel.height_mm": Default(250.0, _CP, "travel", "mm"),
    "screw.starts": Default(4, _CP, "starts of the screw"),
    "screw.diameter_mm": Default(8.0, _CP, "screw diameter", "mm"),
    "screw.length_mm": Default(330.0, _GUESS, "screw length", "mm"),
    "screw.top_end": Default("free", _CP, "top end of the screw"),
    "screw.side": Default("left", _GUESS, "side of the screw"),
    "nut.kind": Default("plain", _CP, "kind of nut"),
    "nut.mount": Default("standing", _GUESS, "mount of the nut"),
    "coupling.kind": Default("helical", _GUESS, "kind of coupling"),
    "coupling.length_mm": Default(25.0, _CP, "coupling length", "mm"),
    "coupling.diameter_mm": Default(19.0, _CP, "coupling diameter", "mm"),
    "bearing.carries_weight": Default("motor", _CP, "what carries the weight"),
    "motor.full_steps_per_turn": Default(200, _CP, "full steps a turn"),
    "motor.microsteps": Default(16, _CP, "microsteps"),
    "motor.holding_torque_nmm": Default(400.0, _CP, "holding torque", "N·mm"),
    "motor.rated_current_a": Default(1.0, _GUESS, "rated current", "A"),
    "motor.end_float_mm": Default(0.05, _GUESS, "end float of the motor shaft", "mm"),
    "motor.frame_size_mm": Default(42.0, _CP, "motor size", "mm"),
    "drive.motor_teeth": Default(20, _CP, "teeth of the motor pulley"),
    "drive.screw_teeth": Default(20, _CP, "teeth of the screw pulley"),
    "drive.belt_pitch_mm": Default(2.0, _CP, "belt pitch", "mm"),
    "guide.kind": Default("rollers", _CP, "kind of guide"),
    "guide.span_mm": Default(340.0, _GUESS, "span between the guides", "mm"),
    "guide.depth_mm": Default(260.0, _GUESS, "depth from front screws to back screw", "mm"),
    "guide.carriage_height_mm": Default(60.0, _CP, "height of a carriage", "mm"),
    "gantry.mass_kg": Default(1.2, _CP, "mass of the moving part", "kg"),
    "gantry.beam_height_mm": Default(20.0, _CP, "height of the beam", "mm"),
    "frame.upright_height_mm": Default(400.0, _GUESS, "height of the uprights", "mm"),
    "frame.upright_width_mm": Default(20.0, _CP, "width of an upright", "mm"),
    "frame.base_width_mm": Default(400.0, _GUESS, "width of the base", "mm"),
    "frame.base_height_mm": Default(40.0, _GUESS, "height of the base", "mm"),
    "gauge.resolution_mm": Default(0.01, _CP, "gauge resolution", "mm"),
    "controller.dwell_unit": Default("milliseconds", _GUESS, "unit of a dwell"),
    "controller.home": Default("down", _CP, "direction of homing"),
}
"""Ranges behind these: common practice, no source, unless the trust says otherwise. A lead is
never assumed: what needs it is "cannot tell yet" without it."""


@dataclass(frozen=True, slots=True)
class Known:
    """A value and where it comes from."""

    value: Any
    trust: Trust

    @property
    def assumed(self) -> bool:
        """True where the person did not give it."""
        return self.trust is not Trust.GIVEN


def known(machine: Machine, key: str, side: str | None = None) -> Known:
    """A value of the machine, given or assumed.

    Args:
        machine: the axis.
        key: "part.field" as in the machine file.
        side: for a part that every screw has; the common description if left out.

    Raises:
        KeyError: no such field, or a field without a default that was not given.

    Example:
        >>> from plumbrise.machine.description import blank
        >>> known(blank("one-screw"), "guide.span_mm")
        Known(value=340.0, trust=<Trust.GUESS: 'guess'>)
    """
    part_name, field_name = key.split(".")
    part = getattr(machine, part_name)
    if isinstance(part, PerSide):
        part = part.common if side is None else part.at(side)
    value = None if part is None else getattr(part, field_name)
    if value is not None:
        return Known(value, Trust.GIVEN)
    default = DEFAULTS[key]
    return Known(default.value, default.trust)


def centre_of_mass_mm(machine: Machine) -> Known:
    """Place of the moving part's centre of mass from the left guide: the middle unless given."""
    given = machine.gantry.centre_of_mass_mm
    if given is not None:
        return Known(given, Trust.GIVEN)
    return Known(known(machine, "guide.span_mm").value / 2, Trust.GUESS)


def lead_mm(machine: Machine) -> float | None:
    """Travel per turn of the screw, None if the person does not know it."""
    return machine.screw.common.lead_mm
