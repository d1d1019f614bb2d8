"""What a controller is asked to wait for, and what it can come to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """How long the sender waits for what, s.

    A move is reckoned done when its line is acknowledged and its told time, times `slack` and
    plus `margin_s`, has passed. `guard_s` is the quiet after an acknowledgement in which a second
    one is known as a double; after a double, `quiet_s`. `silence_s` on top of a line's own
    time ends the wait for it, for a homing `home_s`; lines that say "busy" put that off, but
    never beyond `busy_s`. A homing acknowledged within `home_at_once_s` cannot be over: it is given
    the whole travel at `home_mm_per_s`, or `home_s` where the travel is not known. `greet_s` is
    the quiet that ends the greeting after opening.
    """

    slack: float = 1.1
    margin_s: float = 0.25
    guard_s: float = 0.03
    quiet_s: float = 0.3
    silence_s: float = 10.0
    home_s: float = 180.0
    busy_s: float = 300.0
    home_at_once_s: float = 0.5
    home_mm_per_s: float = 2.0
    greet_s: float = 3.0


class Cause(Enum):
    """Why motion was stopped."""

    STOPPED = "stopped"
    REFUSED = "refused"
    ALARM = "alarm"
    LOST = "lost"
    SILENT = "silent"
    RESTARTED = "restarted"


@dataclass(frozen=True, slots=True)
class Bound:
    """The most that may still be moved by what was sent: moves, mm and s.

    None for a homing whose travel is not known. The time holds as long as the controller keeps
    the told feed.
    """

    moves: int
    mm: float | None
    s: float

    def __str__(self) -> str:
        if not self.moves:
            return "Nothing sent is still to be moved."
        noun = "move" if self.moves == 1 else "moves"
        far = "a distance not known" if self.mm is None else f"{self.mm:.2f} mm"
        return f"At most {self.moves} {noun} may still be made: {far}, {self.s:.1f} s."


@dataclass(frozen=True, slots=True)
class AtStop:
    """The program has come to a stop and all before it is done: the person's turn.

    `line` is the line of the program, `says` its comment, `height_mm` what the axis word stands at.
    """

    line: int
    says: str
    height_mm: float | None


@dataclass(frozen=True, slots=True)
class Finished:
    """The whole program was sent, acknowledged and done."""

    line: int


@dataclass(frozen=True, slots=True)
class Halted:
    """Nothing more is sent. `line` is the last line sent, `unsure` what is not known now, `bound`
    what could still move when it was halted; `needs_home`: it goes on only after a new home."""

    cause: Cause
    words: str
    unsure: str
    bound: Bound
    line: int
    needs_home: bool


@dataclass(frozen=True, slots=True)
class Event:
    """Something to tell: when (the controller's clock), what, in words."""

    time_s: float
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class SentCounts:
    """All lines sent and answers had. `doubled` acknowledgements came when none was awaited."""

    sent: int = 0
    done: int = 0
    doubled: int = 0
    busy: int = 0
    echoes: int = 0
    chatter: int = 0
    other: int = 0
    damaged: int = 0
