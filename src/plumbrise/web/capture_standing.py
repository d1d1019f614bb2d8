"""Where a driven axis is, and what a person asked of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from plumbrise.readings import Run


class Does(Enum):
    """What the axis does, for a page: nothing begun, moving, waiting for a person's word, at the
    target, stopped."""

    IDLE = "idle"
    MOVES = "moves"
    WAITS = "waits"
    STANDS = "stands"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the axis is in a plan. `reached` is the last reading it came to, -1 for none, `to` the
    one it goes to; `words` say what a person has to know or do; `stops` counts all stops, `presses`
    all words that were followed, `held` says that a stop came at rest and nothing was asked for
    since."""

    does: Does = Does.IDLE
    plan: int = 0
    run: str = ""
    reached: int = -1
    to: int = -1
    words: str = ""
    stops: int = 0
    presses: int = 0
    held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Something a person asked for: `begin` a set-up from its home, or else go on to a reading, or
    with none to the program's end. `stops` and `presses` are those that the page knew of, `heard_s`
    is when it had last heard how the axis stands, by the axis's clock; `gauge` says where the
    gauges are set; `broken_off` hears why, where motion ends before it is done."""

    plan: int
    run: Run
    reading: int | None
    stops: int
    presses: int
    heard_s: float
    begin: bool
    gauge: str
    broken_off: Callable[[str], None]
