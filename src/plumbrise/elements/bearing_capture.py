"""What holds a screw along its axis, both ways; which washer goes where; what must not rub."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Support:
    """Something that holds the screw along its axis at one place.

    Attributes:
        name: what it is, such as "thrust bearing" or "motor".
        at_top: at the upper end of the screw.
        against_sinking: keeps the screw from going down.
        against_rising: keeps it from going up.
        float_mm: how far the screw moves between the two.
    """

    name: str
    at_top: bool
    against_sinking: bool
    against_rising: bool
    float_mm: float = 0.0


class Held(Enum):
    """How a screw is held along its axis."""

    RIGHT = "held once each way"
    LOOSE = "not held against its load"
    CROSSED = "held down at one end and up at the other"
    TWICE = "held the same way at both ends"
    SHARED = "held the same way by two parts at one end"


@dataclass(frozen=True, slots=True)
class Capture:
    """Loads along the screw, what takes them, and whether that is as it should be.

    Attributes:
        sinking_n: largest force that pushes the screw down.
        rising_n: largest force that pushes it up; zero if nothing ever does.
        taken_by: names of what keeps it from sinking.
        kept_down_by: names of what keeps it from rising.
        held: the verdict.
        lifts_mm: how far the screw rises on the way down before it is stopped; None if nothing
            stops it.
    """

    sinking_n: float
    rising_n: float
    taken_by: tuple[str, ...]
    kept_down_by: tuple[str, ...]
    held: Held
    lifts_mm: float | None


def capture(*, supports: Sequence[Support], weight_n: float, drag_n: float) -> Capture:
    """What holds the screw when the axis goes up and when it goes down.

        sinking:  W + D, on the way up        rising:  max(0, D - W), on the way down

    A screw should be stopped both ways at one end, and be free to grow at the other. On the way
    down the gantry may hang in its guides: the nut then pulls the screw up out of a bearing that
    only carries.

    Args:
        supports: all that holds it along its axis.
        weight_n: W, on this screw's nut.
        drag_n: D, of the guides.

    Raises:
        InputError: weight or drag below zero.

    Source:
        Statics. One end fixed along the axis, the other floating: common practice.

    Example:
        A thrust bearing that only carries, drag above the weight, nothing to keep the screw down:

        >>> below = Support("thrust bearing", at_top=False, against_sinking=True,
        ...                 against_rising=False)
        >>> found = capture(supports=[below], weight_n=6, drag_n=8)
        >>> found.held.value, found.rising_n, found.lifts_mm
        ('not held against its load', 2, None)
    """
    not_below_zero(weight_n=weight_n, drag_n=drag_n)
    rising = max(drag_n - weight_n, 0.0)
    down = [support for support in supports if support.against_sinking]
    up = [support for support in supports if support.against_rising]
    stops_at = min((support.float_mm for support in up), default=None)
    return Capture(
        sinking_n=weight_n + drag_n,
        rising_n=rising,
        taken_by=tuple(support.name for support in down),
        kept_down_by=tuple(support.name for support in up),
        held=_verdict(down, up, rising > 0),
        lifts_mm=stops_at if rising > 0 else 0.0,
    )


def _verdict(down: list[Support], up: list[Support], rises: bool) -> Held:
    """Stops at both ends lock growth in; two at one end share the load as chance has it."""
    if not down or (rises and not up):
        return Held.LOOSE
    sinking_at = {support.at_top for support in down}
    rising_at = {support.at_top for support in up}
    if len(sinking_at) == 2 or len(rising_at) == 2:
        return Held.TWICE
    if len(sinking_at | rising_at) == 2:
        return Held.CROSSED
    return Held.SHARED if len(down) > 1 or len(up) > 1 else Held.RIGHT


LEAST_WASHER_CLEARANCE_MM = 0.1
"""Between housing washer and shaft, over the diameter (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class WasherPlaces:
    """Which washer of a thrust bearing, by its place in the list given, belongs where."""

    shaft_washer: int
    housing_washer: int
    runs_clear_mm: float


def washer_places(*, first_bore_mm: float, second_bore_mm: float, shaft_mm: float) -> WasherPlaces:
    """Tell the two washers of a thrust ball bearing apart by their bores.

    The shaft washer is bored to the shaft and turns with it; it lies against the shoulder or
    collar that the load comes from. The housing washer is bored wider, lies on the block, and the
    shaft must turn in it without touching.

    Args:
        first_bore_mm: of the one washer, measured.
        second_bore_mm: of the other.
        shaft_mm: diameter that goes through them.

    Returns:
        Places counted from 0, and how much wider than the shaft the housing washer is.

    Raises:
        InputError: washers alike, a shaft that does not enter, or one that rubs.

    Source:
        ISO 104: the housing washer's bore is the larger one.

    Example:
        >>> washer_places(first_bore_mm=11.0, second_bore_mm=10.0, shaft_mm=9.99)
        WasherPlaces(shaft_washer=1, housing_washer=0, runs_clear_mm=1.01)
    """
    above_zero(first_bore_mm=first_bore_mm, second_bore_mm=second_bore_mm, shaft_mm=shaft_mm)
    small, wide = sorted((first_bore_mm, second_bore_mm))
    if wide - small < LEAST_WASHER_CLEARANCE_MM:
        raise InputError(
            place="second_bore_mm",
            value=second_bore_mm,
            allowed=f"a bore {LEAST_WASHER_CLEARANCE_MM:g} mm or more away from {first_bore_mm:g}",
            remedy="Measure both again; the wider one lies in the block.",
        )
    largest = min(small, wide - LEAST_WASHER_CLEARANCE_MM)
    if shaft_mm > largest:
        raise InputError(
            place="shaft_mm",
            value=shaft_mm,
            allowed=f"up to {largest:g} mm",
            remedy="It goes into the one by hand and must not touch the other.",
        )
    turning = 0 if first_bore_mm == small else 1
    return WasherPlaces(turning, 1 - turning, round(wide - shaft_mm, 6))


@dataclass(frozen=True, slots=True)
class RunningGap:
    """Gap between a turning pulley and the block under it, and what it has to be, mm."""

    gap_mm: float
    needed_mm: float

    @property
    def rubs(self) -> bool:
        """True where the pulley can touch the block."""
        return self.gap_mm < self.needed_mm


def pulley_gap(
    *,
    bearing_width_mm: float,
    seat_depth_mm: float,
    spacer_mm: float,
    pulley_radius_mm: float,
    tilt_mm_per_mm: float,
    settling_mm: float = 0.05,
    spare_mm: float = 0.2,
) -> RunningGap:
    """Gap under a pulley that sits on a thrust bearing in the block that carries the weight.

        gap = width - seat depth + spacer        needed = r · tilt + settling + spare

    The pulley may touch the turning washer, or a spacer on it no wider than that washer, and
    nothing else: one that rubs on the block carries the weight by its flange and brakes.

    Args:
        bearing_width_mm: height of the bearing.
        seat_depth_mm: how deep it is let into the block.
        spacer_mm: between bearing and pulley.
        pulley_radius_mm: r, over its flange.
        tilt_mm_per_mm: of pulley against block, seat and bore out of square together.
        settling_mm: what seat and bearing give under load.
        spare_mm: to be left over; common practice, no source.

    Raises:
        InputError: a width or radius not above zero, anything else below zero.

    Source:
        Geometry.

    Example:
        >>> gap = pulley_gap(bearing_width_mm=9, seat_depth_mm=9, spacer_mm=0, pulley_radius_mm=15,
        ...                  tilt_mm_per_mm=0.005)
        >>> gap.rubs, round(gap.needed_mm, 3)
        (True, 0.325)
    """
    above_zero(bearing_width_mm=bearing_width_mm, pulley_radius_mm=pulley_radius_mm)
    not_below_zero(
        seat_depth_mm=seat_depth_mm,
        spacer_mm=spacer_mm,
        tilt_mm_per_mm=tilt_mm_per_mm,
        settling_mm=settling_mm,
        spare_mm=spare_mm,
    )
    return RunningGap(
        gap_mm=bearing_width_mm - seat_depth_mm + spacer_mm,
        needed_mm=pulley_radius_mm * tilt_mm_per_mm + settling_mm + spare_mm,
    )
