"""The true axis as the tables of numbers that the motion runs on."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi
from typing import Any

import numpy as np

from plumbrise.demo.true_axis import Axis, Guide, Lift
from plumbrise.machine import Machine, known, lead_mm

GRAVITY = 9.80665
BRISTLE_SHARES = (0.4, 0.35, 0.25)
BRISTLE_PLACES = (-1.0, 0.0, 1.3)
"""Three bristles a guide: their shares of the drag, and where their reach lies, in spreads."""
CONTACT_N_PER_MM = 4000.0
"""Flank on flank."""
MARGIN_MM = 30
Array = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True, slots=True)
class Tables:
    """What does not change during a session."""

    body_inverse: Array
    racking: Array
    lift_end: np.ndarray[Any, np.dtype[np.int64]]
    lifts: Array
    guides: Array
    bristles: Array
    drag_over_height: Array
    weight: Array


def tables(axis: Axis) -> Tables:
    """The numbers of one axis, ready for the motion."""
    ends = axis.machine.arrangement.ends
    centre = _centre(axis)
    mass_t = axis.weight_n / GRAVITY / 1000.0
    return Tables(
        body_inverse=np.asarray(np.linalg.inv(_body(centre, mass_t)), dtype=float),
        racking=_racking(len(ends), axis.racking_n_per_mm),
        lift_end=np.array([ends.index(side) for side in axis.machine.screw_sides]),
        lifts=np.array([_lift(axis, lift) for lift in axis.lifts]),
        guides=np.array([_guide(guide, mass_t) for guide in axis.guides]),
        bristles=np.array([_bristles(guide) for guide in axis.guides]),
        drag_over_height=_heights(axis),
        weight=axis.weight_n * centre,
    )


def shares_of(machine: Machine, place_mm: float | None) -> Array:
    """How a mass hung at `place_mm` from the left guide (None: the middle) loads the ends."""
    ends = machine.arrangement.ends
    if len(ends) > 2 or place_mm is None:
        return np.full(len(ends), 1.0 / len(ends))
    right = place_mm / float(known(machine, "guide.span_mm").value)
    return np.array([1.0 - right, right])


def at_rest(axis: Axis, fixed: Tables, height_mm: float) -> tuple[Array, ...]:
    """A state to start from: everything still, springs not yet loaded."""
    n, m = len(axis.guides), len(axis.lifts)
    return (
        np.full(n, height_mm),
        np.zeros(n),
        np.zeros(m),
        np.zeros(m),
        np.zeros(m),
        np.zeros(m),
        np.zeros(m),
        np.zeros((n, len(BRISTLE_SHARES))),
        fixed.weight.copy(),
    )


def _centre(axis: Axis) -> Array:
    if len(axis.guides) == 2:
        return np.array([axis.weight_share_left, 1.0 - axis.weight_share_left])
    left = axis.weight_share_left * 2 / 3
    return np.array([left, 2 / 3 - left, 1 / 3])


def _body(centre: Array, mass_t: float) -> Array:
    """Mass matrix over the heights of the ends: the mean moves all, tilting a slender body's
    share (a uniform beam has 1/3 and 1/6)."""
    return mass_t * (np.outer(centre, centre) * 0.75 + np.diag(centre) * 0.25)


def _racking(ends: int, stiffness: float) -> Array:
    """Each pair of ends is held level by its own spring."""
    pairs = ends * np.eye(ends) - np.ones((ends, ends))
    return stiffness * pairs / (1.0 if ends == 2 else 2.0)


def tilt_damping_s(axis: Axis) -> float:
    """Damping over stiffness of the tilting: 2 ζ / ω."""
    mass_t = axis.weight_n / GRAVITY / 1000.0
    tilting_t = mass_t * 0.25 / len(axis.guides)
    return 2 * axis.racking_damping * float(np.sqrt(tilting_t / (2 * axis.racking_n_per_mm)))


def _lift(axis: Axis, lift: Lift) -> list[float]:
    machine = axis.machine
    lead = lead_mm(machine) or 8.0
    holding = float(known(machine, "motor.holding_torque_nmm").value)
    pole_pairs = int(known(machine, "motor.full_steps_per_turn").value) / 4
    rotor = holding * pole_pairs * (2 * pi / lead) ** 2
    belt = 1.0 / lift.belt_n_per_mm
    thread = 1.0 / (1.0 / CONTACT_N_PER_MM + 1.0 / lift.bracket_n_per_mm + 1.0 / rotor + belt)
    mass_t = axis.weight_n / GRAVITY / 1000.0
    return [
        lift.seat_n_per_mm,
        lift.seat_travel_mm,
        lift.end_float_mm,
        lift.coupling_n_per_mm,
        lift.thrust_n_per_mm,
        thread,
        lift.play_mm,
        0.25,
        0.15,
        0.5 * float(np.sqrt(thread * mass_t)),
    ]


def _guide(guide: Guide, mass_t: float) -> list[float]:
    stiff = guide.drag_n / guide.reach_mm
    return [
        guide.static_ratio - 1.0,
        guide.stribeck_mm_per_s,
        guide.viscous_n_s_per_mm,
        0.6 * float(np.sqrt(mass_t / stiff)),
    ]


def _bristles(guide: Guide) -> list[list[float]]:
    rows = []
    for share, place in zip(BRISTLE_SHARES, BRISTLE_PLACES, strict=True):
        reach = guide.reach_mm * exp(guide.spread * place)
        rows.append([guide.drag_n * share / reach, reach])
    return rows


def drag_factor(axis: Axis, end: int, height_mm: Array) -> Array:
    """Drag at a height over the guide's drag: wander, tight spots, binding near the fixed end."""
    guide = axis.guides[end]
    factor = np.ones_like(height_mm)
    for waves, (sine, cosine) in enumerate(guide.wander, start=1):
        turn = 2 * pi * waves * height_mm / 300.0
        factor = factor + sine * np.sin(turn) + cosine * np.cos(turn)
    factor = np.maximum(factor, 0.3)
    for spot in guide.tight_spots:
        off = np.clip(np.abs(height_mm - spot.centre_mm) / spot.half_width_mm, 0.0, 1.0)
        factor = factor + spot.rise * (0.5 + 0.5 * np.cos(pi * off))
    if guide.binding_n > 0:
        held_at_top = axis.machine.screw.common.top_end == "held"
        travel = float(known(axis.machine, "travel.height_mm").value)
        away = travel - height_mm if held_at_top else height_mm
        near = 1.0 + np.maximum(away, 0.0) / guide.binding_reach_mm
        factor = factor + guide.binding_n / guide.drag_n / near**3
    return np.asarray(factor, dtype=float)


def _heights(axis: Axis) -> Array:
    travel = float(known(axis.machine, "travel.height_mm").value)
    places = np.arange(int(travel) + MARGIN_MM, dtype=float)
    return np.array([drag_factor(axis, end, places) for end in range(len(axis.guides))])
