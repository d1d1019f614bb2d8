"""A wall cut across: every bead of the first layers to scale, beside where it was told to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.drawing import svg
from plumbrise.drawing.tokens import (
    DASHES,
    DIMENSION_PX,
    NAME_PX,
    OUTLINE_PX,
    PHANTOM,
    PHANTOM_PX,
    SMALL_PX,
    VALUE_PX,
    Line,
    Theme,
    ramp_step,
    theme_named,
)
from plumbrise.foresee import Layer

HEIGHT_PX, TOP_PX, FOOT_PX, SIDE_PX = 430.0, 92.0, 40.0, 12.0
MOST_LAYERS = 10
NARROW_PX, WIDE_ENOUGH_PX = 150.0, 560.0
"""A column narrower than the first leaves one out; a sheet narrower than the second some words."""
WIDEST_MM = 1.3
"""Beads wider than this are cut off at their column's edge."""


@dataclass(frozen=True, slots=True)
class Bead:
    """One bead in the section, mm: how wide (None: no bead to speak of), from where to where,
    and by how much its layer is off."""

    wide_mm: float | None
    low_mm: float
    high_mm: float
    off_mm: float


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall: its name, beads from the bed up, told thickness of each, width of a line as told,
    and by how much the top is off."""

    name: str
    beads: tuple[Bead, ...]
    told_mm: tuple[float, ...]
    width_mm: float
    off_mm: float


def wall_of(layers: Sequence[Layer], place: str, name: str, width_mm: float) -> Wall:
    """The wall that these layers make at a place."""
    beads, low = [], 0.0
    shown = layers[:MOST_LAYERS]
    for layer in shown:
        at = layer.at[place]
        high = low + max(at.gap_mm.estimate, 0.0)
        off = at.gap_mm.estimate - layer.nominal_mm
        wide = None if at.width_mm is None else at.width_mm.estimate
        beads.append(Bead(wide, low, high, off))
        low = high
    told = tuple(layer.nominal_mm for layer in shown)
    return Wall(name, tuple(beads), told, width_mm, low - sum(told))


def wall_section(
    walls: Sequence[Wall], *, theme: str = "light", width_px: int = 700, prefix: str = "wall-"
) -> str:
    """Walls in section side by side, every length to one scale, layers coloured by how far they
    are off; chain lines show where each was told to be. As many walls as the sheet has room for.

    Raises:
        KeyError: no such theme.
    """
    look = theme_named(theme)
    shown = walls[: max(1, int((width_px - 2 * SIDE_PX) / NARROW_PX))]
    column = (width_px - 2 * SIDE_PX) / len(shown)
    high = max(max(sum(wall.told_mm), wall.beads[-1].high_mm) for wall in shown)
    wide = max(b.wide_mm or wall.width_mm for wall in shown for b in wall.beads)
    scale = min((HEIGHT_PX - TOP_PX - FOOT_PX) / high, (column - 40) / min(wide, WIDEST_MM))
    made = [
        _wall(wall, SIDE_PX + (k + 0.5) * column, column, scale, look)
        for k, wall in enumerate(shown)
    ]
    bed = HEIGHT_PX - FOOT_PX
    made.append(
        svg.line(SIDE_PX, bed, width_px - SIDE_PX, bed, stroke=look.ink, stroke_width=OUTLINE_PX)
    )
    made.append(_scale_bar(shown[0].width_mm, scale, width_px, look))
    return svg.sheet(
        made,
        width_px=width_px,
        height_px=HEIGHT_PX,
        prefix=prefix,
        title="The wall in section",
        description=_words(shown),
        background=look.sheet,
    )


def _wall(wall: Wall, middle: float, column: float, scale: float, look: Theme) -> str:
    bed, width_mm = HEIGHT_PX - FOOT_PX, wall.width_mm
    made = [_bead(bead, middle, bed, scale, column - 24, look) for bead in wall.beads]
    low = 0.0
    for height in wall.told_mm:
        made.append(_told(low, low + height, width_mm, middle, bed, scale, look))
        low += height
    made.append(svg.text(wall.name, middle, 24, NAME_PX, fill=look.ink, anchor="middle"))
    short = "short" if wall.off_mm < 0 else "too high"
    words = f"{abs(wall.off_mm):.2f} mm {short}" if abs(wall.off_mm) >= 0.005 else "as told"
    made.append(svg.text(words, middle, 46, VALUE_PX, fill=look.lost, anchor="middle", bold=True))
    top, real = bed - low * scale, bed - wall.beads[-1].high_mm * scale
    edge = middle + 0.5 * width_mm * scale + 8
    if abs(top - real) > 4:
        made.append(svg.line(edge, top, edge, real, stroke=look.lost, stroke_width=DIMENSION_PX))
        made += [
            svg.line(edge - 4, y, edge + 4, y, stroke=look.lost, stroke_width=DIMENSION_PX)
            for y in (top, real)
        ]
    made.append(_worst(wall, middle, look))
    return svg.group(made)


def _worst(wall: Wall, middle: float, look: Theme) -> str:
    """Under the wall's value: the layer that is furthest off, and how far it stands out."""
    number = max(range(len(wall.beads)), key=lambda k: abs(wall.beads[k].off_mm))
    bead = wall.beads[number]
    if abs(bead.off_mm) < 0.01:
        return ""
    lines = [f"layer {number + 1}: {bead.off_mm:+.2f} mm"]
    if bead.wide_mm is not None:
        lines.append(f"sides {(bead.wide_mm - wall.width_mm) / 2:+.2f} mm")
    return svg.group(
        svg.text(words, middle, 64 + 15 * k, SMALL_PX, fill=look.soft, anchor="middle")
        for k, words in enumerate(lines)
    )


def _bead(
    bead: Bead, middle: float, bed: float, scale: float, widest_px: float, look: Theme
) -> str:
    low, high = bed - bead.low_mm * scale, bed - bead.high_mm * scale
    if low - high < 0.3:
        return ""
    cut = bead.wide_mm is None
    half = min((bead.wide_mm or 0.0) * scale, widest_px) / 2 if not cut else widest_px / 2
    return svg.rect(
        middle - half,
        high,
        middle + half,
        low,
        round_px=0.0 if cut else min((low - high) / 2, half),
        fill="none" if cut else look.ramp[ramp_step(abs(bead.off_mm))],
        stroke=look.ink,
        stroke_width=0.8,
        stroke_dasharray=DASHES[Line.COMPUTED],
    )


def _told(
    low: float, high: float, wide: float, middle: float, bed: float, scale: float, look: Theme
) -> str:
    return svg.rect(
        middle - wide * scale / 2,
        bed - high * scale,
        middle + wide * scale / 2,
        bed - low * scale,
        round_px=min(high - low, wide) * scale / 2,
        fill="none",
        stroke=look.soft,
        stroke_width=PHANTOM_PX,
        stroke_dasharray=PHANTOM,
    )


def _scale_bar(width_mm: float, scale: float, width_px: float, look: Theme) -> str:
    y, left = HEIGHT_PX - 14, SIDE_PX + 4
    right = left + width_mm * scale
    words = f"{width_mm:g} mm, the line as told"
    if width_px > WIDE_ENOUGH_PX:
        words += "; chain lines: where each layer was told to be"
    return svg.group(
        [
            svg.line(left, y - 4, right, y - 4, stroke=look.ink, stroke_width=DIMENSION_PX),
            svg.line(left, y - 8, left, y, stroke=look.ink, stroke_width=DIMENSION_PX),
            svg.line(right, y - 8, right, y, stroke=look.ink, stroke_width=DIMENSION_PX),
            svg.text(words, right + 8, y, SMALL_PX, fill=look.soft),
        ]
    )


def _words(walls: Sequence[Wall]) -> str:
    parts = [f"{wall.name}: top off by {wall.off_mm:+.2f} mm" for wall in walls]
    return f"First {len(walls[0].beads)} layers, cut across. {'; '.join(parts)}."
