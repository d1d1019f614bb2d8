"""What is truly wrong with a simulated axis: each cause put right, the same evening run again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Any

import numpy as np

from plumbrise.demo.draws import Draws
from plumbrise.demo.reading_gauge import dial_path
from plumbrise.demo.session import Happened, Motion, happened
from plumbrise.demo.true_axis import Axis, Frame, Guide, Lift
from plumbrise.machine import known
from plumbrise.readings import Run

Array = np.ndarray[Any, np.dtype[np.float64]]
MATTERS_MM = 0.02
MATTERS_SHARE = 0.15
TOLD_APART_MM = 0.006
"""What gauge, stand and hand together tell apart, however fine the gauge is divided."""
DOUBT = 1.5
"""Within this factor of the threshold a cause is doubtful and is left out of scores."""

SOUND_LIFT, SOUND_GUIDE = Lift(), Guide()
SOUND_RACKING_N_PER_MM = 120.0
SOUND_BELT_N_PER_MM, SOUND_BELT_SLACK_MM = 3000.0, 0.003
SOUND_STATIC_RATIO = 1.2


@dataclass(frozen=True, slots=True)
class Label:
    """What one cause takes at most in any run, and over the threshold how many times."""

    takes_mm: float
    over: float

    @property
    def there(self) -> bool:
        """Whether the cause is there."""
        return self.over >= 1.0

    @property
    def doubtful(self) -> bool:
        """Whether it is too near the threshold to be scored."""
        return 1 / DOUBT < self.over < DOUBT


def truth(
    axis: Axis,
    plan: Sequence[Run],
    draws: Draws,
    *,
    step_s: float = 1e-4,
    motion: Motion | None = None,
) -> dict[str, Label]:
    """For every cause, what it takes: at least 0.02 mm in some run, or at least 15 % of that
    run's loss and more than the gauge resolves, and it is there.

    Args:
        axis: the machine as it is. plan, draws: those of the session. motion: its physics, that
            of `demo.dynamics` when left out.
    """
    resolution = float(known(axis.machine, "gauge.resolution_mm").value)
    as_is = _deviations(axis, happened(axis, plan, draws, step_s=step_s, motion=motion), draws)
    labels = {}
    for cause, put_right in MENDED.items():
        mended = put_right(axis)
        if mended == axis:
            labels[cause] = Label(0.0, 0.0)
            continue
        other = _deviations(
            mended, happened(mended, plan, draws, step_s=step_s, motion=motion), draws
        )
        labels[cause] = _label(as_is, other, resolution)
    return labels


def _deviations(axis: Axis, session: Sequence[Happened], draws: Draws) -> list[Array]:
    """Per run what the dial shows less what was told."""
    found = []
    for number, done in enumerate(session):
        dial = dial_path(axis, done, number, draws)[list(done.read_at)]
        if done.run.follows_command or done.run.station.id == "block":
            dial = dial - np.array([reading.target_mm for reading in done.run.readings])
        found.append(dial - dial[0])
    return found


def _label(as_is: Sequence[Array], mended: Sequence[Array], resolution: float) -> Label:
    takes = over = 0.0
    for before, after in zip(as_is, mended, strict=True):
        took, loss = float(np.ptp(before - after)), float(np.ptp(before))
        threshold = min(MATTERS_MM, max(MATTERS_SHARE * loss, resolution, TOLD_APART_MM))
        takes, over = max(takes, took), max(over, took / threshold)
    return Label(takes, over)


def _lifts(change: Callable[[Lift], Lift]) -> Callable[[Axis], Axis]:
    return lambda axis: replace(axis, lifts=tuple(map(change, axis.lifts)))


def _guides(change: Callable[[Guide], Guide]) -> Callable[[Axis], Axis]:
    return lambda axis: replace(axis, guides=tuple(map(change, axis.guides)))


def _eased(guide: Guide) -> Guide:
    return replace(guide, drag_n=min(guide.drag_n, SOUND_GUIDE.drag_n))


def _seated(lift: Lift) -> Lift:
    return replace(
        lift,
        seat_n_per_mm=max(lift.seat_n_per_mm, SOUND_LIFT.seat_n_per_mm),
        seat_travel_mm=min(lift.seat_travel_mm, SOUND_LIFT.seat_travel_mm),
    )


def _tied(lift: Lift) -> Lift:
    return replace(
        lift,
        belt_n_per_mm=max(lift.belt_n_per_mm, SOUND_BELT_N_PER_MM),
        belt_slack_mm=min(lift.belt_slack_mm, SOUND_BELT_SLACK_MM),
    )


def _tightened(frame: Frame) -> Frame:
    sound = Frame()
    stiff = max(frame.stiffness_n_per_mm, sound.stiffness_n_per_mm)
    return replace(frame, stiffness_n_per_mm=stiff, joint_gap_mm=0.0)


MENDED: dict[str, Callable[[Axis], Axis]] = {
    "motor-seat": _lifts(_seated),
    "coupling-stretch": _lifts(
        lambda lift: replace(
            lift, coupling_n_per_mm=max(lift.coupling_n_per_mm, SOUND_LIFT.coupling_n_per_mm)
        )
    ),
    "coupling-slip": _lifts(lambda lift: replace(lift, clamp_holds_n=inf)),
    "bracket-flex": _lifts(
        lambda lift: replace(
            lift, bracket_n_per_mm=max(lift.bracket_n_per_mm, SOUND_LIFT.bracket_n_per_mm)
        )
    ),
    "nut-play": _lifts(lambda lift: replace(lift, play_mm=min(lift.play_mm, SOUND_LIFT.play_mm))),
    "guide-drag": _guides(_eased),
    "tight-spot": _guides(lambda guide: replace(guide, tight_spots=())),
    "racking": lambda axis: replace(
        axis, racking_n_per_mm=max(axis.racking_n_per_mm, SOUND_RACKING_N_PER_MM)
    ),
    "screw-bend": _lifts(lambda lift: replace(lift, once_a_turn_mm=0.0)),
    "lead-error": _lifts(lambda lift: replace(lift, lead_error=0.0)),
    "thread-misalignment": _guides(lambda guide: replace(guide, binding_n=0.0)),
    "lost-steps": _lifts(lambda lift: replace(lift, falls_back_after_mm=inf)),
    "microstep-error": _lifts(lambda lift: replace(lift, step_error_mm=0.0)),
    "home-scatter": lambda axis: replace(axis, home_scatter_mm=min(axis.home_scatter_mm, 0.003)),
    "warm-drift": lambda axis: replace(axis, warm_mm=0.0, growth_mm_per_c=0.0),
    "frame-flex": lambda axis: replace(
        axis, frames=tuple((station, _tightened(frame)) for station, frame in axis.frames)
    ),
    "gauge-stick": lambda axis: replace(
        axis, gauge=replace(axis.gauge, stick_mm=min(axis.gauge.stick_mm, 0.0012))
    ),
    "gauge-tilt": lambda axis: replace(axis, gauge=replace(axis.gauge, tilt=0.0)),
    "out-of-step": _lifts(lambda lift: replace(lift, cycles_apart=0, jumps_apart_after_mm=inf)),
    "tie-slack": _lifts(_tied),
    "stick-slip": _guides(
        lambda guide: replace(guide, static_ratio=min(guide.static_ratio, SOUND_STATIC_RATIO))
    ),
    "droop": lambda axis: replace(axis, loose_tilt_mm=0.0),
    "idle-drop": lambda axis: replace(axis, current_cut_after_s=inf),
}
"""Cause -> the same axis with that cause put right, and nothing else."""
