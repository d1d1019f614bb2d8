"""What an axis is made of. Every quantity may be None: the person does not know it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Generic, Literal, TypeVar

from annotated_types import Ge, Gt, Le

from plumbrise.machine.arrangements import ARRANGEMENTS, Arrangement

Positive = Annotated[float, Gt(0)]
NotNegative = Annotated[float, Ge(0)]
Share = Annotated[float, Ge(0), Le(1)]
Count = Annotated[int, Gt(0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """How far the axis goes."""

    height_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A lead screw. `side` is where the only screw of a one-screw machine stands."""

    lead_mm: Positive | None = None
    starts: Count | None = None
    diameter_mm: Positive | None = None
    length_mm: Positive | None = None
    side: Literal["left", "right"] | None = None
    top_end: Literal["free", "held"] | None = None
    lead_u: NotNegative | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Nut:
    """A nut and how it is fixed to its bracket."""

    kind: Literal["plain", "split", "floating"] | None = None
    mount: Literal["standing", "hanging"] | None = None
    play_mm: NotNegative | None = None
    bracket_stiffness_n_per_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """What joins motor shaft and screw."""

    kind: Literal["rigid", "helical", "jaw", "slotted-disc", "none"] | None = None
    axial_stiffness_n_per_mm: Positive | None = None
    length_mm: Positive | None = None
    diameter_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """What carries the weight down the screw."""

    carries_weight: Literal["motor", "thrust-bearing"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Motor:
    """A step motor; `end_float_mm` is how far its shaft can be lifted."""

    full_steps_per_turn: Count | None = None
    microsteps: Count | None = None
    holding_torque_nmm: Positive | None = None
    rated_current_a: Positive | None = None
    end_float_mm: NotNegative | None = None
    frame_size_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """A belt between motor and screw, or the belt that ties two screws."""

    motor_teeth: Count | None = None
    screw_teeth: Count | None = None
    belt_pitch_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """What guides the moving part up and down."""

    kind: Literal["rollers", "rods", "rails"] | None = None
    span_mm: Positive | None = None
    depth_mm: Positive | None = None
    carriage_height_mm: Positive | None = None
    drag_n: NotNegative | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gantry:
    """The moving part. `centre_of_mass_mm` counts from the left guide; for a bed the mass is the
    bed's and the centre lies in the middle unless given."""

    mass_kg: Positive | None = None
    centre_of_mass_mm: float | None = None
    beam_height_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Uprights and base."""

    upright_height_mm: Positive | None = None
    upright_width_mm: Positive | None = None
    base_width_mm: Positive | None = None
    base_height_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """The dial gauge or indicator. `wrap_mm` is one turn of a dial without a turns counter."""

    resolution_mm: Positive | None = None
    wrap_mm: Positive | None = None
    range_mm: Positive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """How the motion controller reads a program."""

    dwell_unit: Literal["seconds", "milliseconds"] | None = None
    stop_waits: bool | None = None
    home: Literal["down", "up"] | None = None
    begin: tuple[str, ...] = ()
    end: tuple[str, ...] = ()


PartT = TypeVar("PartT")


@dataclass(frozen=True, slots=True)
class PerSide(Generic[PartT]):
    """One part that every screw has: as described for all, and as overridden on a side."""

    common: PartT
    overrides: tuple[tuple[str, PartT], ...] = ()

    def at(self, side: str) -> PartT:
        """The part on one side; an override already holds what it does not change."""
        return dict(self.overrides).get(side, self.common)


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """An axis as a person described it: gaps allowed, nothing invented."""

    arrangement: Arrangement
    name: str = ""
    note: str = ""
    travel: Travel = Travel()
    screw: PerSide[Screw] = PerSide(Screw())
    nut: PerSide[Nut] = PerSide(Nut())
    coupling: PerSide[Coupling] = PerSide(Coupling())
    bearing: PerSide[Bearing] = PerSide(Bearing())
    motor: PerSide[Motor] = PerSide(Motor())
    drive: Drive | None = None
    guide: Guide = Guide()
    gantry: Gantry = Gantry()
    frame: Frame = Frame()
    gauge: Gauge = Gauge()
    controller: Controller = Controller()
    invented: bool = field(default=False)

    @property
    def screw_sides(self) -> tuple[str, ...]:
        """Where the screws stand: a one-screw machine may have its screw on the right."""
        if len(self.arrangement.sides) == 1:
            return (self.screw.common.side or "left",)
        return self.arrangement.sides


def blank(arrangement_id: str) -> Machine:
    """A machine of which only the arrangement is known.

    Example:
        >>> blank("one-screw").arrangement.title
        'One screw'
    """
    return Machine(arrangement=ARRANGEMENTS[arrangement_id])
