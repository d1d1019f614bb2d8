"""The four arrangements of screws that Plumbrise knows."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Arrangement:
    """How many screws carry the moving part, on which sides, and whether a belt ties them.

    `sides` are the places of the screws, `ends` the places whose height is read and that have
    a guide each, `body` the moving part ("gantry" or "bed"), `motors` how many motors turn the
    screws.
    """

    id: str
    title: str
    sides: tuple[str, ...]
    ends: tuple[str, ...]
    body: str
    motors: int
    tied: bool


ONE_SCREW = Arrangement("one-screw", "One screw", ("left",), ("left", "right"), "gantry", 1, False)
TWO_SCREW = Arrangement(
    "two-screw",
    "Two screws, two motors",
    ("left", "right"),
    ("left", "right"),
    "gantry",
    2,
    False,
)
TWO_SCREW_TIED = Arrangement(
    "two-screw-tied",
    "Two screws tied by a belt",
    ("left", "right"),
    ("left", "right"),
    "gantry",
    1,
    True,
)
THREE_SCREW_BED = Arrangement(
    "three-screw-bed",
    "Bed on three screws",
    ("left", "right", "back"),
    ("left", "right", "back"),
    "bed",
    3,
    False,
)

ARRANGEMENTS = {a.id: a for a in (ONE_SCREW, TWO_SCREW, TWO_SCREW_TIED, THREE_SCREW_BED)}
SIDES = ("left", "right", "back")
