"""The load path drawing as it stands on a sheet: every link and station a real link, colours the
page's own, no style inside."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree import ElementTree

from plumbrise.drawing import LedgerRow, ledger, load_path, mark
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
        story.explanation,
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
        if group.get("role") == "link" and links:
            group.tag = f"{{{SVG}}}a"
            group.set("href", f"{base}/link/{links[0]}")
            for name in ("role", "tabindex"):
                group.attrib.pop(name, None)
        elif station:
            group.tag = f"{{{SVG}}}a"
            group.set("href", f"{base}/station/{station}")
            group.set("class", "station")
            group.attrib.pop("role", None)
    return ElementTree.tostring(root, encoding="unicode")
