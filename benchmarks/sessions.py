"""Labelled sessions: random machines, sound or with one to three faults, read by the independent
simulator. Kept under benchmarks/.cache, since the labels take most of the time."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from math import exp, inf
from pathlib import Path
from typing import Any, TypeVar

import made
import numpy as np

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis, Frame, Gauge, Guide, Lift, Person, TightSpot
from plumbrise.demo.truth import Label, truth
from plumbrise.explain.causes import causes_of
from plumbrise.machine import ARRANGEMENTS, Machine, PerSide, lead_mm
from plumbrise.machine import description as part
from plumbrise.measure.setups import candidates
from plumbrise.readings import Readings, Run

CACHE = Path(__file__).parent / ".cache"
VERSION = 3
"""Raise it when simulator or priors change."""
Rng = np.random.Generator
Fault = Callable[[Axis, Rng], Axis]
Kept = TypeVar("Kept")


@dataclass(frozen=True, slots=True)
class LabelledSession:
    """A session, its machine as the owner knows it, what was made wrong, and what each takes."""

    machine: Machine
    readings: Readings
    made_wrong: tuple[str, ...]
    labels: dict[str, Label]
    axis: Axis

    @property
    def there(self) -> frozenset[str]:
        """The causes that are there."""
        return frozenset(cause for cause, label in self.labels.items() if label.there)

    @property
    def doubtful(self) -> frozenset[str]:
        """The causes too near the threshold to be scored."""
        return frozenset(cause for cause, label in self.labels.items() if label.doubtful)


def sessions(
    depth: str, count: int, *, arrangement: str = "one-screw", seed: int = 1
) -> list[LabelledSession]:
    """Labelled sessions of one depth, from the cache where they are there.

    Session i depends on the seed and i alone, so a longer list begins with the shorter one.
    """
    name = f"{origin()}-{arrangement}-{depth}-{seed}"
    return [
        kept(f"{name}-{i}", partial(session, depth, arrangement, np.random.default_rng([seed, i])))
        for i in range(count)
    ]


@cache
def origin() -> str:
    """What the sessions of this process come from, even if the files change while it runs."""
    return f"bristles-v{VERSION}-{made.origin()}"


def kept(name: str, make: Callable[[], Kept]) -> Kept:
    """What has this name, made and kept if it is not there yet."""
    CACHE.mkdir(exist_ok=True)
    file = CACHE / f"{name}.pickle"
    if not file.exists():
        file.write_bytes(pickle.dumps(make()))
    found: Kept = pickle.loads(file.read_bytes())
    return found


def session(depth: str, arrangement: str, rng: Rng) -> LabelledSession:
    """One random machine and its session."""
    axis, wrong = made_faulty(sound_axis(arrangement, rng), FAULTS, HOW_MANY, rng)
    runs = runs_of(axis.machine, depth, rng)
    draws = draw(runs, rng)
    readings = written_down(axis, happened(axis, runs, draws), draws)
    return LabelledSession(axis.machine, readings, wrong, truth(axis, runs, draws), axis)


MIXED = "mixed"
"""Depth of sessions such as people make: tests in any order, as many as there was time for."""
STEPS_FIRST, MOST_TESTS = 0.7, 6
"""How often coarse steps at both ends come first, and the most tests after them."""


def runs_of(machine: Machine, depth: str, rng: Rng) -> tuple[Run, ...]:
    """The runs of a session of this depth, drawn by chance for "mixed"."""
    if depth != MIXED:
        return plan(machine, depth)
    runs = list(plan(machine, "five-minutes")) if rng.random() < STEPS_FIRST else []
    for _ in range(int(rng.integers(1, MOST_TESTS + 1))):
        stands_at = runs[-1].station.id if runs else ""
        done = {(run.kind.id, run.station.id) for run in runs}
        left = [
            one
            for one in candidates(machine, stands_at)
            if (one.kind.id, one.station.id) not in done
        ]
        runs.append(left[int(rng.integers(len(left)))].run)
    return tuple(runs)


HOW_MANY = (0.12, 0.38, 0.33, 0.17)
"""Chances of no fault, one, two and three."""


def made_faulty(
    axis: Axis, faults: Mapping[str, Fault], how_many: Sequence[float], rng: Rng
) -> tuple[Axis, tuple[str, ...]]:
    """The axis with some faults that it can have, and which they are."""
    count = int(rng.choice(len(how_many), p=how_many))
    can_be = sorted(causes_of(axis.machine.arrangement))
    wrong = tuple(str(cause) for cause in rng.choice(can_be, size=count, replace=False))
    for cause in wrong:
        axis = faults[cause](axis, rng)
    return axis, wrong


def sound_axis(arrangement: str, rng: Rng) -> Axis:
    """A machine with nothing the matter, as far apart as sound ones are."""
    kind = ARRANGEMENTS[arrangement]
    span = float(rng.uniform(280, 420))
    mass = _near(1.2, 0.25, rng)
    lead = float(rng.choice([2.0, 4.0, 8.0], p=[0.15, 0.15, 0.7]))
    machine = Machine(
        arrangement=kind,
        name="drawn at random",
        invented=True,
        travel=part.Travel(height_mm=float(rng.choice([200.0, 250.0, 300.0]))),
        screw=PerSide(part.Screw(lead_mm=lead, diameter_mm=8.0)),
        guide=part.Guide(span_mm=span),
        gantry=part.Gantry(mass_kg=round(mass * _near(1, 0.05, rng), 2)),
        gauge=part.Gauge(
            resolution_mm=float(rng.choice([0.01, 0.002, 0.001], p=[0.35, 0.25, 0.4]))
        ),
    )
    return Axis(
        machine=machine,
        lifts=tuple(
            _sound_lift(rng, tied=kind.tied and side != kind.sides[0]) for side in kind.sides
        ),
        guides=tuple(_sound_guide(rng) for _ in kind.ends),
        racking_n_per_mm=_near(150, 0.15, rng),
        weight_n=mass * 9.80665,
        weight_share_left=float(rng.uniform(0.42, 0.6)),
        drag_breathes=float(rng.uniform(0.03, 0.12)),
        home_scatter_mm=_near(0.0025, 0.3, rng),
        warm_mm=float(rng.normal(0, 0.002)),
        growth_mm_per_c=float(rng.normal(0, 0.0005)),
        frames=tuple((name, Frame(stiffness_n_per_mm=_near(450, 0.1, rng))) for name in _FRAMES),
        gauge=Gauge(
            stick_mm=_near(0.001, 0.3, rng),
            tilt=float(rng.normal(0, 0.000015)),
            dial_error_mm=float(rng.uniform(0.0003, 0.0025)),
        ),
        person=Person(scatter_mm=_near(0.0015, 0.3, rng)),
        speed_mm_per_s=float(rng.uniform(3, 8)),
    )


_FRAMES = ("frame-left", "frame-right")


def _near(middle: float, spread: float, rng: Rng) -> float:
    return middle * exp(spread * float(rng.standard_normal()))


def log_even(low: float, high: float, rng: Rng) -> float:
    """Even in the logarithm."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def _sound_lift(rng: Rng, *, tied: bool) -> Lift:
    turn = float(rng.uniform(0, 6.28))
    return Lift(
        seat_n_per_mm=_near(900, 0.2, rng),
        seat_travel_mm=_near(0.05, 0.3, rng),
        end_float_mm=float(rng.uniform(0.01, 0.08)),
        coupling_n_per_mm=_near(600, 0.2, rng),
        bracket_n_per_mm=_near(750, 0.2, rng),
        play_mm=_near(0.025, 0.25, rng),
        lead_error=float(rng.normal(0, 0.000015)),
        once_a_turn_mm=abs(float(rng.normal(0, 0.0012))),
        once_a_turn_phase=turn,
        bow_growth=float(rng.uniform(-0.6, 0.6)),
        step_error_mm=abs(float(rng.normal(0, 0.001))),
        step_error_phase=float(rng.uniform(0, 6.28)),
        belt_n_per_mm=_near(5000, 0.2, rng) if tied else inf,
        belt_slack_mm=_near(0.002, 0.3, rng) if tied else 0.0,
    )


def _sound_guide(rng: Rng) -> Guide:
    return Guide(
        drag_n=_near(1.6, 0.2, rng),
        reach_mm=log_even(0.01, 0.12, rng),
        spread=float(rng.uniform(0.3, 1.0)),
        static_ratio=float(rng.uniform(1.0, 1.2)),
        viscous_n_s_per_mm=float(rng.uniform(0, 0.03)),
        wander=tuple((float(a), float(b)) for a, b in rng.normal(0, 0.04, (4, 2))),
    )


def _with(lift: Lift, changed: Mapping[str, Any]) -> Lift:
    return replace(lift, **changed)


def one_lift(axis: Axis, rng: Rng, **changed: float) -> Axis:
    """One lift changed, whichever."""
    at = int(rng.integers(len(axis.lifts)))
    lifts = list(axis.lifts)
    lifts[at] = _with(lifts[at], changed)
    return replace(axis, lifts=tuple(lifts))


def _soft_seat(axis: Axis, rng: Rng) -> Axis:
    travel = log_even(0.12, 0.6, rng)
    return one_lift(axis, rng, seat_n_per_mm=log_even(15, 90, rng), seat_travel_mm=travel)


def _drag(axis: Axis, rng: Rng) -> Axis:
    both, at = rng.random() < 0.6, int(rng.integers(len(axis.guides)))
    force = log_even(3.5, 9, rng)
    guides = [
        replace(guide, drag_n=force * _near(1, 0.2, rng)) if both or i == at else guide
        for i, guide in enumerate(axis.guides)
    ]
    return replace(axis, guides=tuple(guides))


def _tight(axis: Axis, rng: Rng) -> Axis:
    centre, width = float(rng.uniform(30, 180)), float(rng.uniform(6, 20))
    rise = log_even(1.5, 5, rng)
    at = int(rng.integers(len(axis.guides)))
    share = float(rng.choice([0.0, 0.6]))
    spots = [rise if i == at else rise * share for i in range(len(axis.guides))]
    guides = [
        replace(guide, tight_spots=(TightSpot(centre_mm=centre, half_width_mm=width, rise=spot),))
        if spot
        else guide
        for guide, spot in zip(axis.guides, spots, strict=True)
    ]
    return replace(axis, guides=tuple(guides))


def _binding(axis: Axis, rng: Rng) -> Axis:
    at = axis.machine.arrangement.ends.index(axis.machine.screw_sides[0])
    guides = list(axis.guides)
    reach = float(rng.uniform(25, 90))
    guides[at] = replace(guides[at], binding_n=log_even(3, 10, rng), binding_reach_mm=reach)
    return replace(axis, guides=tuple(guides))


def _signed(low: float, high: float, rng: Rng) -> float:
    return log_even(low, high, rng) * float(rng.choice([-1.0, 1.0]))


def _warm(axis: Axis, rng: Rng) -> Axis:
    return replace(
        axis,
        warm_mm=_signed(0.02, 0.12, rng),
        warm_tau_s=log_even(600, 2400, rng),
        growth_mm_per_c=float(rng.normal(0, 0.006)),
    )


def _flexing(axis: Axis, rng: Rng) -> Axis:
    soft = Frame(
        stiffness_n_per_mm=log_even(40, 200, rng),
        joint_gap_mm=float(rng.choice([0.0, 0.1])) * float(rng.random()),
    )
    at = int(rng.integers(len(axis.frames)))
    frames = [(name, soft if i == at else old) for i, (name, old) in enumerate(axis.frames)]
    return replace(axis, frames=tuple(frames))


def _last_lift(axis: Axis, **changed: float) -> Axis:
    """The lift that stands farthest from the first motor changed."""
    return replace(axis, lifts=(*axis.lifts[:-1], _with(axis.lifts[-1], changed)))


def _apart(axis: Axis, rng: Rng) -> Axis:
    cycles = int(rng.choice([-2, -1, 1, 2], p=[0.2, 0.3, 0.3, 0.2]))
    later = float(rng.uniform(30, 900)) if rng.random() < 0.5 else inf
    return _last_lift(axis, cycles_apart=cycles, jumps_apart_after_mm=later)


def _slack_tie(axis: Axis, rng: Rng) -> Axis:
    return _last_lift(
        axis, belt_n_per_mm=log_even(60, 800, rng), belt_slack_mm=log_even(0.02, 0.25, rng)
    )


def _sticking(axis: Axis, rng: Rng) -> Axis:
    ratio = float(rng.uniform(1.5, 2.6))
    guides = [replace(guide, static_ratio=ratio * _near(1, 0.1, rng)) for guide in axis.guides]
    return replace(axis, guides=tuple(guides))


def _idle(axis: Axis, rng: Rng) -> Axis:
    full_step_mm = (lead_mm(axis.machine) or 8.0) / 200
    lifts = [
        replace(lift, sinks_idle_mm=full_step_mm * float(rng.uniform(0.3, 2)))
        for lift in axis.lifts
    ]
    cut = float(rng.uniform(10, 100))
    return replace(axis, lifts=tuple(lifts), current_cut_after_s=cut)


FAULTS: dict[str, Fault] = {
    "motor-seat": _soft_seat,
    "coupling-stretch": lambda a, r: one_lift(a, r, coupling_n_per_mm=log_even(15, 90, r)),
    "coupling-slip": lambda a, r: one_lift(a, r, clamp_holds_n=log_even(10, 20, r)),
    "bracket-flex": lambda a, r: one_lift(a, r, bracket_n_per_mm=log_even(25, 110, r)),
    "nut-play": lambda a, r: one_lift(a, r, play_mm=log_even(0.1, 0.4, r)),
    "guide-drag": _drag,
    "tight-spot": _tight,
    "racking": lambda a, r: replace(a, racking_n_per_mm=log_even(10, 45, r)),
    "screw-bend": lambda a, r: one_lift(a, r, once_a_turn_mm=log_even(0.012, 0.06, r)),
    "lead-error": lambda a, r: one_lift(a, r, lead_error=_signed(0.0006, 0.01, r)),
    "thread-misalignment": _binding,
    "lost-steps": lambda a, r: one_lift(a, r, falls_back_after_mm=log_even(150, 700, r)),
    "microstep-error": lambda a, r: one_lift(a, r, step_error_mm=log_even(0.008, 0.02, r)),
    "home-scatter": lambda a, r: replace(a, home_scatter_mm=log_even(0.012, 0.06, r)),
    "warm-drift": _warm,
    "frame-flex": _flexing,
    "gauge-stick": lambda a, r: replace(
        a, gauge=replace(a.gauge, stick_mm=log_even(0.006, 0.02, r))
    ),
    "gauge-tilt": lambda a, r: replace(a, gauge=replace(a.gauge, tilt=_signed(0.003, 0.02, r))),
    "out-of-step": _apart,
    "tie-slack": _slack_tie,
    "stick-slip": _sticking,
    "droop": lambda a, r: replace(a, loose_tilt_mm=log_even(0.08, 0.5, r)),
    "idle-drop": _idle,
}
"""Cause -> how it is put into a machine."""
