"""A writer for SVG elements: text in, text out, everything escaped."""

from __future__ import annotations

import re
from collections.abc import Iterable

from plumbrise.drawing.tokens import FONTS

_NOT_XML = re.compile(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
Attribute = str | float | int | None


def escaped(text: str) -> str:
    """Text that can stand between tags or inside a quoted attribute; characters that XML does
    not allow are left out.

    Example:
        >>> escaped('<b> & "c"')
        '&lt;b&gt; &amp; &quot;c&quot;'
    """
    clean = _NOT_XML.sub("", text)
    for plain, safe in (
        ("&", "&amp;"),
        ("<", "&lt;"),
        (">", "&gt;"),
        ('"', "&quot;"),
        ("'", "&#39;"),
    ):
        clean = clean.replace(plain, safe)
    return clean


def number(value: float) -> str:
    """A coordinate: one decimal, no trailing zero, never "-0"."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def element(tag: str, *children: str, **attributes: Attribute) -> str:
    """One element. Attribute names take "_" for "-", a trailing "_" is dropped, None is left out.

    Example:
        >>> element("rect", x=1.04, stroke_width=1.5, fill=None)
        '<rect x="1" stroke-width="1.5"/>'
    """
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for name, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return f"<{tag}{written}>{inside}</{tag}>" if inside else f"<{tag}{written}/>"


def _value(value: Attribute) -> str:
    return escaped(value) if isinstance(value, str) else number(float(value or 0))


def group(children: Iterable[str], **attributes: Attribute) -> str:
    """A group of elements."""
    return element("g", *children, **attributes)


def spoken_link(words: str, links: Iterable[str], interactive: bool) -> dict[str, Attribute]:
    """The attributes of a group that is pressed or read aloud: what it says, and the links it
    stands for."""
    found: dict[str, Attribute] = {
        "role": "link" if interactive else "img",
        "aria_label": words,
        "data_links": " ".join(links) or None,
        "tabindex": "0" if interactive else None,
        "class_": "pressable" if interactive else None,
    }
    return found


def line(x1: float, y1: float, x2: float, y2: float, **style: Attribute) -> str:
    """A straight line."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **style)


def rect(
    left: float, top: float, right: float, bottom: float, *, round_px: float = 0, **style: Attribute
) -> str:
    """A rectangle between its edges, in any order."""
    return element(
        "rect",
        x=min(left, right),
        y=min(top, bottom),
        width=abs(right - left),
        height=abs(bottom - top),
        rx=round_px or None,
        **style,
    )


def circle(x: float, y: float, radius: float, **style: Attribute) -> str:
    """A circle."""
    return element("circle", cx=x, cy=y, r=radius, **style)


def path(points: Iterable[tuple[float, float]], *, closed: bool = False, **style: Attribute) -> str:
    """Straight strokes from point to point."""
    steps = [f"{number(x)} {number(y)}" for x, y in points]
    return element("path", d="M" + " L".join(steps) + ("Z" if closed else ""), **style)


def strokes(
    pairs: Iterable[tuple[tuple[float, float], tuple[float, float]]], **style: Attribute
) -> str:
    """Many straight strokes as one path."""
    d = "".join(f"M{number(a)} {number(b)}L{number(c)} {number(e)}" for (a, b), (c, e) in pairs)
    return element("path", d=d, **({"fill": "none"} | style)) if d else ""


def text(
    words: str,
    x: float,
    y: float,
    size_px: float,
    *,
    fill: str,
    anchor: str = "start",
    bold: bool = False,
    halo: str | None = None,
) -> str:
    """A line of text; `halo` is the colour of a rim that keeps it clear of lines behind it."""
    rim: dict[str, Attribute] = {}
    if halo is not None:
        rim = {
            "stroke": halo,
            "stroke_width": 5,
            "stroke_linejoin": "round",
            "paint_order": "stroke",
        }
    return element(
        "text",
        escaped(words),
        x=x,
        y=y,
        font_size=size_px,
        font_weight="650" if bold else None,
        text_anchor=None if anchor == "start" else anchor,
        fill=fill,
        **rim,
    )


def sheet(
    children: Iterable[str],
    *,
    width_px: float,
    height_px: float,
    prefix: str,
    title: str,
    description: str,
    background: str | None,
    role: str = "img",
) -> str:
    """A stand-alone SVG document with title and description; every id starts with `prefix`."""
    ground = [rect(0, 0, width_px, height_px, fill=background)] if background else []
    return element(
        "svg",
        element("title", escaped(title), id=f"{prefix}title"),
        element("desc", escaped(description), id=f"{prefix}desc"),
        *ground,
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width_px)} {number(height_px)}",
        width=width_px,
        height=height_px,
        role=role,
        aria_labelledby=f"{prefix}title {prefix}desc",
        font_family=FONTS,
        font_variant_numeric="tabular-nums",
        id=f"{prefix}drawing",
    )
