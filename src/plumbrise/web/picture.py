"""A drawing as a sheet shows it: drawn for wide and for narrow windows, in the page's colours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from plumbrise.report.pictures import following_the_page
from plumbrise.web.sheet_drawing import with_addresses

NARROW_PX = 350


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture, for wide and narrow windows."""

    wide: str
    narrow: str


def picture(
    name: str, draw: Callable[[str, int], str], *, wide_px: int, narrow_px: int = NARROW_PX
) -> Picture:
    """A drawing in both widths, without a style of its own.

    Args:
        name: begins the ids inside the drawing, one name a sheet.
        draw: takes what ids begin with, and a width.
        wide_px: width where there is room.
        narrow_px: width on a phone.
    """

    def followed(kind: str, width: int) -> str:
        return with_addresses(following_the_page(draw(f"{name}-{kind}-", width)), "")

    return Picture(followed("wide", wide_px), followed("narrow", narrow_px))
