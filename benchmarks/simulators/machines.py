"""Machines for the further simulators: other spreads of what is sound, and faults of other sizes,
than those of the demo's simulator, so that nothing is tuned to one.

A sound machine lies on the sound side of everything that is put right when a cause is (`MENDED`),
or so near that no gauge would tell, so no cause is ever labelled on it. Weight keeps a nut on its
flank and a carriage at the end of its play: play and droop take nothing unless a guide drags by
more than it carries. So most of the machines with one of these two have a light gantry on tight
guides (`_drag_over_weight`); on the others the fault is there and no test shows it. Where several
screws carry the gantry, the other nuts hold it against racking, and play takes little even so.
"""

from __future__ import annotations

from dataclasses import replace

import sessions as bristles
from sessions import Fault, Rng, log_even, one_lift

from plumbrise.demo.true_axis import Axis, Frame, Gauge, Guide, TightSpot


def _flat(low: float, high: float, rng: Rng) -> float:
    return float(rng.uniform(low, high))


def _sign(rng: Rng) -> float:
    return float(rng.choice([-1.0, 1.0]))


OUTWEIGHED = 0.75
"""Of the machines with play or droop, those whose guides drag by more than they carry."""


def sound_axis(arrangement: str, rng: Rng) -> Axis:
    """A machine with nothing the matter, and no cause that a label would call there."""
    axis = bristles.sound_axis(arrangement, rng)
    lifts = tuple(
        replace(
            lift,
            seat_n_per_mm=log_even(600, 1400, rng),
            seat_travel_mm=_flat(0.02, 0.06, rng),
            coupling_n_per_mm=log_even(400, 1200, rng),
            bracket_n_per_mm=log_even(500, 1500, rng),
            play_mm=_flat(0.01, 0.03, rng),
            lead_error=_flat(-0.000015, 0.000015, rng),
            once_a_turn_mm=_flat(0.0, 0.0015, rng),
            step_error_mm=_flat(0.0, 0.0015, rng),
        )
        for lift in axis.lifts
    )
    guides = tuple(
        Guide(
            drag_n=_flat(0.8, 1.9, rng),
            reach_mm=log_even(0.02, 0.2, rng),
            static_ratio=_flat(1.0, 1.1, rng),
            wander=tuple((float(a), float(b)) for a, b in rng.normal(0, 0.05, (3, 2))),
        )
        for _ in axis.guides
    )
    gauge = Gauge(
        stick_mm=_flat(0.0003, 0.0012, rng),
        tilt=_flat(-0.000015, 0.000015, rng),
        dial_error_mm=_flat(0.0, 0.003, rng),
        contact_scatter_mm=_flat(0.0004, 0.0015, rng),
    )
    return replace(
        axis,
        lifts=lifts,
        guides=guides,
        gauge=gauge,
        racking_n_per_mm=log_even(120, 300, rng),
        weight_share_left=_flat(0.4, 0.65, rng),
        drag_breathes=_flat(0.02, 0.1, rng),
        warm_mm=_flat(-0.003, 0.003, rng),
        growth_mm_per_c=_flat(-0.0003, 0.0003, rng),
        home_scatter_mm=_flat(0.0005, 0.003, rng),
        frames=tuple(
            (n, Frame(stiffness_n_per_mm=log_even(400, 800, rng))) for n, _ in axis.frames
        ),
    )


def _drag(axis: Axis, rng: Rng) -> Axis:
    worst = int(rng.integers(len(axis.guides)))
    guides = [
        replace(guide, drag_n=_flat(4, 8, rng) if i == worst else guide.drag_n * _flat(1, 3, rng))
        for i, guide in enumerate(axis.guides)
    ]
    return replace(axis, guides=tuple(guides))


def _tight(axis: Axis, rng: Rng) -> Axis:
    spot = TightSpot(
        centre_mm=_flat(20, 190, rng), half_width_mm=_flat(4, 30, rng), rise=log_even(1.2, 6, rng)
    )
    at = int(rng.integers(len(axis.guides)))
    guides = [replace(g, tight_spots=(spot,)) if i == at else g for i, g in enumerate(axis.guides)]
    return replace(axis, guides=tuple(guides))


def _binding(axis: Axis, rng: Rng) -> Axis:
    at = axis.machine.arrangement.ends.index(axis.machine.screw_sides[0])
    guides = list(axis.guides)
    newton, reach = _flat(3, 12, rng), log_even(15, 70, rng)
    guides[at] = replace(guides[at], binding_n=newton, binding_reach_mm=reach)
    return replace(axis, guides=tuple(guides))


def _drag_over_weight(axis: Axis, rng: Rng) -> Axis:
    if rng.random() > OUTWEIGHED:
        return axis
    mass = _flat(0.25, 0.5, rng)
    owner = round(mass * _flat(0.95, 1.05, rng), 2)
    machine = replace(axis.machine, gantry=replace(axis.machine.gantry, mass_kg=owner))
    weight = mass * 9.80665
    carried = weight / len(axis.guides)
    guides = tuple(replace(g, drag_n=carried * _flat(1.4, 2, rng)) for g in axis.guides)
    return replace(axis, machine=machine, weight_n=weight, guides=guides)


FAULTS: dict[str, Fault] = bristles.FAULTS | {
    "motor-seat": lambda a, r: one_lift(
        a, r, seat_n_per_mm=_flat(12, 70, r), seat_travel_mm=_flat(0.15, 0.8, r)
    ),
    "coupling-stretch": lambda a, r: one_lift(a, r, coupling_n_per_mm=_flat(12, 80, r)),
    "coupling-slip": lambda a, r: one_lift(a, r, clamp_holds_n=_flat(11, 18, r)),
    "bracket-flex": lambda a, r: one_lift(a, r, bracket_n_per_mm=_flat(15, 90, r)),
    "nut-play": lambda a, r: _drag_over_weight(one_lift(a, r, play_mm=_flat(0.12, 0.5, r)), r),
    "droop": lambda a, r: _drag_over_weight(replace(a, loose_tilt_mm=_flat(0.1, 0.6, r)), r),
    "guide-drag": _drag,
    "tight-spot": _tight,
    "thread-misalignment": _binding,
    "racking": lambda a, r: replace(a, racking_n_per_mm=_flat(8, 40, r)),
    "screw-bend": lambda a, r: one_lift(a, r, once_a_turn_mm=_flat(0.015, 0.08, r)),
    "lead-error": lambda a, r: one_lift(a, r, lead_error=_sign(r) * _flat(0.0005, 0.006, r)),
    "microstep-error": lambda a, r: one_lift(a, r, step_error_mm=_flat(0.01, 0.025, r)),
    "home-scatter": lambda a, r: replace(a, home_scatter_mm=_flat(0.015, 0.08, r)),
    "gauge-stick": lambda a, r: replace(a, gauge=replace(a.gauge, stick_mm=_flat(0.007, 0.025, r))),
    "gauge-tilt": lambda a, r: replace(
        a, gauge=replace(a.gauge, tilt=_sign(r) * _flat(0.002, 0.015, r))
    ),
    "stick-slip": lambda a, r: replace(
        a,
        guides=tuple(replace(g, static_ratio=_flat(1.6, 2.4, r)) for g in a.guides),
    ),
}
"""Cause -> how it is put into a machine; what is not here is as on the demo's simulator."""
