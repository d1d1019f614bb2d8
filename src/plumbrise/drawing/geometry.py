"""Where the parts of an axis stand in front elevation, mm, and how that is laid on the sheet.

x runs from the left face of the frame to the right, y from its underside upward. What nobody
gave has its default size; what no description holds (head, bed, feet) has a usual one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from plumbrise.machine import Machine, known

FOOT_MM = 12.0
TOP_BEAM_MM = 20.0
MOTOR_GAP_MM = 4.0
PLATE_MM = 4.0
SHAFT_MM = 5.0
ROLLER_MM = 24.0
ROLLER_GAP_MM = 1.0
SCREW_CLEARANCE_MM = 40.0
SHAFT_FREE_MM = 9.0
"""How much of the motor's shaft can be seen under the coupling."""
BLOCK_MM = 12.0
GEARED_SHAFT_MM = 19.0
"""The same with the screw's pulley on it."""
BESIDE_MM = 20.0
"""From the screw's axis to the body of a motor that turns it by a belt."""
BELT_MM = 6.0
PULLEY_MM = 10.0
BEAM_SHARE_OF_TRAVEL = 0.5
BED_PLATE_MM = 12.0
BED_SHEET_MM = 5.0
SEAT_SHARE = 0.088
"""Height of the washer under the rotor, as a share of the motor's width."""


@dataclass(frozen=True, slots=True)
class ScrewPlace:
    """One screw with what stands on its axis, bottom to top. `inward` is +1 where the frame
    lies to its right, -1 to its left, 0 between. `motor_x` is where the motor's axis stands,
    `belt_y` the height of the belt that turns the screw (None: motor and screw in line)."""

    side: str
    x: float
    inward: int
    has_motor: bool
    motor_x: float
    motor_size: float
    belt_y: float | None
    foot: float
    shaft: float
    coupling_low: float
    coupling_high: float
    coupling_width: float
    coupling_kind: str
    low: float
    high: float
    diameter: float
    pitch: float | None
    thrust_bearing: bool
    nut_kind: str
    nut_mount: str
    nut: float
    top_held: bool


@dataclass(frozen=True, slots=True)
class Elevation:
    """All places of the drawing, mm."""

    body: str
    base: tuple[float, float]
    base_top: float
    pillars: tuple[float, float]
    pillar_width: float
    pillar_top: float
    guide_kind: str
    guides: tuple[float, float]
    carriage_height: float
    carriage_width: float
    beam_low: float
    beam_height: float
    screws: tuple[ScrewPlace, ...]
    tie_y: float | None
    left: float
    right: float
    top: float
    bottom: float

    def screw_at(self, side: str) -> ScrewPlace:
        """The screw of this side."""
        return next(screw for screw in self.screws if screw.side == side)

    @property
    def beam_middle(self) -> float:
        """Height of the middle of the beam or bed plate."""
        return self.beam_low + self.beam_height / 2


def elevation(machine: Machine) -> Elevation:
    """The places of a machine's parts, from its description and the usual sizes."""
    if machine.arrangement.body == "bed":
        return _bed_elevation(machine)
    return _gantry_elevation(machine)


def _value(machine: Machine, key: str, side: str | None = None) -> Any:
    return known(machine, key, side).value


def _base(machine: Machine, needed: float) -> tuple[float, float]:
    """Edges of the base: as given, or wide enough for what stands on it."""
    found = known(machine, "frame.base_width_mm")
    width = max(found.value, needed) if found.assumed else found.value
    return 0.0, float(width)


def _gantry_elevation(machine: Machine) -> Elevation:
    span, width = _value(machine, "guide.span_mm"), _value(machine, "frame.upright_width_mm")
    carriage_width = width + 2 * (ROLLER_MM + ROLLER_GAP_MM)
    base = _base(machine, span + width + 40)
    middle = base[1] / 2
    guides = (middle - span / 2, middle + span / 2)
    base_top = _value(machine, "frame.base_height_mm")
    pillar_top = base_top + _value(machine, "frame.upright_height_mm")
    beam_height = _value(machine, "gantry.beam_height_mm")
    carriage_height = max(_value(machine, "guide.carriage_height_mm"), 2.2 * ROLLER_MM)
    beam_low = _moving_height(machine, base_top, pillar_top, carriage_height) - beam_height / 2
    screws = []
    for side in machine.screw_sides:
        inward = 1 if side == "left" else -1
        guide = guides[0] if side == "left" else guides[1]
        off = max(width / 2 + SCREW_CLEARANCE_MM, carriage_width / 2 + 15)
        tied_motor = not machine.arrangement.tied or side == machine.screw_sides[0]
        screws.append(
            _screw(
                machine,
                side,
                x=guide - inward * off,
                inward=inward,
                has_motor=tied_motor,
                beside=-inward if _geared(machine) else 0,
                foot=base_top + MOTOR_GAP_MM,
                nut=beam_low + beam_height / 2,
            )
        )
    tie_y = None
    if machine.arrangement.tied:  # both screws reach up to the belt
        highest = max(screw.high for screw in screws)
        screws = [
            replace(screw, high=highest, top_held=_held_by_the_pulley(machine, screw))
            for screw in screws
        ]
        tie_y = highest + PULLEY_MM / 2 + 1
    edges = [base[0], base[1]]
    for guide in guides:
        edges += [guide - carriage_width / 2, guide + carriage_width / 2]
        edges += [guide - width / 2 - 10, guide + width / 2 + 10]
    for screw in screws:
        half = max(screw.motor_size / 2, 18.0) + 2
        edges += [screw.x - half, screw.x + half, screw.motor_x - half, screw.motor_x + half]
    tops = [pillar_top + TOP_BEAM_MM, *(screw.high + 12 for screw in screws)]
    if tie_y is not None:
        tops.append(tie_y + PULLEY_MM)
    return Elevation(
        body="gantry",
        base=base,
        base_top=base_top,
        pillars=guides,
        pillar_width=width,
        pillar_top=pillar_top,
        guide_kind=_value(machine, "guide.kind"),
        guides=guides,
        carriage_height=carriage_height,
        carriage_width=carriage_width,
        beam_low=beam_low,
        beam_height=beam_height,
        screws=tuple(screws),
        tie_y=tie_y,
        left=min(edges),
        right=max(edges),
        top=max(tops),
        bottom=-FOOT_MM,
    )


def _held_by_the_pulley(machine: Machine, screw: ScrewPlace) -> bool:
    """Beside the pulley of a tie belt a bearing holds the screw, unless the owner says not."""
    return screw.top_held or known(machine, "screw.top_end", screw.side).assumed


def _geared(machine: Machine) -> bool:
    """True where a belt stands between motor and screw."""
    return machine.drive is not None and not machine.arrangement.tied


def thicknesses(plan: Elevation) -> tuple[tuple[str, float], ...]:
    """The thin parts with their thickness, mm: those that are never drawn under 3 px."""
    bed = plan.beam_height if plan.body == "bed" else BED_SHEET_MM
    driven = [screw for screw in plan.screws if screw.has_motor]
    return (
        ("screw", min(screw.diameter for screw in plan.screws)),
        ("coupling", min(screw.coupling_width for screw in driven)),
        ("motor shaft", SHAFT_MM),
        ("motor plate", PLATE_MM),
        ("motor seat", min(SEAT_SHARE * screw.motor_size for screw in driven)),
        ("bed", bed),
    )


def _bed_elevation(machine: Machine) -> Elevation:
    span, width = _value(machine, "guide.span_mm"), _value(machine, "frame.upright_width_mm")
    outside = 50.0
    base = _base(machine, span + 2 * outside + width + 20)
    middle = base[1] / 2
    guides = (middle - span / 2, middle + span / 2)
    base_top = _value(machine, "frame.base_height_mm")
    pillar_top = base_top + _value(machine, "frame.upright_height_mm")
    low = _moving_height(machine, base_top, pillar_top, BED_PLATE_MM) - BED_PLATE_MM / 2
    order = (("left", guides[0]), ("back", middle), ("right", guides[1]))
    screws = tuple(
        _screw(
            machine,
            side,
            x=x,
            inward=0,
            has_motor=True,
            beside=int(_geared(machine)) * (-1 if side == "right" else 1),
            foot=base_top,
            nut=low - 4,
        )
        for side, x in order
    )
    pillars = (guides[0] - outside, guides[1] + outside)
    edges = [*base, pillars[0] - width / 2 - 10, pillars[1] + width / 2 + 10]
    tops = [pillar_top + TOP_BEAM_MM, *(screw.high + 12 for screw in screws)]
    return Elevation(
        body="bed",
        base=base,
        base_top=base_top,
        pillars=pillars,
        pillar_width=width,
        pillar_top=pillar_top,
        guide_kind=_value(machine, "guide.kind"),
        guides=guides,
        carriage_height=BED_PLATE_MM,
        carriage_width=30.0,
        beam_low=low,
        beam_height=BED_PLATE_MM,
        screws=screws,
        tie_y=None,
        left=min(edges),
        right=max(edges),
        top=max(tops),
        bottom=-FOOT_MM,
    )


def _moving_height(machine: Machine, low: float, high: float, own: float) -> float:
    """Where the moving part is drawn: about the middle of its travel, always on the frame."""
    travel = _value(machine, "travel.height_mm")
    wanted = low + (high - low - travel) / 2 + BEAM_SHARE_OF_TRAVEL * travel
    floor = low + 0.42 * (high - low)
    return float(min(max(wanted, floor), high - own / 2 - 60 if high - low > 240 else high - own))


def _screw(
    machine: Machine,
    side: str,
    *,
    x: float,
    inward: int,
    has_motor: bool,
    beside: int,
    foot: float,
    nut: float,
) -> ScrewPlace:
    """One screw; `beside` is the way in which a motor that turns it by a belt stands off."""
    size = _value(machine, "motor.frame_size_mm", side)
    kind = _value(machine, "coupling.kind", side)
    plate_top = foot + 0.95 * size + PLATE_MM
    if not has_motor:
        plate_top = foot + 0.5 * size
    joined = has_motor and kind != "none"
    length = _value(machine, "coupling.length_mm", side) if joined else 0.0
    belt_y = plate_top + 3 + PULLEY_MM / 2 if beside else None
    coupling_low = plate_top + (GEARED_SHAFT_MM if beside else SHAFT_FREE_MM)
    coupling_high = coupling_low + length
    thrust = _value(machine, "bearing.carries_weight", side) == "thrust-bearing"
    low = coupling_low + length / 2 if joined else plate_top
    lead, starts = machine.screw.at(side).lead_mm, _value(machine, "screw.starts", side)
    return ScrewPlace(
        side=side,
        x=x,
        inward=inward,
        has_motor=has_motor,
        motor_x=x + beside * (size / 2 + BESIDE_MM),
        motor_size=size,
        belt_y=belt_y,
        foot=foot,
        shaft=belt_y if belt_y is not None else plate_top + SHAFT_FREE_MM / 2,
        coupling_low=coupling_low,
        coupling_high=coupling_high,
        coupling_width=_value(machine, "coupling.diameter_mm", side),
        coupling_kind=kind,
        low=low,
        high=low + _value(machine, "screw.length_mm", side),
        diameter=_value(machine, "screw.diameter_mm", side),
        pitch=lead / starts if lead is not None else None,
        thrust_bearing=thrust or not has_motor,
        nut_kind=_value(machine, "nut.kind", side),
        nut_mount=_value(machine, "nut.mount", side),
        nut=nut,
        top_held=_value(machine, "screw.top_end", side) == "held",
    )


@dataclass(frozen=True, slots=True)
class View:
    """One scale for both directions: px a mm, and where x = 0, y = 0 falls on the sheet."""

    scale: float
    x0: float
    y0: float

    def x(self, mm: float) -> float:
        """From mm to px across."""
        return self.x0 + mm * self.scale

    def y(self, mm: float) -> float:
        """From mm upward to px downward."""
        return self.y0 - mm * self.scale
