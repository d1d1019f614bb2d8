"""An invented answer, written by hand, beside the invented session."""

import pytest

from plumbrise.analyse import analyse
from plumbrise.demo import scenario
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
from plumbrise.readings import scale_of

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
                0.9,
                6,
                "It cuts the seat from the coupling",
                ("Over 0.13 mm means the seat.", "Under 0.05 mm means the coupling."),
            ),
        ),
        doubts=("The mass of the beam was assumed",),
    )
