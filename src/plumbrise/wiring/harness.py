"""A harness as its owner describes it: lines of board socket, cable and motor, and readings."""

from __future__ import annotations

from dataclasses import dataclass

FRAME = 0
"""Stands for the frame where a contact's number stands otherwise."""
BOARD_CONTACTS = 4
MOTOR_CONTACTS = (4, 6)
PLACES = {
    "board": "at the cable's board end: cable and motor joined, board unplugged",
    "motor": "at the motor's socket: cable unplugged",
    "cable": "the cable alone: from a board contact to a motor contact",
}
"""Where a meter can be held -> what is joined then."""
SENSES = ("right-hand", "left-hand")
DRIVES = ("separate", "parallel", "series")
MEETING = ("board", "adaptor")
"""Where motors that share a driver are joined: by the board's own sockets, or by an adaptor."""

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Board:
    """The board's socket: the two pairs that it drives, the set current, and which way a motor
    turns that is joined to it contact for contact."""

    contacts: int = BOARD_CONTACTS
    phases: tuple[Pair, Pair] | None = None
    driver_current_a: float | None = None
    sense: str | None = None


@dataclass(frozen=True, slots=True)
class Cable:
    """Which board contact goes to which motor contact, and the wire.

    `joins` as seen by eye: it is taken on the person's word. `to` names the line whose motor the
    cable really runs to, where somebody followed it there.
    """

    joins: tuple[Pair, ...] = ()
    colours: tuple[str, ...] = ()
    length_m: float | None = None
    wire_mm2: float | None = None
    to: str | None = None


@dataclass(frozen=True, slots=True)
class Motor:
    """The motor's socket and what its data sheet says. A coil is start and end, or start, tap and
    end; `coil_ohm` is that of one phase at 20 °C, as it is joined up."""

    contacts: int = 4
    coils: tuple[tuple[int, ...], ...] = ()
    coil_ohm: float | None = None
    rated_current_a: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a meter said between two contacts: ohms, open, or joined (it only beeped).

    At the cable the first contact is the board's and the second the motor's.
    """

    at: str
    between: Pair
    ohm: float | None = None
    is_open: bool = False
    joined: bool = False
    celsius: float | None = None


@dataclass(frozen=True, slots=True)
class Bridged:
    """Two contacts bridged at the cable's board end, and whose shaft turned stiffly then ("" for
    none): only a coil between the two brakes its motor."""

    between: Pair
    stiff: str


@dataclass(frozen=True, slots=True)
class Line:
    """One motor with its cable and board socket. Motors of one `axis` must turn together."""

    name: str
    board: Board = Board()
    cable: Cable = Cable()
    motor: Motor = Motor()
    measured: tuple[Reading, ...] = ()
    bridged: tuple[Bridged, ...] = ()
    axis: str = "z"


@dataclass(frozen=True, slots=True)
class Drive:
    """Whether the motors have a driver each or share one, where they are joined then, and
    readings at the shared driver's plug with all motors plugged in."""

    motors: str | None = None
    joined_at: str | None = None
    measured: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True)
class Meter:
    """The meter: what it shows with its tips held together, and how warm the motors were."""

    leads_ohm: float | None = None
    celsius: float | None = None


@dataclass(frozen=True, slots=True)
class Harness:
    """All that is said of the wiring of one axis."""

    lines: tuple[Line, ...]
    drive: Drive = Drive()
    meter: Meter = Meter()
    name: str = ""
    invented: bool = False
    note: str = ""

    def line(self, name: str) -> Line | None:
        """The line of this name."""
        return next((line for line in self.lines if line.name == name), None)
