"""An invented answer, written by hand, beside the invented session."""

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from plumbrise.analyse import analyse
from plumbrise.axis import sound, with_guide, with_lift
from plumbrise.demo import scenario
from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet
from plumbrise.explain import (
    CauseFinding,
    Explanation,
    GroupFinding,
    HowKnown,
    Interval,
    LinkLoss,
    NextTest,
    SetFinding,
    Side,
    SplitBy,
    Unexplained,
)
from plumbrise.files import read_machine, read_readings
from plumbrise.foresee import Forecast, Print, foresee_on, one_axis
from plumbrise.machine import Machine
from plumbrise.readings import scale_of
from plumbrise.redesign import (
    CATALOGUE,
    LOST_MOTION,
    Choice,
    Line,
    Prediction,
    Proposal,
    Span,
    Target,
    Worth,
)
from plumbrise.redesign.constraints import constraints_of
from plumbrise.redesign.figures import BAND, HOME_RANGE, SIDES, STAYS_UP
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.parts import parts_of
from plumbrise.redesign.results import WorkedFor

LEFT, RIGHT = "gantry-left", "gantry-right"


def both(estimate: float, arm: float) -> dict[str, Interval]:
    span = Interval(estimate, estimate - arm, estimate + arm)
    return {LEFT: span, RIGHT: span}


@pytest.fixture(scope="session")
def session():
    """Machine, readings and analysis of the invented session."""
    example = scenario()
    return example.machine, example.readings, analyse(example.readings, scale_of(example.machine))


@pytest.fixture(scope="session")
def after_the_work():
    """The invented machine as it is after the work, and what its owner then read."""
    kept = files("plumbrise.demo").joinpath("session")
    machine = read_machine(
        kept.joinpath("after-machine.toml").read_text(encoding="utf-8"), name="machine"
    )
    readings = read_readings(
        kept.joinpath("after-readings.csv").read_bytes(),
        name="readings",
        scale=scale_of(machine),
        arrangement=machine.arrangement,
    )
    return machine, readings


@pytest.fixture(scope="session")
def answer() -> Explanation:
    """Seat or coupling, not split; the right side racks."""
    together = both(0.19, 0.015)
    return Explanation(
        causes=(
            CauseFinding(
                "racking",
                0.93,
                {LEFT: Interval(0, 0, 0), RIGHT: Interval(0.09, 0.078, 0.102)},
                {"racking_n_per_mm_right": Interval(22, 18, 27)},
                could_be_seen=True,
                for_it=("The right side follows late.",),
                against_it=("It was not read twice.",),
            ),
            CauseFinding("motor-seat", 0.74, both(0.17, 0.02), {}, could_be_seen=True),
            CauseFinding("coupling-stretch", 0.31, both(0.17, 0.17), {}, could_be_seen=True),
            CauseFinding("lost-steps", 0.004, {}, {}, could_be_seen=True),
            CauseFinding("frame-flex", 0.11, {}, {}, could_be_seen=False),
        ),
        links=(
            LinkLoss("seat", "left", both(0.14, 0.1), HowKnown.SHARED, ("coupling",), together),
            LinkLoss("coupling", "left", both(0.05, 0.1), HowKnown.SHARED, ("seat",), together),
            LinkLoss("bracket", "left", both(0.04, 0.015), HowKnown.MEASURED),
            LinkLoss("racking", "left", {RIGHT: Interval(0.09, 0.07, 0.11)}, HowKnown.COMPUTED),
        ),
        sides=(
            Side(LEFT, Interval(0.23, 0.222, 0.238), measured=True),
            Side(RIGHT, Interval(0.32, 0.312, 0.328), measured=True),
        ),
        sets=(SetFinding(("motor-seat", "racking"), 0.6), SetFinding(("racking",), 0.2)),
        groups=(
            GroupFinding(
                ("motor-seat", "coupling-stretch"),
                0.98,
                together,
                SplitBy("reversal", "motor-shaft"),
            ),
        ),
        unexplained=Unexplained(0.0041, 0.0045, "none"),
        next_tests=(
            NextTest(
                "reversal",
                "motor-shaft",
                0.9,
                6,
                "It cuts the seat from the coupling",
                ("Over 0.13 mm means the seat.", "Under 0.05 mm means the coupling."),
            ),
        ),
        doubts=("The mass of the beam was assumed",),
    )


FREE = Span(0, 0, 0)
NOW = Line((), FREE, FREE, 0.01)
TONIGHT = Line(("clean-screw", "set-rollers"), FREE, Span(0.5, 0.7, 1.2), 0.12)
BEARING = Line(("clean-screw", "thrust-bearing"), Span(8, 16, 36), Span(2, 3, 4), 0.55)
SECOND = Line(("clean-screw", "second-screw-tied"), Span(45, 80, 151), Span(5, 7, 9), 0.81)


def _predictions() -> tuple[Prediction, ...]:
    axis = {"axis": Interval(0.32, 0.29, 0.36)}
    bands = {"axis": Interval(0.003, 0.001, 0.006)}
    homes = {"axis": Interval(0.008, 0.006, 0.011)}
    return (
        Prediction(
            LOST_MOTION,
            both(0.52, 0.04),
            {LEFT: Interval(0.031, 0.018, 0.22), RIGHT: Interval(0.038, 0.03, 0.046)},
            0.0,
            0.82,
        ),
        Prediction(SIDES, axis, {"axis": Interval(0.01, 0.002, 0.09)}, 0.0, 0.85),
        Prediction(BAND, bands, {"axis": Interval(0.002, 0.0005, 0.004)}, None, None),
        Prediction(HOME_RANGE, homes, homes, None, None),
        Prediction(
            STAYS_UP,
            {"axis": Interval(7.3, 2.6, 15.9)},
            {"axis": Interval(4.1, -1.2, 12.0)},
            1.0,
            0.88,
        ),
    )


def chosen_set(machine: Machine, line: Line) -> Choice:
    """A set as it would be proposed, with one sum worked and one that could not be."""
    changes = tuple(CATALOGUE[one] for one in line.changes)
    after = machine_changed(machine, changes)
    beam = sheet(calculator("beam"), {"span_mm": 300.0, "force_n": 10.0})
    return Choice(
        line,
        changes,
        _predictions(),
        parts_of(after, changes),
        (
            WorkedFor(line.changes[-1], "beam", beam, ()),
            WorkedFor(line.changes[-1], "belt-loop", None, ("distance of the screws",)),
        ),
        dict.fromkeys(line.changes, 0.3),
        constraints_of(after, changes),
        ("The zero moves: level the beam.",),
    )


@pytest.fixture(scope="session")
def proposal(session) -> Proposal:
    """A second screw, tied by a belt, that does what was asked."""
    return Proposal(
        targets=(Target(LOST_MOTION, 0.05), Target(SIDES, 0.05)),
        probability=0.7,
        budget=120.0,
        hour_worth=10.0,
        currency="EUR",
        front=(NOW, TONIGHT, BEARING, SECOND),
        chosen=chosen_set(session[0], SECOND),
        free=TONIGHT,
        reachable=True,
        met_already=0.01,
        limited_by="",
        worths=(Worth("reversal", "nut", 6, 4.0, 3.0), Worth("hold", "gantry-left", 9, 0.5, -1.0)),
        perfect_saves=11.0,
        untold={},
        looked_at=19392,
        draws=128,
    )


@pytest.fixture(scope="session")
def forecast(session) -> Forecast:
    """What an axis that loses by drag alone, and whose thread waves, will print."""
    dragging = with_guide(sound(session[0]), lambda guide: replace(guide, drag_n=8.0))
    waving = with_lift(
        dragging,
        lambda lift: replace(lift, thread=replace(lift.thread, turn_cos_mm=0.03)),
    )
    rng = np.random.default_rng(0)
    return foresee_on(session[0], one_axis(waving), Print(layers=14), rng=rng)
