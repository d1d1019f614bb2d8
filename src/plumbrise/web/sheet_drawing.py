"""The load path drawing as it stands on a sheet: every link and station a real link, colours the
page's own, no style inside."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from xml.etree import ElementTree

from plumbrise.drawing import LedgerRow, ledger, load_path, mark
from plumbrise.drawing.axis_drawn import axis
from plumbrise.drawing.geometry import View, elevation
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import theme_named
from plumbrise.machine import blank
from plumbrise.report.pictures import following_the_page
from plumbrise.web.bench import Story

SVG = "http://www.w3.org/2000/svg"
WIDE_PX, WIDE_HEIGHT_PX = 860, 640
NARROW_PX, NARROW_HEIGHT_PX = 372, 430


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the ledger: what is drawn in words, and where pressing it leads ("" nowhere)."""

    row: LedgerRow
    address: str
    pressed: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """The drawing for wide and narrow windows, and its text twin."""

    wide: str
    narrow: str
    ledger: tuple[Entry, ...]


def sheet_drawing(story: Story, link: str | None = None, station: str | None = None) -> Sheet:
    """The drawing of a machine with what is known of it by now.

    Args:
        story: the machine.
        link: the link that is pressed.
        station: the station that is pressed.
    """
    marking = mark(
        story.machine,
        story.readings,
        story.said,
        story.analysis,
        pressed=link,
        here=station,
    )

    def drawn(prefix: str, width: int, height: int) -> str:
        svg = load_path(
            story.machine,
            marking,
            theme="light",
            width_px=width,
            height_px=height,
            interactive=True,
            prefix=prefix,
        )
        return with_addresses(following_the_page(svg), f"/m/{story.id}")

    links = {"-".join((row.side, *row.links)): row.links for row in marking.all_rows}
    entries = tuple(
        Entry(row, _address(story.id, links.get(row.key, ())), link in links.get(row.key, ()))
        for row in ledger(marking)
    )
    return Sheet(
        drawn("wide-", WIDE_PX, WIDE_HEIGHT_PX),
        drawn("narrow-", NARROW_PX, NARROW_HEIGHT_PX),
        entries,
    )


def _address(machine_id: int, links: tuple[str, ...]) -> str:
    return f"/m/{machine_id}/link/{links[0]}" if links else ""


def with_addresses(svg: str, base: str) -> str:
    """The drawing with its pressable parts as links below `base`, and its style taken out.

    Example:
        >>> with_addresses('<svg xmlns="http://www.w3.org/2000/svg"><g data-links="seat coupling" '
        ...                'role="link" tabindex="0"><path d="M0 0"/></g></svg>', "/m/1")
        '<svg xmlns="http://www.w3.org/2000/svg"><a data-links="seat coupling" \
href="/m/1/link/seat"><path d="M0 0" /></a></svg>'
    """
    ElementTree.register_namespace("", SVG)
    root = ElementTree.fromstring(svg)
    for style in root.findall(f".//{{{SVG}}}style/.."):
        for child in list(style):
            if child.tag == f"{{{SVG}}}style":
                style.remove(child)
    for group in root.iter(f"{{{SVG}}}g"):
        links = (group.get("data-links") or "").split()
        station = group.get("data-station")
        if group.get("role") == "link" and not links:
            _unpressed(group)  # a figure that leads nowhere
        elif group.get("role") == "link":
            _pressed(group, f"{base}/link/{links[0]}")
        elif station:
            _pressed(group, f"{base}/station/{station}")
            group.set("class", "station")
    return ElementTree.tostring(root, encoding="unicode")


def _pressed(group: ElementTree.Element, address: str) -> None:
    """A link. Where it holds words these are its name, so that what is seen can be said."""
    group.tag = f"{{{SVG}}}a"
    group.set("href", address)
    for name in ("role", "tabindex"):
        group.attrib.pop(name, None)
    if group.find(f".//{{{SVG}}}text") is not None:
        group.attrib.pop("aria-label", None)


def _unpressed(group: ElementTree.Element) -> None:
    for name in ("role", "tabindex", "class", "aria-label"):
        group.attrib.pop(name, None)


def picture_of(arrangement_id: str, width_px: int = 104, height_px: int = 84) -> str:
    """A small picture of an arrangement: its parts alone, nothing written."""
    machine = blank(arrangement_id)
    plan = elevation(machine)
    scale = min(width_px / (plan.right - plan.left), height_px / (plan.top - plan.bottom))
    spare = (width_px - (plan.right - plan.left) * scale) / 2
    view = View(scale, spare - plan.left * scale, height_px + plan.bottom * scale)
    pen = Pen(
        theme_named("light"),
        f"{arrangement_id}-",
        replace(mark(machine), assumed=frozenset()),
        view,
    )
    inside = axis(plan, pen, interactive=False)
    # said by its label; the drawing's own words would be read out in pieces
    plain = re.sub(r' (?:role|aria-label|data-[a-z]+)="[^"]*"', "", inside)
    plain = re.sub(r'stroke-width="[^"]*"', 'stroke-width="0.8"', plain)
    return following_the_page(
        f'<svg viewBox="-4 -4 {width_px + 8} {height_px + 8}" aria-hidden="true">{plain}</svg>'
    )


def blank_drawing(arrangement_id: str) -> str:
    """The drawing of an arrangement of which nothing else is known: all dotted."""
    machine = blank(arrangement_id)
    svg = load_path(
        machine,
        mark(machine),
        theme="light",
        width_px=WIDE_PX,
        height_px=560,
        prefix=f"blank-{arrangement_id}-",
    )
    return following_the_page(svg)
