"""A thread and what it carries: inputs and sums that the sheets along a screw share."""

from __future__ import annotations

from plumbrise.elements.screw_holding import Standing
from plumbrise.elements.screw_thread import TrapezoidalThread, trapezoidal_of_lead
from plumbrise.elements.worked import Asked, Given, Sum, Trust, Verdict
from plumbrise.quantity import GRAVITY_M_PER_S2

THREAD, LOAD = "The screw and its thread", "What it carries"
"""Headings of these inputs."""

ASKED_THREAD = (
    Asked("diameter_mm", "diameter of the screw over the crests", "mm", 8.0,
          Trust.COMMON_PRACTICE, low=5, high=100, group=THREAD, field="screw.diameter_mm",
          factor=1.02),
    Asked("lead_mm", "travel in a turn", "mm", low=1.5, high=100, group=THREAD,
          field="screw.lead_mm"),
    Asked("starts", "threads side by side; pitch is lead over starts", "", 4,
          Trust.COMMON_PRACTICE, low=1, high=12, whole=True, group=THREAD, field="screw.starts"),
)  # fmt: skip
ASKED_WEIGHT = (
    Asked("mass_kg", "mass that the screws carry together", "kg", 1.2, Trust.COMMON_PRACTICE,
          low=0, high=200, group=LOAD, field="gantry.mass_kg"),
    Asked("screws", "screws that share it", "", 1, Trust.GUESS, low=1, high=4, whole=True,
          group=LOAD),
)  # fmt: skip
ASKED_DRAG = (
    Asked("drag_n", "drag of one guide, at its worst height", "N", 2.0, Trust.GUESS, low=0,
          high=500, group=LOAD, field="guide.drag_n"),
    Asked("guides", "guides that hang on this screw", "", 2, Trust.GUESS, low=0, high=8,
          whole=True, group=LOAD),
)  # fmt: skip
THREAD_USES = ("diameter_mm", "lead_mm", "starts")


def thread_of(given: Given) -> TrapezoidalThread:
    """The thread that was asked for.

    Raises:
        InputError: lead and starts that make no pitch of this diameter.
    """
    return trapezoidal_of_lead(
        nominal_mm=given.number("diameter_mm"),
        lead_mm=given.number("lead_mm"),
        starts=given.count("starts"),
    )


def weight_n(given: Given) -> float:
    """Weight on one screw."""
    return given.number("mass_kg") * GRAVITY_M_PER_S2 / given.count("screws")


def all_drag_n(given: Given) -> float:
    """Drag of the guides that hang on one screw."""
    return given.number("drag_n") * given.count("guides")


def weight_sum(given: Given) -> Sum:
    """The line of the weight."""
    return Sum(
        "weight_n", "weight on this screw", "W", "m g / screws", ("mass_kg", "screws"),
        weight_n(given), "N",
    )  # fmt: skip


def drag_sum(given: Given) -> Sum:
    """The line of the drag."""
    return Sum(
        "all_drag_n", "drag of its guides", "D", "drag · guides", ("drag_n", "guides"),
        all_drag_n(given), "N", 2,
    )  # fmt: skip


_STANDING = {
    Standing.HOLDS: ("With the motor off what it carries stays up.", True),
    Standing.CLOSE: (
        "With the motor off what it carries may stay up or run down: too close to tell.",
        False,
    ),
    Standing.FALLS: ("With the motor off what it carries runs down.", False),
}


def standing_verdict(standing: Standing, *uses: str) -> Verdict:
    """Whether it stays up with the motor off, in the same words on every sheet."""
    return Verdict(*_STANDING[standing], uses)
