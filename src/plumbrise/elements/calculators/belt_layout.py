"""The layout of a belt loop as a person gives it: pulleys, what each turns, which can be moved."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from plumbrise.elements.belt_loop import Arc, Loop, Span, loop
from plumbrise.elements.belt_pulley import Pulley, pitch_line_diameter_mm
from plumbrise.elements.worked import Asked, Given, Trust
from plumbrise.errors import InputError

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_LAYOUT = "The layout"

LAYOUT = (
    Asked("pulley", "a pulley, in the order of the belt; two alike on the screws if none is given",
          each=(
              Asked("name", "its name"),
              Asked("x_mm", "where it stands, to the right", "mm", low=-5000, high=5000),
              Asked("y_mm", "where it stands, to the back", "mm", low=-5000, high=5000),
              Asked("teeth", "its teeth", low=8, high=200, whole=True, optional=True),
              Asked("role", "what it turns", default="screw", trust=_GUESS,
                    choices=("screw", "motor", "motor-screw", "idler")),
              Asked("diameter_mm", "diameter of a smooth roller, as measured", "mm", low=2,
                    high=200, optional=True),
              Asked("side", "inside the belt, or outside on its back", default="inside", trust=_CP,
                    choices=("inside", "outside")),
          ), group=_LAYOUT),
    Asked("span_mm", "distance of the screws, if no pulley is given", "mm", 340.0, _GUESS,
          low=30, high=3000, group=_LAYOUT, field="guide.span_mm"),
    Asked("screw_teeth", "teeth on each screw, if no pulley is given", "", 20, _CP, low=10,
          high=200, whole=True, group=_LAYOUT, field="drive.screw_teeth"),
    Asked("moved", "name of the pulley that can be moved; the last one if left out",
          optional=True, group=_LAYOUT),
    Asked("move_deg", "way it is moved, from right towards back; where it takes up most if left "
          "out", "°", low=-360, high=360, optional=True, group=_LAYOUT),
    Asked("back_mm", "from the back of the belt to its cord", "mm", 0.4, _CP, low=0, high=10,
          group=_LAYOUT),
    Asked("tips_mm", "from the tips of its teeth to the cord", "mm", 1.0, _CP, low=0, high=10,
          group=_LAYOUT),
    Asked("reach_mm", "how far it can be moved either way", "mm", 20.0, _GUESS, low=0.5,
          high=500, group=_LAYOUT),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Layout:
    """The pulleys with what each turns, and the belt round them."""

    pulleys: tuple[Pulley, ...]
    roles: dict[str, str]
    found: Loop
    moved: str
    inputs: tuple[str, ...]
    """The names of the inputs that make the loop."""

    def arc(self, name: str) -> Arc:
        """The belt on a pulley."""
        return self.found.arcs[self.found.at(name)]

    def teeth(self, name: str) -> int:
        """Teeth of a pulley that turns something."""
        teeth = self.arc(name).pulley.teeth
        assert teeth is not None, name
        return teeth

    @property
    def span_mm(self) -> float:
        """Distance of the outermost screws; of the only one from the motor."""
        ends = [self.arc(name).pulley for name in (self.screws[0], self.screws[-1])]
        if len(self.screws) == 1:
            ends[0] = self.arc(self.driver).pulley
        return hypot(ends[1].x_mm - ends[0].x_mm, ends[1].y_mm - ends[0].y_mm)

    @property
    def longest(self) -> Span:
        """The longest free span: the one to pluck."""
        return max(self.found.spans, key=lambda span: span.length_mm)

    @property
    def driver(self) -> str:
        """The pulley that the motor turns."""
        return next(name for name, role in self.roles.items() if role.startswith("motor"))

    @property
    def screws(self) -> tuple[str, ...]:
        """The pulleys on screws, left to right."""
        names = [p for p in self.pulleys if self.roles[p.name] in ("screw", "motor-screw")]
        return tuple(p.name for p in sorted(names, key=lambda p: (p.x_mm, p.y_mm)))

    @property
    def driven(self) -> tuple[str, ...]:
        """The screws that the motor turns by way of the belt."""
        return tuple(name for name in self.screws if name != self.driver)


def layout_of(given: Given) -> Layout:
    """The layout that the inputs describe.

    Raises:
        InputError: no motor or several, no screw beside it, idlers with a role, or no loop.
    """
    items = given.items("pulley")
    if items:
        pulleys = tuple(_pulley(given, item) for item in items)
        roles = {item.word("name"): item.word("role") for item in items}
    else:
        teeth = given.count("screw_teeth")
        pulleys = (
            Pulley(name="left", x_mm=0, y_mm=0, teeth=teeth),
            Pulley(name="right", x_mm=given.number("span_mm"), y_mm=0, teeth=teeth),
        )
        roles = {"left": "motor-screw", "right": "screw"}
    _refuse_roles(pulleys, roles)
    found = loop(pulleys, belt_pitch_mm=given.number("belt_pitch_mm"))
    moved = given.values["moved"]
    inputs = ("pulley", "back_mm", "tips_mm") if items else ("span_mm", "screw_teeth")
    return Layout(
        pulleys,
        roles,
        found,
        pulleys[-1].name if moved is None else str(moved),
        (*inputs, "belt_pitch_mm"),
    )


def _pulley(given: Given, item: Given) -> Pulley:
    """One pulley; a roller's own diameter is that of the cord on it less what lies between."""
    outside, roller_mm = item.word("side") == "outside", item.known("diameter_mm")
    to_cord_mm = given.number("back_mm" if outside else "tips_mm")
    return Pulley(
        name=item.word("name"),
        x_mm=item.number("x_mm"),
        y_mm=item.number("y_mm"),
        teeth=None if item.known("teeth") is None else item.count("teeth"),
        diameter_mm=None
        if roller_mm is None
        else pitch_line_diameter_mm(roller_diameter_mm=roller_mm, to_pitch_line_mm=to_cord_mm),
        outside=outside,
    )


def _refuse_roles(pulleys: tuple[Pulley, ...], roles: dict[str, str]) -> None:
    motors = sum(role.startswith("motor") for role in roles.values())
    if motors != 1 or "screw" not in roles.values():
        raise InputError(
            place="pulley",
            value=", ".join(f"{name} {role}" for name, role in roles.items()),
            allowed="one motor or motor-screw, and a screw beside it,",
            remedy="Give each pulley its role after its teeth.",
        )
    for pulley in pulleys:
        if pulley.teeth is None and roles[pulley.name] != "idler":
            raise InputError(
                place=pulley.name,
                value=f"{roles[pulley.name]} without teeth",
                allowed="teeth",
                remedy="Count the teeth of the pulley, or call it an idler.",
            )
