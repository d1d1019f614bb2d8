"""Colours, line kinds and sizes of every drawing: one table a theme, one ramp for what is lost."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from enum import Enum

RAMP_STEPS_MM = (0.01, 0.02, 0.05, 0.1, 0.2)
"""Where the loss ramp changes colour. Never rescaled, so that two drawings can be laid side by
side."""


class Line(Enum):
    """How a thing is known, which decides how its line is drawn."""

    MEASURED = "measured"
    SHARED = "shared"
    COMPUTED = "computed"
    ASSUMED = "assumed"


DASHES = {
    Line.MEASURED: None,
    Line.SHARED: None,
    Line.COMPUTED: "5 3",
    Line.ASSUMED: ".1 4",
}
PHANTOM = "12 3 2 3 2 3"
CENTRE_LINE = "14 3 2 3"

OUTLINE_PX = 1.5
THIN_PX = 0.8
DIMENSION_PX = 0.9
PHANTOM_PX = 0.9
GROOVE_PX = 0.7
THINNEST_PART_PX = 3.0

NAME_PX = 14.0
VALUE_PX = 16.0
SMALL_PX = 12.5
FONTS = "'Atkinson Hyperlegible Next', 'Segoe UI', 'Noto Sans', system-ui, sans-serif"


@dataclass(frozen=True, slots=True)
class Theme:
    """The colours of one sheet. `ramp` goes from nothing lost to over 0.2 mm."""

    sheet: str
    ink: str
    soft: str
    rule: str
    hair: str
    meas: str
    lost: str
    stop: str
    sel: str
    wash: str
    ramp: tuple[str, str, str, str, str, str]


_LIGHT_RAMP = ("#f4eedf", "#efdcb4", "#e2b160", "#cf7f35", "#a9481f", "#661d0e")
_DARK_RAMP = ("#2b2a27", "#54422c", "#86592b", "#bd7832", "#eb9c50", "#ffd6a3")

THEMES = {
    "light": Theme(
        sheet="#fdfaf2",
        ink="#23282b",
        soft="#5a5f5c",
        rule="#8d8878",
        hair="#cfc6b3",
        meas="#0b5a73",
        lost="#8e3214",
        stop="#8a1f1f",
        sel="#f3ead2",
        wash="#e2edee",
        ramp=_LIGHT_RAMP,
    ),
    "dark": Theme(
        sheet="#1d1f1f",
        ink="#efe8d8",
        soft="#b0a999",
        rule="#7d7a70",
        hair="#45443e",
        meas="#7cc7dc",
        lost="#f0a35a",
        stop="#ff9c8a",
        sel="#33301f",
        wash="#1f3238",
        ramp=_DARK_RAMP,
    ),
    "print": Theme(
        sheet="#ffffff",
        ink="#000000",
        soft="#4c4c4c",
        rule="#8a8a8a",
        hair="#c4c4c4",
        meas="#0b5a73",
        lost="#8e3214",
        stop="#8a1f1f",
        sel="#eeeeee",
        wash="#f0f0f0",
        ramp=_LIGHT_RAMP,
    ),
}


def theme_named(name: str) -> Theme:
    """The theme of this name.

    Raises:
        KeyError: not one of light, dark and print.
    """
    return THEMES[name]


def ramp_step(loss_mm: float) -> int:
    """Which of the six colours of the ramp a loss takes, by its size whatever its sign.

    Example:
        >>> [ramp_step(x) for x in (0.0, 0.015, 0.05, 0.19, -0.3)]
        [0, 1, 2, 4, 5]
    """
    return bisect_left(RAMP_STEPS_MM, abs(loss_mm) - 1e-12)
