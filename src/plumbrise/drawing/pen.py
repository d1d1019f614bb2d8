"""The pen of one drawing: line kinds by what is known of a part, fills by what a link loses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import View
from plumbrise.drawing.marking import ALL_TOGETHER, Marking, Row
from plumbrise.drawing.tokens import (
    CENTRE_LINE,
    DASHES,
    GROOVE_PX,
    OUTLINE_PX,
    PHANTOM,
    PHANTOM_PX,
    THIN_PX,
    THINNEST_PART_PX,
    Line,
    Theme,
    ramp_step,
)

Style = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Pen:
    """Theme, prefix of every id, marking, scale, and how far each end is moved (px, down). A pen
    for `new` parts draws dashed what is not there yet, one for `computed` parts what stands where
    no reading says."""

    theme: Theme
    prefix: str
    marking: Marking
    view: View
    moved: tuple[tuple[str, float], ...] = ()
    new: bool = False
    computed: bool = False

    def of(self, part: str) -> Pen:
        """The pen for a part, which may be one that is yet to come."""
        return replace(self, new=part in self.marking.new)

    def at_end(self, end: str) -> Pen:
        """The pen for what moves with an end of the moving part."""
        return replace(self, computed=end in self.marking.computed)

    def drop(self, end: str) -> float:
        """How far the moving part is drawn below its told place at this end, px."""
        return dict(self.moved).get(end, 0.0)

    def outline(self, part: str, fill: str | None = None) -> Style:
        """The outline of a part: dotted where its shape is assumed."""
        return self._stroke(part, OUTLINE_PX, self.theme.ink, fill or self.theme.sheet)

    def thin(self, part: str, fill: str | None = None) -> Style:
        """Inner lines of a part."""
        return self._stroke(part, THIN_PX, self.theme.ink, fill or "none")

    def groove(self, part: str) -> Style:
        """Grooves and hatches: left out of dotted parts by drawing them fainter."""
        return {"fill": "none", "stroke": self._groove_colour(part), "stroke_width": GROOVE_PX}

    def _groove_colour(self, part: str) -> str:
        if self.new:
            return self.theme.meas
        return self.theme.hair if part in self.marking.assumed else self.theme.rule

    def _stroke(self, part: str, width: float, colour: str, fill: str) -> Style:
        style: Style = {"fill": fill, "stroke": colour, "stroke_width": width}
        if self.new:
            style |= {"stroke": self.theme.meas, "stroke_dasharray": DASHES[Line.COMPUTED]}
            if fill != "none":
                style["fill"] = self.theme.wash
        elif self.computed:
            style["stroke_dasharray"] = DASHES[Line.COMPUTED]
        elif part in self.marking.assumed:
            style |= {"stroke_dasharray": DASHES[Line.ASSUMED], "stroke_linecap": "round"}
        else:
            style["stroke_linejoin"] = "round"
        return style

    def centre(self) -> Style:
        """A centre line."""
        return {
            "fill": "none",
            "stroke": self.theme.soft,
            "stroke_width": THIN_PX,
            "stroke_dasharray": CENTRE_LINE,
        }

    def phantom(self) -> Style:
        """Where a part was told to be."""
        return {
            "fill": "none",
            "stroke": self.theme.soft,
            "stroke_width": PHANTOM_PX,
            "stroke_dasharray": PHANTOM,
        }

    def row_fill(self, row: Row) -> str:
        """The fill of a dimension's bar: ramp, stripes, wash or nothing."""
        step = ramp_step(row.loss.value)
        return {
            Line.MEASURED: self.theme.ramp[step],
            Line.SHARED: f"url(#{self.prefix}stripe{step})",
            Line.COMPUTED: self.theme.wash,
            Line.ASSUMED: "none",
        }[row.known]

    def link_fill(self, link: str, side: str) -> str:
        """The fill of the part that a link is: that of its dimension, the sheet's where nothing
        is said of it or of the whole chain at once."""
        row = self.marking.row_of(link, side)
        if row is None or len(row.links) >= ALL_TOGETHER:
            return self.theme.sheet
        fill = self.row_fill(row)
        return self.theme.sheet if fill == "none" else fill

    def size(self, mm: float) -> float:
        """A thickness on the sheet, never under 3 px."""
        return max(mm * self.view.scale, THINNEST_PART_PX)

    def stripes(self) -> str:
        """The patterns that this drawing's shared dimensions need."""
        steps = sorted(
            {ramp_step(r.loss.value) for r in self.marking.all_rows if r.known is Line.SHARED}
        )
        return "".join(self._stripe(step) for step in steps)

    def _stripe(self, step: int) -> str:
        return svg.element(
            "pattern",
            svg.rect(0, 0, 5, 5, fill=self.theme.sheet),
            svg.line(0, 0, 0, 5, stroke=self.theme.ramp[step], stroke_width=4.4),
            id=f"{self.prefix}stripe{step}",
            width=5,
            height=5,
            patternUnits="userSpaceOnUse",
            patternTransform="rotate(45)",
        )
