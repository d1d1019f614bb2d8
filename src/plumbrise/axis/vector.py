"""The numbers of an axis as one flat vector, in natural units, and back.

A fitter holds `theta`, transforms the entries it frees as it likes, and hands them to
`plumbrise.axis.predict`. Every entry has a name: "weight_n", "seat_stiffness_n_per_mm:left",
"weights:right:2", "profile:left:0", "slip_n:frame-left". Thread and motor errors are not in the
vector: they enter readings linearly (`linear_terms`). What is a choice and not a number (which
end of the screw is held, on which guide a tight spot is strongest) stays in the `Parameters`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from plumbrise.axis.parameters import FrameJoint, Guide, Lift, Parameters, TightSpot

Floats = npt.NDArray[np.float64]
PartT = TypeVar("PartT", Lift, FrameJoint)

WHOLE = (
    "weight_n",
    "racking_n_per_mm",
    "load_place",
    "spot_strength",
    "spot_centre_mm",
    "spot_width_mm",
    "spot_share",
    "plunger_mm",
    "stiction",
    "droop_mm",
)
"""Entries that an axis has once, in order; the kernel counts on it."""
OF_LIFT = (
    "seat_stiffness_n_per_mm",
    "seat_travel_mm",
    "coupling_stiffness_n_per_mm",
    "bracket_stiffness_n_per_mm",
    "play_mm",
    "end_float_mm",
    "hold_n",
    "offset_mm",
    "lag_mm",
    "wind_up_mm_per_n",
    "misalignment_n",
    "misalignment_reach_mm",
    "seat_stiffening",
)
"""Entries of each lift, in order; the kernel counts on it."""
OF_GUIDE = ("drag_n", "reach_mm", "spread")
"""Entries of each guide, before its weights and its profile."""
OF_FRAME = ("stiffness_n_per_mm", "joint_stiffness_n_per_mm", "slip_n")


@dataclass(frozen=True, slots=True)
class Layout:
    """Where each number of an axis stands in its vector."""

    names: tuple[str, ...]

    def index(self, name: str) -> int:
        """Place of one entry.

        Raises:
            KeyError: no such entry.
        """
        if name not in self.names:
            raise KeyError(name)
        return self.names.index(name)

    def of(self, quantity: str) -> tuple[int, ...]:
        """Places of all entries of a quantity, over the ends and their elements or knots.

        Example:
            >>> from plumbrise.axis.parameters import sound
            >>> from plumbrise.machine import blank
            >>> layout = layout_of(sound(blank("one-screw")))
            >>> [layout.names[i] for i in layout.of("drag_n")]
            ['drag_n:left', 'drag_n:right']
        """
        return tuple(
            i for i, name in enumerate(self.names) if name.split(":", maxsplit=1)[0] == quantity
        )


def layout_of(parameters: Parameters) -> Layout:
    """Names of the vector of an axis of this make."""
    ends = parameters.ends
    names = list(WHOLE)
    names += [f"weight_share:{end}" for end in ends[:-1]]
    if len(ends) == 3:
        names.append("tilting_n_per_mm")
    for lift in parameters.lifts:
        names += [f"{name}:{lift.end}" for name in OF_LIFT]
    for guide in parameters.guides:
        names += [f"{name}:{guide.end}" for name in OF_GUIDE]
        names += [f"weights:{guide.end}:{k}" for k in range(len(guide.weights))]
        names += [f"profile:{guide.end}:{k}" for k in range(len(guide.profile))]
    for joint in parameters.frame:
        names += [f"{name}:{joint.station}" for name in OF_FRAME]
    return Layout(tuple(names))


def vector_of(parameters: Parameters) -> Floats:
    """The numbers of an axis in the order of its layout."""
    spot = parameters.tight_spot
    numbers = [
        parameters.weight_n,
        parameters.racking_n_per_mm,
        parameters.load_place,
        spot.strength,
        spot.centre_mm,
        spot.width_mm,
        spot.share,
        parameters.plunger_mm,
        parameters.stiction,
        parameters.droop_mm,
        *parameters.weight_shares[:-1],
    ]
    if len(parameters.ends) == 3:
        numbers.append(parameters.tilting_n_per_mm)
    for lift in parameters.lifts:
        numbers += [getattr(lift, name) for name in OF_LIFT]
    for guide in parameters.guides:
        numbers += [getattr(guide, name) for name in OF_GUIDE]
        numbers += [*guide.weights, *guide.profile]
    for joint in parameters.frame:
        numbers += [getattr(joint, name) for name in OF_FRAME]
    return np.array(numbers, dtype=np.float64)


def parameters_of(base: Parameters, theta: Floats) -> Parameters:
    """The axis that a vector describes; choices and thread errors are taken from `base`.

    Example:
        >>> from plumbrise.axis.parameters import sound
        >>> from plumbrise.machine import blank
        >>> axis = sound(blank("two-screw-tied"))
        >>> parameters_of(axis, vector_of(axis)) == axis
        True
    """
    left = iter(float(number) for number in theta)
    whole = {name: next(left) for name in WHOLE}
    some = [next(left) for _ in base.ends[:-1]]
    tilting = next(left) if len(base.ends) == 3 else base.tilting_n_per_mm
    lifts: list[Lift] = [_renumbered(lift, OF_LIFT, left) for lift in base.lifts]
    guides: list[Guide] = []
    for guide in base.guides:
        drag, reach, spread = (next(left) for _ in OF_GUIDE)
        guides.append(
            Guide(
                end=guide.end,
                drag_n=drag,
                reach_mm=reach,
                spread=spread,
                weights=tuple(next(left) for _ in guide.weights),
                profile=tuple(next(left) for _ in guide.profile),
            )
        )
    frame: list[FrameJoint] = [_renumbered(joint, OF_FRAME, left) for joint in base.frame]
    return replace(
        base,
        weight_n=whole["weight_n"],
        weight_shares=(*some, 1 - sum(some)),
        racking_n_per_mm=whole["racking_n_per_mm"],
        tilting_n_per_mm=tilting,
        lifts=tuple(lifts),
        guides=tuple(guides),
        load_place=whole["load_place"],
        tight_spot=TightSpot(
            strength=whole["spot_strength"],
            centre_mm=whole["spot_centre_mm"],
            width_mm=whole["spot_width_mm"],
            share=whole["spot_share"],
            end=base.tight_spot.end,
        ),
        frame=tuple(frame),
        plunger_mm=whole["plunger_mm"],
        stiction=whole["stiction"],
        droop_mm=whole["droop_mm"],
    )


def _renumbered(part: PartT, names: tuple[str, ...], left: Iterator[float]) -> PartT:
    changes: dict[str, Any] = {name: next(left) for name in names}
    return replace(part, **changes)
