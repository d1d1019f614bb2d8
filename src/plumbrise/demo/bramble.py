"""The invented example as it truly is: an axis neglected in three places."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plumbrise.demo.draws import Draws, draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis, Gauge, Guide, Lift, Person
from plumbrise.machine import ONE_SCREW, Machine, PerSide
from plumbrise.machine import description as known_of
from plumbrise.readings import Readings, Run

SEED = 20
MISREAD = ("fine-steps nut", 9)
BUMPED = ("reversal gantry-right", 12)
"""The two slips of the invented evening: run and reading."""
ALMOST_NEVER = 1e-9

MACHINE = Machine(
    arrangement=ONE_SCREW,
    name="Bramble (invented example)",
    note=(
        "Invented example: machine, owner, workshop and readings were made up for this program. "
        "Bramble belongs to Tilda Osk, who keeps it in a loft over a bicycle shed."
    ),
    invented=True,
    travel=known_of.Travel(height_mm=250.0),
    screw=PerSide(
        known_of.Screw(
            lead_mm=8.0, starts=4, diameter_mm=8.0, length_mm=330.0, side="left", top_end="free"
        )
    ),
    nut=PerSide(known_of.Nut(kind="plain", mount="standing")),
    coupling=PerSide(known_of.Coupling(kind="helical", length_mm=25.0, diameter_mm=19.0)),
    bearing=PerSide(known_of.Bearing(carries_weight="motor")),
    motor=PerSide(
        known_of.Motor(
            full_steps_per_turn=200,
            microsteps=16,
            holding_torque_nmm=400.0,
            rated_current_a=1.0,
            frame_size_mm=42.0,
        )
    ),
    guide=known_of.Guide(kind="rollers", span_mm=340.0, carriage_height_mm=60.0),
    gantry=known_of.Gantry(mass_kg=1.15, centre_of_mass_mm=155.0, beam_height_mm=20.0),
    frame=known_of.Frame(
        upright_height_mm=400.0, upright_width_mm=20.0, base_width_mm=400.0, base_height_mm=40.0
    ),
    gauge=known_of.Gauge(resolution_mm=0.001),
    controller=known_of.Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
"""What Tilda Osk knows of it."""

AXIS = Axis(
    machine=MACHINE,
    lifts=(
        Lift(
            seat_n_per_mm=18.0,
            seat_travel_mm=0.8,
            coupling_n_per_mm=380.0,
            bracket_n_per_mm=420.0,
            play_mm=0.04,
            lead_error=-0.00003,
            once_a_turn_mm=0.0015,
            once_a_turn_phase=1.1,
            step_error_mm=0.0008,
        ),
    ),
    guides=(
        Guide(
            drag_n=4.7,
            reach_mm=0.8,
            spread=0.5,
            wander=((0.04, 0.05), (-0.03, 0.02), (0.02, -0.03)),
        ),
        Guide(
            drag_n=4.1,
            reach_mm=0.75,
            spread=0.5,
            wander=((-0.05, 0.03), (0.02, 0.03), (0.02, 0.01)),
        ),
    ),
    racking_n_per_mm=24.0,
    weight_n=1.15 * 9.80665,
    weight_share_left=1.0 - 155.0 / 340.0,
    drag_breathes=0.04,
    gauge=Gauge(stick_mm=0.001),
    person=Person(misreads=ALMOST_NEVER, bumps=ALMOST_NEVER, skips=ALMOST_NEVER),
)
"""What nobody at Bramble knows: a flattened seat, dragging guides, a gantry that racks."""

CAUSES = ("motor-seat", "guide-drag", "racking")


def evening() -> tuple[tuple[Run, ...], Draws]:
    """The plan and the chance of the invented evening, slips included."""
    runs = plan(MACHINE)
    draws = draw(runs, np.random.default_rng(SEED))
    starts = np.cumsum([0] + [len(run.readings) for run in runs])
    names = [run.name for run in runs]
    slips, chance = draws.slips.copy(), draws.run.copy()
    at = names.index(MISREAD[0])
    slips[starts[at] + MISREAD[1]] = (0.0, 0.2, 0.9, 1.0)
    at = names.index(BUMPED[0])
    place = (BUMPED[1] - 2 + 0.5) / (len(runs[at].readings) - 3)
    slips[starts[at], :2] = (0.0, place)
    chance[at, 5] = 0.4
    return runs, replace(draws, slips=slips, run=chance)


def readings() -> Readings:
    """The table of that evening, simulated afresh."""
    runs, draws = evening()
    return written_down(AXIS, happened(AXIS, runs, draws), draws)
