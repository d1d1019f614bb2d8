"""A session at a true axis: what every station really did, reading by reading."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, inf, pi, sin
from typing import Any

import numpy as np

from plumbrise.demo.draws import Draws
from plumbrise.demo.tables import (
    GRAVITY,
    Tables,
    at_rest,
    drag_factor,
    shares_of,
    tables,
    tilt_damping_s,
)
from plumbrise.demo.true_axis import Axis, Frame, Lift
from plumbrise.machine import lead_mm
from plumbrise.readings import Move, Run, moves, scale_of
from plumbrise.readings.kinds import GAUGE_CHECK, HAND_TURN, SIDE_PUSH, WARM_UP

Array = np.ndarray[Any, np.dtype[np.float64]]
Motion = Callable[..., Array]
"""Makes moves one after another; see `demo.dynamics.integrate`."""
SET_UP_S = 50.0
READ_S = 3.0
HANG_S = 8.0
WARMED_BY_C = 9.0
START_MM = 20.0


@dataclass(frozen=True, slots=True)
class Happened:
    """What truly happened in one run.

    `path_mm` is the station's way over all moves, read or not; `read_at` says which of them
    each reading follows. `torque_nmm` is that of a hand turn, else empty.
    """

    run: Run
    path_mm: Array
    read_at: tuple[int, ...]
    time_s: Array
    temp_c: Array
    torque_nmm: tuple[float, ...] = ()

    @property
    def true_mm(self) -> Array:
        """The station at each reading."""
        return np.asarray(self.path_mm[list(self.read_at)])


class Session:
    """The axis while a session goes on: state and clock run on from run to run."""

    def __init__(
        self,
        axis: Axis,
        plan: Sequence[Run],
        draws: Draws,
        step_s: float,
        motion: Motion | None = None,
    ) -> None:
        self.axis, self.draws, self.step_s = axis, draws, step_s
        self.motion = motion or _in_time()
        self.fixed: Tables = tables(axis)
        self.state = at_rest(axis, self.fixed, START_MM)
        self.told_mm = START_MM
        self.offset = np.zeros(len(axis.lifts))
        self.fallen = np.zeros(len(axis.lifts))
        self.next_fall = draws.falls[: len(axis.lifts), 0].copy()
        self.falls = np.zeros(len(axis.lifts), dtype=int)
        self.risen_mm = 0.0
        self.moved_at_s = 0.0
        self.belt_mm = np.full(len(axis.lifts), START_MM)
        self.sunk = np.zeros(len(axis.lifts))
        self.clock_s = 0.0
        self.made = 0
        breath = axis.drag_breathes * draws.drag[:, : len(axis.guides)]
        self.drag_of_run = np.exp(breath) if len(plan) else np.ones((1, len(axis.guides)))
        self.heated_from_s: float | None = None
        scale = scale_of(axis.machine)
        self.full_step_mm = scale.full_step_mm or 0.04
        self.nut_mm = np.array([self._thread(lift, START_MM) for lift in axis.lifts])
        self._go(0, [Move(target_mm=START_MM)], settle_s=3.0)

    def make(self, number: int, run: Run) -> Happened:
        """Set the gauge up, make the run's moves, and say what the station did."""
        self.clock_s += SET_UP_S
        if run.kind is WARM_UP and self.heated_from_s is None:
            self.heated_from_s = self.clock_s
        if run.kind in (GAUGE_CHECK, SIDE_PUSH, HAND_TURN):
            return self._without_motion(run)
        way: list[float] = []
        clock: list[float] = []
        read_at: list[int] = []
        started: float | None = None
        todo = list(moves(run))
        cuts = [i + 1 for i, move in enumerate(todo) if move.homes]
        if self.axis.current_cut_after_s < inf:  # whether it sinks depends on the clock
            cuts = list(range(1, len(todo) + 1))
        chunks = zip([0, *cuts], [*cuts, len(todo)], strict=True)
        for begin, end in chunks:
            part = todo[begin:end]
            if not part:
                continue
            self._rest_or_wake(run, part[0], started)
            out = self._go(number, part)
            for i, move in enumerate(part):
                self.clock_s += out[i, -1]
                value = self._seen(run, out[i])
                if move.reading is not None:
                    plan_s = run.readings[move.reading].time_s
                    started = self.clock_s if started is None else started
                    pause = READ_S + (HANG_S if move.mass_kg else 0.0)
                    self.clock_s += pause
                    if plan_s is not None:
                        self.clock_s = max(self.clock_s, started + plan_s)
                    read_at.append(begin + i)
                way.append(value + self._creep())
                clock.append(self.clock_s)
            if part[-1].homes:
                self._home()
        times = np.array([clock[i] for i in read_at])
        return Happened(run, np.array(way), tuple(read_at), times, self._room(times))

    def _rest_or_wake(self, run: Run, move: Move, started: float | None) -> None:
        """Let the rotors fall once nothing has moved for long, and come back with a move."""
        if move.target_mm != self.told_mm:
            self.sunk[:] = 0.0
            self.moved_at_s = self.clock_s
            return
        due = self.clock_s
        if move.reading is not None and started is not None:
            due = max(due, started + (run.readings[move.reading].time_s or 0.0))
        if due - self.moved_at_s > self.axis.current_cut_after_s:
            self.sunk[:] = [lift.sinks_idle_mm for lift in self.axis.lifts]

    def _go(self, number: int, part: Sequence[Move], settle_s: float = 1.0) -> Array:
        axis, lifts = self.axis, self.axis.lifts
        count = len(part)
        table = np.zeros((count, 6))
        nut_from, nut_to = np.zeros((count, len(lifts))), np.zeros((count, len(lifts)))
        loads = np.zeros((count, len(axis.guides)))
        clamps = np.zeros((count, len(lifts)))
        for i, move in enumerate(part):
            speed, ramp = axis.speed_mm_per_s, axis.acceleration_mm_per_s2
            table[i] = (self.told_mm, move.target_mm, speed, ramp, settle_s, number)
            rise = max(0.0, move.target_mm - self.told_mm)
            self.risen_mm += rise
            nut_from[i] = self.nut_mm
            for a, lift in enumerate(lifts):
                self._fall(a, lift, rise)
                told = self._through_belt(a, lift, move.target_mm)
                place = told + self.offset[a] - self.fallen[a] + self._apart(lift) - self.sunk[a]
                nut_to[i, a] = place + self._thread(lift, move.target_mm) - move.target_mm
                noise = self.draws.clamp[min(self.made, len(self.draws.clamp) - 1), a]
                clamps[i, a] = lift.clamp_holds_n * exp(0.15 * noise)
            self.nut_mm = nut_to[i].copy()
            newton = move.mass_kg * GRAVITY - move.pull_n
            loads[i] = self.fixed.weight + newton * shares_of(axis.machine, move.mass_at_mm)
            self.told_mm = move.target_mm
            self.made += 1
        still = (table[:, 0] == table[:, 1]) & (np.abs(nut_to - nut_from).max(axis=1) > 0)
        table[still, 0] -= 1e-3  # a jump of the thread needs a move to happen in
        fixed = self.fixed
        out = self.motion(
            fixed.body_inverse,
            fixed.racking,
            tilt_damping_s(axis),
            fixed.lift_end,
            fixed.lifts,
            fixed.guides,
            fixed.bristles,
            fixed.drag_over_height,
            self.drag_of_run,
            table,
            nut_from,
            nut_to,
            loads,
            clamps,
            self.state,
            self.step_s,
            axis.loose_tilt_mm,
        )
        return np.asarray(out)

    def _thread(self, lift: Lift, told_mm: float) -> float:
        lead = lead_mm(self.axis.machine) or 8.0
        turn = 2 * pi * told_mm / lead + lift.once_a_turn_phase
        grown = 1.0 + lift.bow_growth * (told_mm / 200.0 - 0.5)
        wave = sin(turn) + lift.twice_a_turn_share * sin(2 * turn)
        cycle = 2 * pi * told_mm / (4 * self.full_step_mm) + lift.step_error_phase
        steps = sin(cycle) + 0.3 * sin(4 * cycle)
        return (
            told_mm * (1.0 + lift.lead_error)
            + lift.once_a_turn_mm * grown * wave
            + lift.step_error_mm * steps
        )

    def _fall(self, a: int, lift: Lift, rise_mm: float) -> None:
        self.next_fall[a] -= rise_mm / lift.falls_back_after_mm
        if self.next_fall[a] < 0 and self.falls[a] < self.draws.falls.shape[1] - 1:
            self.falls[a] += 1
            self.next_fall[a] = self.draws.falls[a, self.falls[a]]
            self.fallen[a] += 4 * self.full_step_mm

    def _apart(self, lift: Lift) -> float:
        jumped = 1 if self.risen_mm > lift.jumps_apart_after_mm else 0
        return 4 * self.full_step_mm * (lift.cycles_apart + jumped)

    def _through_belt(self, a: int, lift: Lift, told_mm: float) -> float:
        """Where a screw turns to that hangs on a slack belt."""
        slack = lift.belt_slack_mm
        self.belt_mm[a] = min(max(self.belt_mm[a], told_mm - slack), told_mm + slack)
        return float(self.belt_mm[a])

    def _home(self) -> None:
        """The switch stops the gantry at its place, wherever clamp and motor have gone to."""
        slip = self.state[6]
        self.fallen[:] -= self.fallen[0]
        scatter = self.axis.home_scatter_mm * self.draws.home[self.made - 1]
        self.offset[:] = slip[0] + scatter

    def _seen(self, run: Run, row: Array) -> float:
        """Height of the run's station after a move."""
        arrangement = self.axis.machine.arrangement
        ends = arrangement.ends
        station = run.station
        link = station.link_station
        if link in ("motor-shaft", "screw", "nut"):
            side = station.side or self.axis.machine.screw_sides[0]
            a = self.axis.machine.screw_sides.index(side)
            rotor, screw, nut = row[len(ends) + 3 * a : len(ends) + 3 * a + 3]
            if link == "nut":
                return float(row[ends.index(side)] + nut / self.axis.lifts[a].bracket_n_per_mm)
            return float(rotor if link == "motor-shaft" else screw)
        if station.side is not None:
            return float(row[ends.index(station.side)])
        return float(np.mean(row[: len(ends)]))

    def _creep(self) -> float:
        warm = self.axis.warm_mm * (1.0 - exp(-self.clock_s / self.axis.warm_tau_s))
        room = float(self._room(np.array([self.clock_s]))[0])
        return warm + self.axis.growth_mm_per_c * (room - 21.0)

    def _room(self, times_s: Array) -> Array:
        level, phase, pace = self.draws.room
        period = 1500.0 + 3000.0 * pace
        room = 20.5 + level + self.axis.room_swing_c * np.sin(2 * pi * (times_s / period + phase))
        if self.heated_from_s is not None:
            since = np.maximum(times_s - self.heated_from_s, 0.0)
            room = room + WARMED_BY_C * (1.0 - np.exp(-since / 900.0))
        return np.asarray(room)

    def _without_motion(self, run: Run) -> Happened:
        way: list[float] = []
        torque: list[float] = []
        clock: list[float] = []
        frame = dict(self.axis.frames).get(run.station.id, Frame())
        joint = 0.0
        for reading in run.readings:
            self.clock_s += 12.0
            clock.append(self.clock_s)
            if run.kind is GAUGE_CHECK:
                way.append(reading.target_mm)
            elif run.kind is SIDE_PUSH:
                force = reading.force_n or 0.0
                joint = _joint(frame, joint, force)
                way.append(force / frame.stiffness_n_per_mm + joint)
            else:
                way.append(0.0)
                torque.append(self._hand_torque(reading.target_mm))
        times = np.array(clock)
        at = tuple(range(len(way)))
        return Happened(run, np.array(way), at, times, self._room(times), tuple(torque))

    def _hand_torque(self, height_mm: float) -> float:
        """Raising by hand, motor off: weight and drag over the thread's efficiency."""
        lead = lead_mm(self.axis.machine) or 8.0
        place = np.array([height_mm])
        drag = sum(
            guide.drag_n * float(drag_factor(self.axis, end, place)[0])
            for end, guide in enumerate(self.axis.guides)
        )
        lifted = (self.axis.weight_n + drag) / len(self.axis.lifts)
        return lifted * lead / (2 * pi * 0.6) + 3.0 * (1.0 + 0.2 * sin(2 * pi * height_mm / lead))


def _joint(frame: Frame, shift: float, force_n: float) -> float:
    """A loose joint under a push: it moves within its gap when the push beats its drag."""

    def held(force: float) -> float:
        return float(0.5 * frame.joint_gap_mm * np.tanh(force / 6.0))

    low, high = held(force_n - frame.joint_drag_n), held(force_n + frame.joint_drag_n)
    return min(max(shift, low), high)


def _in_time() -> Motion:
    from plumbrise.demo.dynamics import integrate

    return integrate


def happened(
    axis: Axis,
    plan: Sequence[Run],
    draws: Draws,
    *,
    step_s: float = 1e-4,
    motion: Motion | None = None,
) -> tuple[Happened, ...]:
    """What truly happens at this axis when the plan is carried out with these draws.

    `motion` makes the moves, with the arguments and the answer of `demo.dynamics.integrate`, which
    stands for it when left out; another one is an axis of other physics.
    """
    session = Session(axis, plan, draws, step_s, motion)
    return tuple(session.make(number, run) for number, run in enumerate(plan))
