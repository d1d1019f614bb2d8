"""Labels on a drawing: lines of text that keep clear of each other and of the sheet's edge."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from plumbrise.drawing import svg
from plumbrise.drawing.letters import Box, text_box

LINE_STEP = 1.3
CLEAR_PX = 2.0
ASIDE_PX = 6.0
"""A stand-in font makes lines longer, never taller."""
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Words:
    """One line of a label."""

    text: str
    size_px: float
    fill: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a label: base line of its first line, and which end of the text stands there."""

    x: float
    y: float
    anchor: str = "start"


class Labels:
    """The labels of one sheet as they are placed, one after the other."""

    def __init__(self, bounds: Box, avoided: Iterable[Box] = ()) -> None:
        self._bounds = bounds
        self._taken: list[Box] = []
        self._avoided = list(avoided)
        self._lines: list[tuple[Point, Point]] = []
        self._signs: list[Box] = []

    def reserve(self, box: Box) -> None:
        """Keep other labels, and leaders, off a rectangle."""
        self._taken.append(box)

    def rule(self, start: Point, end: Point) -> None:
        """Keep labels off a line that is drawn; other lines may cross it."""
        self._lines.append((start, end))

    def sign(self, at: Point, radius_px: float) -> None:
        """Keep labels off a small sign from which a leader may start."""
        self._signs.append(Box(*at, *at).grown(radius_px))

    def open_to(self, start: Point, end: Point) -> bool:
        """True where a leader from one point to another crosses no label."""
        return not any(crossed(box.grown(CLEAR_PX), start, end) for box in self._taken)

    def clear(self, box: Box, *, keep_off_parts: bool = True) -> bool:
        """True where a rectangle lies on the sheet and on no label (and no part)."""
        if not box.grown(CLEAR_PX).inside(self._bounds):
            return False
        if any(crossed(box, *line) for line in self._lines):
            return False
        avoided = self._avoided if keep_off_parts else []
        return not any(box.overlaps(other) for other in (*self._taken, *self._signs, *avoided))

    def place(
        self,
        lines: Sequence[Words],
        spots: Iterable[Spot],
        *,
        must: bool,
        suits: Callable[[Spot], bool] = lambda _: True,
    ) -> Spot | None:
        """The first of the spots where the label stands clear of labels and parts.

        A label that must be written looks further over the whole sheet when no spot is free, and
        stands on a part only where the sheet has no other room; another is left out (None).
        `suits` may rule spots out, such as those whose leader would cross a label.
        """
        wanted = list(spots)
        for keep_off_parts in (True, False) if must else (True,):
            for spot in wanted:
                if self._free(lines, spot, keep_off_parts) and suits(spot):
                    return self._take(lines, spot)
            for spot in self.everywhere(wanted[0]) if must and wanted else ():
                if self._free(lines, spot, keep_off_parts):
                    return self._take(lines, spot)
        return None

    def _take(self, lines: Sequence[Words], spot: Spot) -> Spot:
        box = box_of(lines, spot).grown(CLEAR_PX)
        aside = replace(box, left=box.left - ASIDE_PX, right=box.right + ASIDE_PX)
        self._taken.append(aside)
        return spot

    def _free(self, lines: Sequence[Words], spot: Spot, keep_off_parts: bool) -> bool:
        return self.clear(box_of(lines, spot), keep_off_parts=keep_off_parts)

    def everywhere(self, near: Spot) -> Iterator[Spot]:
        """Spots over the whole sheet, nearest first."""
        b = self._bounds
        columns = int((b.right - b.left) // 12) + 1
        rows = int((b.bottom - b.top) // 8) + 1
        spots = [
            Spot(b.left + 12 * i, b.top + 8 * j, near.anchor)
            for i in range(columns)
            for j in range(rows)
        ]
        return iter(sorted(spots, key=lambda s: (s.x - near.x) ** 2 + (s.y - near.y) ** 2))


def crossed(box: Box, start: Point, end: Point) -> bool:
    """True where a straight line runs through a rectangle.

    Example:
        >>> box = Box(0, 0, 10, 10)
        >>> crossed(box, (-5, 5), (15, 6)), crossed(box, (-5, 5), (5, 15))
        (True, False)
    """
    (x, y), dx, dy = start, end[0] - start[0], end[1] - start[1]
    enters, leaves = 0.0, 1.0
    for along, room in (
        (-dx, x - box.left),
        (dx, box.right - x),
        (-dy, y - box.top),
        (dy, box.bottom - y),
    ):
        if along == 0:
            if room <= 0:
                return False
            continue
        share = room / along
        if along < 0:
            enters = max(enters, share)
        else:
            leaves = min(leaves, share)
    return enters < leaves


def box_of(lines: Sequence[Words], spot: Spot) -> Box:
    """The rectangle that a label covers at a spot."""
    boxes = [
        text_box(words.text, spot.x, y, words.size_px, anchor=spot.anchor, bold=words.bold)
        for words, y in zip(lines, _base_lines(lines, spot.y), strict=True)
    ]
    return Box(
        min(b.left for b in boxes),
        min(b.top for b in boxes),
        max(b.right for b in boxes),
        max(b.bottom for b in boxes),
    )


def _base_lines(lines: Sequence[Words], first: float) -> list[float]:
    ys, y = [], first
    for i, words in enumerate(lines):
        if i:
            y += words.size_px * LINE_STEP
        ys.append(y)
    return ys


def written(lines: Sequence[Words], spot: Spot, *, halo: str | None = None) -> str:
    """The label as SVG text at its spot."""
    return "".join(
        svg.text(
            words.text,
            spot.x,
            y,
            words.size_px,
            fill=words.fill,
            anchor=spot.anchor,
            bold=words.bold,
            halo=halo,
        )
        for words, y in zip(lines, _base_lines(lines, spot.y), strict=True)
    )
