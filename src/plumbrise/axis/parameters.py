"""What the axis model runs on: every spring, slip element, weight and error of one axis.

`sound` maps a machine as a person described it to the parameters of that machine in good order.
A fault maps `Parameters` to `Parameters`: use `dataclasses.replace`, `with_lift`, `with_guide`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf

from plumbrise.elements import coupling
from plumbrise.machine import Arrangement, Machine, Trust, known, lead_mm
from plumbrise.quantity import GRAVITY_M_PER_S2

KNOTS = 13
"""Heights at which the drag of a guide may differ: close together over the first 50 mm."""
ELEMENTS = 4
"""Slip elements a guide: enough to fit with; eight follow a take-up more smoothly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """Errors of one screw's thread and its motor, added to the told height of its nut.

    `error_ratio`: travel over told travel, less one. Once per turn and per four full steps:
    cosine and sine parts over the told height from 0. Periods None: unknown, no such term.
    """

    error_ratio: float = 0.0
    turn_cos_mm: float = 0.0
    turn_sin_mm: float = 0.0
    turn_mm: float | None = None
    four_steps_cos_mm: float = 0.0
    four_steps_sin_mm: float = 0.0
    four_steps_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One screw with all that carries the load from its motor to the body.

    The seat is soft until `seat_travel_mm` is used up, and `seat_stiffening` times as stiff over
    the second half of that travel, as a wave washer is that flattens. `end_float_mm`: how far the
    shaft rises freely when it is pulled up. `hold_n`: the force at which the clamp starts to sink.
    `offset_mm`: this screw stands so much higher than told (motors out of step, a jumped tooth).
    `lag_mm`: the screw turns only after the drive has wound up by this, either way;
    `wind_up_mm_per_n`: what the drive winds up under load. Misalignment adds drag at this
    guide that falls off with the distance from the fixed end of the screw.
    """

    end: str
    seat_stiffness_n_per_mm: float
    seat_travel_mm: float
    coupling_stiffness_n_per_mm: float
    bracket_stiffness_n_per_mm: float
    play_mm: float
    end_float_mm: float
    hold_n: float = inf
    offset_mm: float = 0.0
    lag_mm: float = 0.0
    wind_up_mm_per_n: float = 0.0
    misalignment_n: float = 0.0
    misalignment_reach_mm: float = 35.0
    seat_stiffening: float = 1.0
    held_end: str = "bottom"
    thread: Thread = Thread()


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """The drag at one end of the body: slip elements side by side.

    `drag_n` is the sliding drag, `reach_mm` the distance over which it builds up (middle of the
    elements), `spread` how far the elements' reaches differ (of the logarithm), `weights` each
    element's part of the drag (only their ratios count), `profile` the logarithm of the factor
    on the drag at each knot of the height.
    """

    end: str
    drag_n: float
    reach_mm: float
    spread: float
    weights: tuple[float, ...] = (1.0,) * ELEMENTS
    profile: tuple[float, ...] = (0.0,) * KNOTS


@dataclass(frozen=True, slots=True, kw_only=True)
class TightSpot:
    """Drag that rises over a stretch of the height: by `strength` times the drag at its middle
    on the guide `end`, by `share` of that on the others."""

    strength: float = 0.0
    centre_mm: float = 110.0
    width_mm: float = 8.0
    share: float = 0.5
    end: str = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameJoint:
    """An upright or the base under a side push: a spring, and a joint that slips at `slip_n`
    and springs with `joint_stiffness_n_per_mm`."""

    station: str
    stiffness_n_per_mm: float = 400.0
    joint_stiffness_n_per_mm: float = 2000.0
    slip_n: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    """One axis, complete.

    `weight_shares` say how the weight is spread over the ends (sum 1). `racking_n_per_mm` holds
    left and right ends together, `tilting_n_per_mm` the back end of a bed to the middle of the
    other two; a body on one screw may tilt freely by `droop_mm` before that holds, and hangs at
    the lower end of it. `load_place` is where a hung mass hangs when the readings do not say:
    0 left, 1 right. `knots_mm` are the heights of the guides' profiles. `plunger_mm` is half of
    what the gauge's plunger loses on a reversal. `stiction` is by what share a guide at rest
    holds more than its sliding drag.
    """

    arrangement: Arrangement
    height_mm: float
    span_mm: float
    weight_n: float
    weight_shares: tuple[float, ...]
    racking_n_per_mm: float
    tilting_n_per_mm: float
    lifts: tuple[Lift, ...]
    guides: tuple[Guide, ...]
    knots_mm: tuple[float, ...]
    load_place: float = 0.5
    tight_spot: TightSpot = TightSpot()
    frame: tuple[FrameJoint, ...] = tuple(
        FrameJoint(station=station) for station in ("frame-left", "frame-right", "frame-base")
    )
    plunger_mm: float = 0.0
    stiction: float = 0.0
    droop_mm: float = 0.0

    @property
    def ends(self) -> tuple[str, ...]:
        """The ends of the body, in the order of its coordinates."""
        return self.arrangement.ends


def with_lift(parameters: Parameters, change: Callable[[Lift], Lift], end: str = "") -> Parameters:
    """The same axis with one lift changed, or every lift if no end is named.

    Example:
        >>> from plumbrise.machine import blank
        >>> soft = with_lift(sound(blank("one-screw")),
        ...                  lambda lift: replace(lift, seat_stiffness_n_per_mm=30.0))
        >>> soft.lifts[0].seat_stiffness_n_per_mm
        30.0
    """
    return replace(
        parameters,
        lifts=tuple(change(i) if end in ("", i.end) else i for i in parameters.lifts),
    )


def with_guide(
    parameters: Parameters, change: Callable[[Guide], Guide], end: str = ""
) -> Parameters:
    """The same axis with one guide changed, or every guide if no end is named."""
    return replace(
        parameters,
        guides=tuple(change(j) if end in ("", j.end) else j for j in parameters.guides),
    )


def knots_of(height_mm: float) -> tuple[float, ...]:
    """Heights of the knots of a drag profile for a travel of this height.

    Example:
        >>> knots_of(250.0)[:4], knots_of(250.0)[-2:]
        ((0.0, 5.0, 10.0, 15.0), (210.0, 250.0))
    """
    low = min(50.0, height_mm / 2)
    close = tuple(low * part for part in (0.0, 0.1, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0))
    far = KNOTS - len(close)
    return close + tuple(low + (height_mm - low) * (i + 1) / far for i in range(far))


def sound(machine: Machine, *, elements: int = ELEMENTS) -> Parameters:
    """The parameters of this machine in good order.

    What the description gives is taken from it (mass, centre, span, stiffnesses, play, drag,
    end float); the rest takes the middle of what sound machines show (judgement, common
    practice, no source). The lead is only needed for the periods of the thread's and motor's
    errors and may be missing.

    Args:
        machine: the axis as described.
        elements: slip elements a guide, 4 to 8.

    Example:
        >>> from plumbrise.machine import blank
        >>> axis = sound(blank("two-screw"))
        >>> [lift.end for lift in axis.lifts], axis.weight_shares
        (['left', 'right'], (0.5, 0.5))
    """
    height = float(known(machine, "travel.height_mm").value)
    drag = known(machine, "guide.drag_n").value if machine.guide.drag_n is not None else 2.0
    tied_by_belt = machine.arrangement.tied
    sides = machine.screw_sides
    return Parameters(
        arrangement=machine.arrangement,
        height_mm=height,
        span_mm=float(known(machine, "guide.span_mm").value),
        weight_n=_weight_n(machine),
        weight_shares=_weight_shares(machine),
        racking_n_per_mm=120.0,
        tilting_n_per_mm=120.0,
        lifts=tuple(
            _sound_lift(machine, side, tied=tied_by_belt and side != sides[0]) for side in sides
        ),
        guides=tuple(
            Guide(
                end=end,
                drag_n=float(drag),
                reach_mm=0.08,
                spread=0.8,
                weights=(1.0,) * elements,
            )
            for end in machine.arrangement.ends
        ),
        knots_mm=knots_of(height),
        tight_spot=TightSpot(end=sides[0]),
        plunger_mm=0.0012,
    )


def _sound_lift(machine: Machine, side: str, *, tied: bool) -> Lift:
    thrust = known(machine, "bearing.carries_weight", side).value == "thrust-bearing"
    joint = machine.coupling.at(side)
    nut = machine.nut.at(side)
    stiffness = joint.axial_stiffness_n_per_mm
    if stiffness is None:
        stiffness = coupling.axial_n_per_mm(joint.kind or "helical")
    if thrust:  # the bearing carries the screw below the coupling, which so carries nothing
        stiffness = coupling.axial_n_per_mm("rigid")
    play = {"plain": 0.03, "split": 0.005, "floating": 0.03}[nut.kind or "plain"]
    end_float = known(machine, "motor.end_float_mm", side)
    return Lift(
        end=side,
        seat_stiffness_n_per_mm=2000.0 if thrust else 600.0,
        seat_travel_mm=0.05,
        coupling_stiffness_n_per_mm=stiffness,
        bracket_stiffness_n_per_mm=nut.bracket_stiffness_n_per_mm or 500.0,
        play_mm=play if nut.play_mm is None else nut.play_mm,
        end_float_mm=0.01 if thrust and end_float.trust is Trust.GUESS else end_float.value,
        lag_mm=0.003 if tied else 0.0,
        wind_up_mm_per_n=2e-4 if tied else 0.0,
        held_end="top" if known(machine, "screw.top_end", side).value == "held" else "bottom",
        thread=_thread(machine),
    )


def _thread(machine: Machine) -> Thread:
    lead = lead_mm(machine)
    if lead is None:
        return Thread()
    gear = 1.0
    if machine.drive is not None and not machine.arrangement.tied:
        gear = known(machine, "drive.motor_teeth").value / known(machine, "drive.screw_teeth").value
    steps = known(machine, "motor.full_steps_per_turn").value
    return Thread(turn_mm=lead, four_steps_mm=4 * lead * gear / steps)


def _weight_n(machine: Machine) -> float:
    return float(known(machine, "gantry.mass_kg").value) * GRAVITY_M_PER_S2


def _weight_shares(machine: Machine) -> tuple[float, ...]:
    ends = machine.arrangement.ends
    centre = machine.gantry.centre_of_mass_mm
    if centre is not None:
        return shares(len(ends), centre / known(machine, "guide.span_mm").value)
    if len(machine.screw_sides) == 1:  # the heavy end is usually the driven one
        return (0.6, 0.4) if machine.screw_sides[0] == "left" else (0.4, 0.6)
    return (1 / len(ends),) * len(ends)


def shares(ends: int, place: float) -> tuple[float, ...]:
    """What each end carries of a load at `place` of the span from the left (0 to 1).

    On a bed with three screws the load lies a third of the depth behind the front pair, so
    that at half the span each screw carries a third.

    Example:
        >>> shares(2, 0.25), [round(part, 3) for part in shares(3, 0.5)]
        ((0.75, 0.25), [0.333, 0.333, 0.333])
    """
    if ends == 2:
        return (1 - place, place)
    return (5 / 6 - place, place - 1 / 6, 1 / 3)
