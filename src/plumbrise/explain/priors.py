"""What is believed of each parameter before anything is read: when its part is sound, and what
its cause makes of it.

Positive parameters are believed by their logarithm, shares by their log odds, places plainly;
`sound` and `faulty` are (median, spread of the transformed value). The figures are judgement from
common practice, no source, unless `trust` says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import exp, log

from plumbrise.machine import Machine, Trust
from plumbrise.quantity import GRAVITY_M_PER_S2


class Scale(Enum):
    """On what scale a parameter is believed and moved."""

    LOG = "log"
    ODDS = "log odds"
    PLAIN = "plain"


def onto(scale: Scale, value: float) -> float:
    """A value on its scale.

    Example:
        >>> onto(Scale.ODDS, 0.5)
        0.0
    """
    if scale is Scale.LOG:
        return log(value)
    if scale is Scale.ODDS:
        return log(value / (1 - value))
    return value


def back(scale: Scale, moved: float) -> float:
    """The value from its scale."""
    if scale is Scale.LOG:
        return exp(min(moved, 30.0))
    if scale is Scale.ODDS:
        return 1 / (1 + exp(-moved))
    return moved


Bell = tuple[float, float]
"""(median, spread on the scale)."""


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed of one parameter.

    `cause` is what makes it `faulty`, None for a parameter that only varies; `open` is the broad
    bell over both, from which a first wide fit starts, and which a machine of several screws uses
    when any of them may be at fault. `worse` is +1 if more of it is worse, -1 if less. A parameter
    whose cause must be there for it to exist at all has no `sound` bell.
    """

    name: str
    unit: str
    scale: Scale
    sound: Bell | None
    faulty: Bell | None = None
    open: Bell | None = None
    cause: str | None = None
    worse: int = 0
    trust: Trust = Trust.GUESS


_CP = Trust.COMMON_PRACTICE
_LOG, _ODDS, _PLAIN = Scale.LOG, Scale.ODDS, Scale.PLAIN

TABLE = (
    Prior("weight_n", "N", _LOG, (11.0, 0.35), trust=_CP),
    Prior("weight_share", "", _ODDS, (0.5, 0.5)),
    Prior("load_place", "", _ODDS, (0.5, 0.6)),
    Prior(
        "seat_stiffness_n_per_mm",
        "N/mm",
        _LOG,
        (600.0, 0.55),
        (35.0, 0.6),
        (150.0, 1.2),
        "motor-seat",
        -1,
    ),
    Prior("seat_travel_mm", "mm", _LOG, (0.05, 0.5), (0.35, 0.6), (0.3, 0.8), "motor-seat", 1),
    Prior("seat_stiffening", "", _LOG, (1.5, 0.5)),
    Prior(
        "coupling_stiffness_n_per_mm",
        "N/mm",
        _LOG,
        (400.0, 0.55),
        (40.0, 0.6),
        (130.0, 1.2),
        "coupling-stretch",
        -1,
    ),
    Prior(
        "bracket_stiffness_n_per_mm",
        "N/mm",
        _LOG,
        (500.0, 0.55),
        (55.0, 0.6),
        (160.0, 1.2),
        "bracket-flex",
        -1,
    ),
    Prior("play_mm", "mm", _LOG, (0.03, 0.6), (0.2, 0.5), (0.06, 1.0), "nut-play", 1),
    Prior("end_float_mm", "mm", _LOG, (0.03, 0.6)),
    Prior("drag_n", "N", _LOG, (2.0, 0.45), (5.5, 0.5), (3.0, 0.8), "guide-drag", 1),
    Prior("racking_n_per_mm", "N/mm", _LOG, (120.0, 0.55), (20.0, 0.6), (50.0, 1.1), "racking", -1),
    Prior("tilting_n_per_mm", "N/mm", _LOG, (120.0, 0.55), (20.0, 0.6), (50.0, 1.1), "racking", -1),
    Prior("reach_mm", "mm", _LOG, (0.08, 0.8)),
    Prior("spread", "", _LOG, (0.8, 0.35)),
    Prior("weights", "", _LOG, (1.0, 0.4)),
    Prior("profile", "", _PLAIN, (0.0, 0.13)),
    Prior("spot_strength", "", _LOG, None, (2.5, 0.6), None, "tight-spot", 1),
    Prior("spot_centre_mm", "mm", _PLAIN, None, (110.0, 75.0), None, "tight-spot"),
    Prior("spot_width_mm", "mm", _LOG, None, (8.0, 0.6), None, "tight-spot"),
    Prior("spot_share", "", _ODDS, None, (0.5, 2.0), None, "tight-spot"),
    Prior("misalignment_n", "N", _LOG, None, (6.0, 0.6), None, "thread-misalignment", 1),
    Prior("misalignment_reach_mm", "mm", _LOG, None, (35.0, 0.6), None, "thread-misalignment"),
    Prior("plunger_mm", "mm", _LOG, (0.0012, 0.5), (0.01, 0.5), (0.003, 1.0), "gauge-stick", 1),
    Prior("stiffness_n_per_mm", "N/mm", _LOG, (400.0, 0.45), (80.0, 0.7), None, "frame-flex", -1),
    Prior(
        "joint_stiffness_n_per_mm",
        "N/mm",
        _LOG,
        (20000.0, 0.5),
        (400.0, 0.9),
        None,
        "frame-flex",
        -1,
    ),
    Prior("slip_n", "N", _LOG, (2.0, 0.8)),
    Prior("lag_mm", "mm", _LOG, (0.003, 0.8), (0.08, 0.7), (0.015, 1.4), "tie-slack", 1),
    Prior(
        "wind_up_mm_per_n",
        "mm/N",
        _LOG,
        (0.0002, 0.8),
        (0.006, 0.9),
        (0.001, 1.5),
        "tie-slack",
        1,
    ),
    Prior("stiction", "", _LOG, None, (0.6, 0.5), None, "stick-slip", 1),
    Prior("droop_mm", "mm", _LOG, None, (0.2, 0.6), None, "droop", 1),
    Prior("offset_mm", "mm", _PLAIN, None, (0.0, 0.24), None, "out-of-step", 1),
)
PRIORS = {prior.name: prior for prior in TABLE}
CURVED = tuple(dict.fromkeys(prior.cause for prior in TABLE if prior.cause))
"""Causes that work through the axis model; the others add to readings linearly."""
BROUGHT = frozenset(p.cause for p in TABLE if p.cause and p.sound is None)
"""Curved causes whose parameters a sound axis does not have."""
APART_CYCLES = 1.5
"""Spread of how far two motors out of step stand apart, in cycles of four full steps (guess)."""


@dataclass(frozen=True, slots=True)
class LinearPrior:
    """Spread of a linear term (mean 0) when sound and when its cause is there."""

    cause: str
    sound: float
    faulty: float
    unit: str


LINEAR = {
    name: LinearPrior(cause, sound, faulty, unit)
    for name, cause, sound, faulty, unit in (
        ("lead-error", "lead-error", 0.0001, 0.005, ""),
        ("screw-bend", "screw-bend", 0.0025, 0.02, "mm"),
        ("microstep-error", "microstep-error", 0.0012, 0.007, "mm"),
        ("warm-drift", "warm-drift", 0.004, 0.05, "mm"),
        ("gauge-tilt", "gauge-tilt", 0.00015, 0.008, ""),
        ("home-scatter", "home-scatter", 0.003, 0.025, "mm"),
        ("coupling-slip", "coupling-slip", 0.0, 0.06, "mm"),
        ("idle-drop", "idle-drop", 0.0, 0.05, "mm"),
    )
}
"""By the first part of a term's name."""

CHANCE = 0.11
"""Prior chance of each cause: about two of some twenty on a machine that somebody measures."""

GIVEN_SPREAD = 0.25
"""Spread (log) left to a stiffness, play or drag that the machine file gives; to a weight, a
fifth of that."""


def given(machine: Machine, name: str, side: str | None) -> Bell | None:
    """What the machine file says of a parameter, None if it says nothing."""
    screw_side = side if side in machine.screw_sides else None
    nut = machine.nut.common if screw_side is None else machine.nut.at(screw_side)
    joint = machine.coupling.common if screw_side is None else machine.coupling.at(screw_side)
    mass = machine.gantry.mass_kg
    found = {
        "weight_n": None if mass is None else mass * GRAVITY_M_PER_S2,
        "play_mm": nut.play_mm,
        "bracket_stiffness_n_per_mm": nut.bracket_stiffness_n_per_mm,
        "coupling_stiffness_n_per_mm": joint.axial_stiffness_n_per_mm,
        "drag_n": machine.guide.drag_n,
    }.get(name)
    if found is None or found <= 0:
        return None
    return found, GIVEN_SPREAD / 5 if name == "weight_n" else GIVEN_SPREAD
