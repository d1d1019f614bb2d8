"""The true axis of the simulator: what no person at the machine knows."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from plumbrise.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One motor, coupling, screw, nut and bracket, from the frame up to the gantry.

    The motor seat hardens as it sinks by (1 + (d / travel)²) and bottoms out at `seat_travel_mm`;
    a shaft that is pulled up rises freely through `end_float_mm`. A thrust bearing of
    `thrust_n_per_mm` holds the screw to the frame and takes the weight past coupling and motor.
    """

    seat_n_per_mm: float = 600.0
    seat_travel_mm: float = 0.06
    end_float_mm: float = 0.04
    coupling_n_per_mm: float = 400.0
    thrust_n_per_mm: float = 0.0
    bracket_n_per_mm: float = 500.0
    play_mm: float = 0.03
    clamp_holds_n: float = inf
    lead_error: float = 0.0
    once_a_turn_mm: float = 0.0
    once_a_turn_phase: float = 0.0
    twice_a_turn_share: float = 0.2
    bow_growth: float = 0.0
    step_error_mm: float = 0.0
    step_error_phase: float = 0.0
    falls_back_after_mm: float = inf
    """Mean path upward between two falls of four full steps; inf: never."""
    cycles_apart: int = 0
    jumps_apart_after_mm: float = inf
    """Cycles of four full steps by which this motor stands above the others from the start, and
    the path after which it jumps by one more, once."""
    belt_n_per_mm: float = inf
    belt_slack_mm: float = 0.0
    """The belt that turns this screw, at the nut: its stiffness, and by how much the nut hangs
    back, either way, before the belt pulls."""
    sinks_idle_mm: float = 0.0
    """How far the rotor falls when its current is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TightSpot:
    """Drag that rises over a stretch of height: `rise` times the drag at `centre_mm`."""

    centre_mm: float
    half_width_mm: float
    rise: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """One guide: sliding drag and how it builds up.

    `reach_mm` is the distance of pre-sliding over which the middle bristle builds up, `spread`
    how far the others lie apart (log). Static drag is `static_ratio` times the sliding one and
    falls off around `stribeck_mm_per_s`. `wander` are (sine, cosine) amplitudes of drag over
    height, of one, two, ... waves in 300 mm. `binding_n` is drag near the screw's fixed end.
    """

    drag_n: float = 2.0
    reach_mm: float = 0.04
    spread: float = 0.7
    static_ratio: float = 1.08
    stribeck_mm_per_s: float = 0.5
    viscous_n_s_per_mm: float = 0.01
    wander: tuple[tuple[float, float], ...] = ()
    tight_spots: tuple[TightSpot, ...] = ()
    binding_n: float = 0.0
    binding_reach_mm: float = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What a side push meets: a spring, and in a loose joint a gap with drag in it."""

    stiffness_n_per_mm: float = 400.0
    joint_gap_mm: float = 0.0
    joint_drag_n: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """The gauge and its stand. `stick_mm` is half the loop of the plunger on a solid block,
    `tilt` the error of scale, `dial_error_mm` the amplitude of an error once a dial turn."""

    stick_mm: float = 0.0012
    tilt: float = 0.0
    tilt_differs: float = 0.2
    dial_error_mm: float = 0.001
    dial_turn_mm: float = 1.0
    stand_drift_mm_per_sqrt_min: float = 0.0004
    contact_scatter_mm: float = 0.0008


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who reads the gauge: rates are per reading, the bump's per set-up."""

    scatter_mm: float = 0.0015
    parallax_mm: float = 0.001
    misreads: float = 0.002
    bumps: float = 0.02
    skips: float = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A machine as it truly is; `machine` is what its owner knows of it.

    `lifts` in the order of the screws, `guides` in that of the ends. `racking_damping`
    is the share of critical damping of its tilting, `loose_tilt_mm` how far the end without a
    screw swings free in the play of its carriage. The motors' current is cut when nothing has
    moved for `current_cut_after_s` and returns with the next move. `warm_mm` is how far the
    axis creeps in all while the motors warm up, over `warm_tau_s`; `growth_mm_per_c` what a
    degree of the room does.
    """

    machine: Machine
    lifts: tuple[Lift, ...]
    guides: tuple[Guide, ...]
    racking_n_per_mm: float = 120.0
    racking_damping: float = 0.3
    loose_tilt_mm: float = 0.0
    current_cut_after_s: float = inf
    weight_n: float = 11.0
    weight_share_left: float = 0.5
    drag_breathes: float = 0.08
    home_scatter_mm: float = 0.003
    warm_mm: float = 0.0
    warm_tau_s: float = 1200.0
    growth_mm_per_c: float = 0.0
    frames: tuple[tuple[str, Frame], ...] = ()
    gauge: Gauge = Gauge()
    person: Person = Person()
    speed_mm_per_s: float = 6.0
    acceleration_mm_per_s2: float = 80.0
    room_swing_c: float = 0.3
