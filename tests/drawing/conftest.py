"""Sample markings of every sort for every arrangement, and a reader of drawn sheets."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest

from plumbrise.drawing.figures import Span
from plumbrise.drawing.labels import Point, crossed
from plumbrise.drawing.letters import Box, text_box
from plumbrise.drawing.marking import Drag, End, Marking, Row, mark
from plumbrise.drawing.tokens import Line
from plumbrise.machine import Machine
from plumbrise.quantity import Unit

Segment = tuple[Point, Point]
SVG = "{http://www.w3.org/2000/svg}"

SPLIT = (("seat",), 0.17), (("coupling",), 0.02), (("screw",), 0.004), (("nut",), 0.01)
SHARED = (("seat", "coupling"), 0.19), (("nut", "bracket"), 0.04)
TOGETHER = ((("seat", "coupling", "screw", "nut"), 0.41), (("bracket",), 0.1))


def _near(value: float, arm: float = 0.02) -> Span:
    return Span(value, value - arm, value + arm)


def _lopsided(value: float) -> Span:
    return Span(value, value - 0.01, value + 0.09)


def _chain(machine: Machine, links, known: Line, span=_near, times: float = 1.0) -> Marking:
    """A marking with these links at each screw, ends that lose different amounts, drag, racking."""
    bare = mark(machine)
    rows = [
        Row(names, side, span(times * value * (1 + 0.3 * i)), Line.SHARED if names[1:] else known)
        for i, side in enumerate(machine.screw_sides)
        for names, value in links
    ]
    if machine.arrangement.tied and len(links) > 3:
        rows.append(Row(("tie",), machine.screw_sides[-1], span(0.03 * times), known))
    body = machine.arrangement.body
    ends = tuple(
        End(end, f"{body}-{end}", span(times * (0.1 + 0.1 * i)), Line.MEASURED)
        for i, end in enumerate(machine.arrangement.ends)
    )
    drags = tuple(Drag(end, Span(3.1, 2.5, 3.7, Unit.N)) for end in machine.arrangement.ends)
    racking = Row(("racking",), "right", span(0.09 * times), Line.COMPUTED)
    return replace(
        bare,
        rows=tuple(rows),
        ends=ends,
        drags=drags,
        racking=racking if body == "gantry" else None,
    )


def _next_at(marking: Marking, station: str) -> Marking:
    stations = tuple(replace(s, next=s.station.id == station) for s in marking.stations)
    return replace(marking, stations=stations)


def _explained(machine: Machine) -> Marking:
    links = (*SPLIT, (("bracket",), 0.03))
    found = _chain(machine, links, Line.MEASURED)
    return _next_at(found, f"{machine.arrangement.body}-right")


def _next_at_motor(machine: Machine) -> Marking:
    found = _chain(machine, SHARED, Line.MEASURED)
    named = [s.station.id for s in found.stations if s.station.link_station == "motor-shaft"]
    return _next_at(found, named[0])


def _at_the_middle(machine: Machine) -> Marking:
    middle = "gantry-middle" if machine.arrangement.body == "gantry" else "bed"
    return replace(mark(machine), ends=(End("middle", middle, _near(0.2), Line.MEASURED),))


def _together(machine: Machine) -> Marking:
    found = _chain(machine, TOGETHER, Line.MEASURED)
    return replace(found, drags=())


def _pressed(machine: Machine) -> Marking:
    return replace(_chain(machine, SHARED, Line.MEASURED), pressed="coupling")


MARKINGS: dict[str, Callable[[Machine], Marking]] = {
    "blank": mark,
    "by readings alone": _together,
    "explained": _explained,
    "shared": lambda m: _chain(m, SHARED, Line.MEASURED),
    "next at the motor": _next_at_motor,
    "computed": lambda m: _chain(m, SPLIT, Line.COMPUTED),
    "assumed": lambda m: _chain(m, SPLIT, Line.ASSUMED),
    "at the middle": _at_the_middle,
    "pressed": _pressed,
    "negative": lambda m: _chain(m, SPLIT, Line.MEASURED, times=-1.0),
    "zero": lambda m: _chain(m, SPLIT, Line.MEASURED, times=0.0),
    "huge": lambda m: _chain(m, SHARED, Line.MEASURED, times=400.0),
    "lopsided": lambda m: _chain(m, SHARED, Line.MEASURED, span=_lopsided),
}


@pytest.fixture(scope="session")
def marked() -> Callable[[Machine, str], Marking]:
    """A sample marking of a machine by its name."""
    return lambda machine, name: MARKINGS[name](machine)


def _square(circle: ElementTree.Element) -> Box:
    """A square of a circle's area about its middle."""
    x, y, radius = (float(circle.get(name)) for name in ("cx", "cy", "r"))
    return Box(x, y, x, y).grown(0.89 * radius)


def _stretches(element: ElementTree.Element) -> list[Segment]:
    """The straight stretches of a line, a rectangle, a path, or a circle's square."""
    kind = element.tag.removeprefix(SVG)
    if kind == "line":
        x1, y1, x2, y2 = (float(element.get(name)) for name in ("x1", "y1", "x2", "y2"))
        return [((x1, y1), (x2, y2))]
    if kind == "path":
        return _of_path(element.get("d"))
    if kind == "rect":
        x, y, wide, high = (float(element.get(name)) for name in ("x", "y", "width", "height"))
        box = Box(x, y, x + wide, y + high)
    elif kind == "circle":
        box = _square(element)
    else:
        return []
    corners = [(box.left, box.top), (box.right, box.top)]
    corners += [(box.right, box.bottom), (box.left, box.bottom)]
    return list(zip(corners, corners[1:] + corners[:1], strict=True))


def _of_path(commands: str) -> list[Segment]:
    found, points = [], []
    for command, numbers in re.findall(r"([MLZ])([^MLZ]*)", commands):
        if command == "Z":
            found.append((points[-1], points[0]))
            continue
        read = [float(n) for n in re.findall(r"-?[\d.]+", numbers)]
        ends = list(zip(read[::2], read[1::2], strict=True))
        points = ends if command == "M" else points + ends
        found += pairwise(points[-len(ends) - 1 :])
    return found


@dataclass(frozen=True)
class Sheet:
    """A drawn sheet read back."""

    root: ElementTree.Element

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the view box."""
        _, _, width, height = map(float, self.root.get("viewBox").split())
        return width, height

    def all(self, tag: str) -> list[ElementTree.Element]:
        """Every element of this kind."""
        return list(self.root.iter(SVG + tag))

    def groups(self, attribute: str) -> dict[str, ElementTree.Element]:
        """Groups that carry this data attribute, by its value."""
        return {g.get(attribute): g for g in self.all("g") if g.get(attribute) is not None}

    @property
    def labels(self) -> list[tuple[str, Box]]:
        """Every line of text with the rectangle that it covers."""
        return [
            (
                t.text or "",
                text_box(
                    t.text or "",
                    float(t.get("x")),
                    float(t.get("y")),
                    float(t.get("font-size")),
                    anchor=t.get("text-anchor", "start"),
                    bold=t.get("font-weight") is not None,
                ),
            )
            for t in self.all("text")
        ]

    @property
    def clashes(self) -> list[str]:
        """Lines of text that cover each other or leave the sheet."""
        found = [
            f"{a!r} covers {b!r}"
            for (a, box), (b, other) in combinations(self.labels, 2)
            if box.grown(-0.2).overlaps(other.grown(-0.2))
        ]
        width, height = self.size
        found += [
            f"{words!r} leaves the sheet"
            for words, box in self.labels
            if box.left < 0 or box.top < 0 or box.right > width or box.bottom > height
        ]
        return found

    @property
    def part_lines(self) -> list[Segment]:
        """Every straight stretch that parts of the axis, and their told place, are drawn with."""
        axis = next(g for g in self.all("g") if g.get("data-part") == "axis")
        drawn = [e for e in axis.iter() if e.get("stroke", "none") != "none"]
        return [line for e in drawn for line in _stretches(e)]

    @property
    def covered(self) -> list[str]:
        """Labels about the axis, and the dial of the gauge, that lie over a line of a part."""
        lines = self.part_lines
        found = [(words, box.grown(-1)) for words, box in self.labels if words]
        found += [("the dial", box) for box in self.dials]
        return [
            words
            for words, box in found
            if not words.isdigit() and any(crossed(box, start, end) for start, end in lines)
        ]

    @property
    def dials(self) -> list[Box]:
        """The dial of the gauge to read next, as the square inside its rim."""
        dials = [g for g in self.all("g") if g.get("data-part") == "next-gauge"]
        rims = [max(g.iter(SVG + "circle"), key=lambda c: float(c.get("r"))) for g in dials]
        return [_square(rim) for rim in rims]

    @property
    def spoken(self) -> list[str]:
        """All words for those who listen."""
        return [e.get("aria-label") for e in self.root.iter() if e.get("aria-label")]


@pytest.fixture(scope="session")
def sheet_of() -> Callable[[str], Sheet]:
    """Read SVG text back; raises where it is not well formed."""
    return lambda text: Sheet(ElementTree.fromstring(text))
