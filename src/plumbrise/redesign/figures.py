"""The figures that a change is judged by, and the targets set for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.quantity import typed


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: `limit` is the target taken unless a person sets another, `wanted` whether it
    is a target unless asked for. `limit` 0 with an empty unit marks one that must hold."""

    id: str
    title: str
    words: str
    unit: str
    limit: float
    wanted: bool
    block: str


MOTION, BANDS, HOME, SCALE, FRAME = "motion", "bands", "home", "scale", "frame"
"""Figures of one block are altered by the same changes."""

LOST_MOTION = Figure(
    "lost-motion",
    "Lost motion after homing",
    "What the worse end of the moving part loses between homing from above and settled lifting.",
    "mm",
    0.05,
    True,
    MOTION,
)
SIDES = Figure(
    "sides",
    "Difference of the sides",
    "By how much one end loses more than another after homing.",
    "mm",
    0.05,
    True,
    MOTION,
)
STAYS_UP = Figure(
    "stays-up",
    "Stays up with the motors off",
    "Friction of thread and guides and the motor's own holding keep the moving part from running "
    "down.",
    "",
    0.0,
    False,
    MOTION,
)
BAND = Figure(
    "bands",
    "Band amplitude",
    "Height error that comes back once a turn and every four full steps, half of peak to peak.",
    "mm",
    0.015,
    False,
    BANDS,
)
HOME_RANGE = Figure(
    "home-range",
    "Range of ten homings",
    "From the lowest to the highest of ten homings.",
    "mm",
    0.03,
    False,
    HOME,
)
HEIGHT = Figure(
    "height",
    "Height error over 100 mm",
    "What a part of 100 mm comes out too tall or too short.",
    "mm",
    0.2,
    False,
    SCALE,
)
PUSH = Figure(
    "push",
    "Upright under a push of 10 N",
    "How far the weaker upright goes under a sideways push of 10 N at the height that was read.",
    "mm",
    0.1,
    False,
    FRAME,
)
FIGURES = {f.id: f for f in (LOST_MOTION, SIDES, BAND, HOME_RANGE, HEIGHT, PUSH, STAYS_UP)}
"""By id. The limits are those of a good light axis: common practice, no source."""

RANGE_OF_TEN = 3.078
"""Mean range of ten normal values by their standard deviation (d2 of control charts)."""


@dataclass(frozen=True, slots=True)
class Target:
    """A figure and the most it may be."""

    figure: Figure
    limit: float

    @property
    def words(self) -> str:
        """The target in a few words.

        Example:
            >>> Target(LOST_MOTION, 0.05).words
            'lost motion after homing at most 0.05 mm'
        """
        title = self.figure.title[0].lower() + self.figure.title[1:]
        return title if not self.figure.unit else f"{title} at most {self.limit:g} mm"


LEAST_MM, MOST_MM = 0.0001, 10.0
"""Limits that can be meant."""


def limit_of(figure: Figure, said: str) -> float:
    """The most that a figure may be as a person types it: mm, or any unit of length; for the
    height error a share too, since that is a length over 100 mm.

    Raises:
        InputError: no length, or one that cannot be meant.

    Example:
        >>> limit_of(LOST_MOTION, "50 um"), limit_of(HEIGHT, "0,2 %")
        (0.05, 0.2)
    """
    cleaned = said.strip()
    if figure is HEIGHT and cleaned.endswith("%"):
        cleaned = cleaned.removesuffix("%") + " mm"
    return _meant(figure, typed(cleaned, "length", figure.title), said)


def _meant(figure: Figure, limit: float, said: object) -> float:
    """A limit, where it is one that can be meant."""
    if figure is not STAYS_UP and not LEAST_MM <= limit <= MOST_MM:
        raise InputError(
            place=figure.title,
            value=said,
            allowed=f"{LEAST_MM:g} to {MOST_MM:g} mm",
            remedy="Correct it.",
        )
    return limit


def targets_of(
    limits: Mapping[str, float] | None = None, *, stays_up: bool = False
) -> tuple[Target, ...]:
    """Targets from limits by figure id; without any, those that are wanted anyway.

    Raises:
        InputError: no such figure, or a limit that cannot be meant.

    Example:
        >>> [t.figure.id for t in targets_of()]
        ['lost-motion', 'sides']
        >>> [t.words for t in targets_of({"bands": 0.01}, stays_up=True)]
        ['band amplitude at most 0.01 mm', 'stays up with the motors off']
    """
    for figure in limits or {}:
        if figure not in FIGURES:
            raise InputError(
                place="figure",
                value=figure,
                allowed="one of " + ", ".join(f for f in FIGURES if FIGURES[f].unit),
                remedy="Name one of these.",
            )
    limits = {id_: _meant(FIGURES[id_], mm, mm) for id_, mm in (limits or {}).items()}
    if not limits:
        limits = {f.id: f.limit for f in FIGURES.values() if f.wanted}
    if stays_up:
        limits[STAYS_UP.id] = STAYS_UP.limit
    return tuple(Target(f, limits[f.id]) for f in FIGURES.values() if f.id in limits)
