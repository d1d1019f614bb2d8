"""How a nut is fixed to the gantry: what it lets go sideways, and what keeps it seated."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from plumbrise.elements.ranges import not_below_zero, one_of


@dataclass(frozen=True, slots=True)
class NutMount:
    """A way to fix a nut to its plate. Typical figures, common practice without a source.

    Attributes:
        id: its word.
        title: what people call it.
        lateral_freedom_mm: how far the nut can go to either side without a push, over friction.
        tilt_freedom_deg: how far it can lean.
        sliding_friction: friction of what slides sideways under the hanging weight.
        captive: holds the nut both up and down. If not, only weight keeps the two together.
        height_mm: travel that it takes away.
        words: what it is for.
    """

    id: str
    title: str
    lateral_freedom_mm: float
    tilt_freedom_deg: float
    sliding_friction: float
    captive: bool
    height_mm: float
    words: str


RIGID = NutMount(
    "rigid", "Screwed tight", 0.0, 0.0, inf, True, 0.0,
    "Passes on every wobble of the screw; the nut must have centred itself before it is nipped up.",
)  # fmt: skip
SLACK = NutMount(
    "slack", "Flange screws a quarter turn loose", 0.2, 0.5, 0.2, True, 0.0,
    "Costs nothing, finds its own place; the gap left under the screw heads is play when the "
    "weight does not press.",
)  # fmt: skip
TWO_AXIS_SLIDE = NutMount(
    "two-axis-slide", "Disc between crossed slots", 1.0, 0.5, 0.15, False, 12.0,
    "Lets the nut go sideways and keeps it from turning; lies on its weight alone.",
)  # fmt: skip
ROLLING = NutMount(
    "rolling", "Balls between two plates", 1.0, 0.0, 0.005, False, 14.0,
    "Goes sideways with hardly a push; lies on its weight alone.",
)  # fmt: skip
GIMBAL = NutMount(
    "gimbal", "Two crossed pivots", 0.0, 5.0, 0.1, True, 20.0,
    "Takes a nut that leans, not one that stands off its line.",
)  # fmt: skip
CAPTIVE_SLIDE = NutMount(
    "captive-slide", "Disc between crossed slots, held from above", 1.0, 0.5, 0.15, True, 16.0,
    "As the disc, with a plate on top that holds it down; its gap is play unless it is shimmed.",
)  # fmt: skip

MOUNTS = {
    mount.id: mount for mount in (RIGID, SLACK, TWO_AXIS_SLIDE, ROLLING, GIMBAL, CAPTIVE_SLIDE)
}


def mount(kind: str) -> NutMount:
    """The mount of this name.

    Raises:
        InputError: an unknown name.
    """
    one_of(MOUNTS, kind=kind)
    return MOUNTS[kind]


def freedom_needed_mm(
    *, orbit_mm: float, offset_mm: float, out_of_parallel_mm_per_mm: float, travel_mm: float
) -> float:
    """Sideways freedom, to either side, that keeps screw and guides from pushing each other.

        orbit + offset + out of parallel · travel / 2

    Args:
        orbit_mm: radius on which the bent screw's axis runs, see `screw_bow`.
        offset_mm: nut off the screw's line when it was fixed.
        out_of_parallel_mm_per_mm: between screw and guides.
        travel_mm: over which they run apart, the nut centred in the middle.

    Raises:
        InputError: a quantity below zero.

    Source:
        Worst case: all to one side.

    Example:
        >>> round(freedom_needed_mm(orbit_mm=0.2, offset_mm=0.1,
        ...                         out_of_parallel_mm_per_mm=0.3 / 250, travel_mm=250), 2)
        0.45
    """
    given = {
        "orbit_mm": orbit_mm,
        "offset_mm": offset_mm,
        "out_of_parallel_mm_per_mm": out_of_parallel_mm_per_mm,
        "travel_mm": travel_mm,
    }
    not_below_zero(**given)
    return orbit_mm + offset_mm + out_of_parallel_mm_per_mm * travel_mm / 2


def seat_force_n(*, hanging_weight_n: float, drag_n: float) -> float:
    """Force that presses the joint of an uncaptive mount together on the way down.

        N = W - D

    At zero or below the nut goes down and leaves the gantry standing; it drops when it is let go.

    Args:
        hanging_weight_n: W, that lies on the joint.
        drag_n: D, of the guides.

    Raises:
        InputError: a quantity below zero.

    Source:
        Statics.
    """
    not_below_zero(hanging_weight_n=hanging_weight_n, drag_n=drag_n)
    return hanging_weight_n - drag_n


def stays_together(
    *, mount: NutMount, hanging_weight_n: float, drag_n: float, spare: float = 1.5
) -> bool:
    """True where nut and gantry cannot part on the way down.

    An uncaptive mount needs the weight to be more than the drag with something to spare. None
    of it helps when the gantry runs on to something that stands in its way.

    Args:
        mount: how the nut is fixed.
        hanging_weight_n: on the joint.
        drag_n: of the guides, at its worst place.
        spare: weight over drag that is asked for; common practice, no source.

    Raises:
        InputError: a quantity below zero.
    """
    not_below_zero(spare=spare)
    seated = seat_force_n(hanging_weight_n=hanging_weight_n, drag_n=spare * drag_n)
    return mount.captive or seated > 0


def push_to_slide_n(*, mount: NutMount, hanging_weight_n: float) -> float:
    """Sideways push at which the mount gives way, and which the guides still feel.

        F = f W        without limit where the mount does not slide

    Raises:
        InputError: a weight below zero.

    Source:
        Coulomb's law of friction.

    Example:
        >>> round(push_to_slide_n(mount=TWO_AXIS_SLIDE, hanging_weight_n=12), 1)
        1.8
    """
    not_below_zero(hanging_weight_n=hanging_weight_n)
    if mount.lateral_freedom_mm == 0:
        return inf
    return mount.sliding_friction * hanging_weight_n
