"""How wide a line of text will be: widths of letters, so that labels can be laid out without
drawing them first."""

from __future__ import annotations

from dataclasses import dataclass

_REGULAR = {
    21: "'",
    24: ",.:;`j|·",
    28: "il ",
    31: '!"()f[',
    36: "t]{}r°-",
    41: "_/I\\1",
    49: "yvzs*?cxk",
    52: "7Ja",
    56: "×Leu2<>F^hnoTdg~",
    60: "EYbpq3±$5PSV69",
    63: "+4BRZ−8X=AK",
    68: "C#0€D…wGHNU",
    73: "OQ&",
    82: "@M",
    88: "mW",
    92: "%",
}
_WIDTH = {letter: width / 100 for width, letters in _REGULAR.items() for letter in letters}
_TABULAR = 0.62
"""Figures stand in columns: all as wide as the widest."""
_WIDE = 1.0
"""Letters that the table does not hold, such as those of other scripts."""
_BOLD = 1.06
_SLACK = 1.08
"""A stand-in font may run wider than ours."""
ASCENT, DESCENT = 0.78, 0.22
"""Share of the letter size above and below the base line that ink can reach."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet, px, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """True where the two have more than an edge in common.

        Example:
            >>> Box(0, 0, 10, 10).overlaps(Box(10, 0, 20, 10))
            False
        """
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def inside(self, other: Box) -> bool:
        """True where this one does not stick out of the other."""
        return (
            self.left >= other.left
            and self.top >= other.top
            and self.right <= other.right
            and self.bottom <= other.bottom
        )

    def grown(self, by_px: float) -> Box:
        """The same with a margin all round."""
        return Box(self.left - by_px, self.top - by_px, self.right + by_px, self.bottom + by_px)


def text_width(text: str, size_px: float, *, bold: bool = False) -> float:
    """Estimated width of a line of text, px, rather too wide than too narrow.

    Example:
        >>> text_width("0.19", 16) > text_width("0.1", 16)
        True
    """
    ems = sum(_TABULAR if c.isdigit() else _WIDTH.get(c, _WIDE) for c in text)
    return ems * size_px * _SLACK * (_BOLD if bold else 1.0)


def text_box(
    text: str, x: float, y: float, size_px: float, *, anchor: str = "start", bold: bool = False
) -> Box:
    """The rectangle that a line of text covers when its base line starts, ends or is centred at
    (x, y)."""
    width = text_width(text, size_px, bold=bold)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    return Box(left, y - ASCENT * size_px, left + width, y + DESCENT * size_px)


def shortened(text: str, size_px: float, width_px: float, *, bold: bool = False) -> str:
    """The text, or as much of its start as fits, with an ellipsis.

    Example:
        >>> shortened("Shed printer", 14, 400)
        'Shed printer'
        >>> shortened("Shed printer", 14, 60)
        'Shed p…'
    """
    if text_width(text, size_px, bold=bold) <= width_px:
        return text
    kept = text
    while kept and text_width(kept.rstrip() + "…", size_px, bold=bold) > width_px:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, size_px: float, width_px: float, *, bold: bool = False) -> tuple[str, ...]:
    """The text in lines no wider than `width_px`; a word that is wider is cut short.

    Example:
        >>> wrapped("Screw + nut + bracket", 14, 90)
        ('Screw + nut', '+ bracket')
    """
    lines: list[str] = []
    current = ""
    for word in text.split():
        longer = f"{current} {word}".strip()
        if current and text_width(longer, size_px, bold=bold) > width_px:
            lines.append(current)
            current = word
        else:
            current = longer
    if current:
        lines.append(current)
    return tuple(shortened(line, size_px, width_px, bold=bold) for line in lines)
