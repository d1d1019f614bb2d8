"""The readings: what was read, by run. Values only; files are read in `files`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from plumbrise.machine import Station
from plumbrise.readings.kinds import STEP_KINDS, Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of the gauge.

    `approach` is always known here: where the table left it out it was worked out from the
    order of the targets. `row` is the row of the file (None if it came from elsewhere),
    `assumed` marks a row that the reader put in, such as the zero of a short table.
    """

    seq: int
    target_mm: float
    reading_mm: float | None
    approach: str
    mass_kg: float = 0.0
    mass_at_mm: float | None = None
    force_n: float | None = None
    torque_nmm: float | None = None
    time_s: float | None = None
    temp_c: float | None = None
    note: str = ""
    row: int | None = None
    assumed: bool = False
    other: tuple[tuple[str, str], ...] = ()

    @property
    def is_taken(self) -> bool:
        """Whether a person read it: no blank, and no row that the reader put in."""
        return not self.assumed and (self.reading_mm is not None or self.torque_nmm is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One gauge set-up: its zero is fixed but unknown. Readings stand in the order taken."""

    name: str
    kind: Kind
    station: Station
    readings: tuple[Reading, ...]
    axis: str = "up"
    stand_on: str = "frame"

    @property
    def follows_command(self) -> bool:
        """True where the told motion itself is seen in the reading."""
        return self.station.follows_command and self.axis == "up" and self.kind.moves

    @property
    def taken(self) -> tuple[Reading, ...]:
        """The readings that hold a gauge value."""
        return tuple(r for r in self.readings if r.reading_mm is not None)

    @property
    def taken_count(self) -> int:
        """How many readings of it a person took, as told everywhere: blanks do not count."""
        return sum(r.is_taken for r in self.readings)


@dataclass(frozen=True, slots=True)
class Readings:
    """A session: its runs in the order taken, and what the reader had to assume."""

    runs: tuple[Run, ...]
    remarks: tuple[str, ...] = ()
    unknown_columns: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """How many readings a person took: blanks of a worksheet do not count."""
        return sum(run.taken_count for run in self.runs)

    def of_kind(self, *kinds: Kind) -> tuple[Run, ...]:
        """The runs of these kinds."""
        return tuple(run for run in self.runs if run.kind in kinds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """The few facts a reader of the table needs. `lead_mm` None: what needs it is not told."""

    lead_mm: float | None = None
    full_step_mm: float | None = None
    resolution_mm: float = 0.01
    wrap_mm: float | None = None
    screw_side: str | None = None
    """Where the only screw stands; None with several screws."""


def approaches(
    targets_mm: Iterable[float], kind: Kind, given: Iterable[str | None]
) -> tuple[str, ...]:
    """The direction of the last move before each reading, worked out where it was left out.

    A staircase comes down to its first row, at 0 by homing; any other run starts in the
    direction in which it goes on.

    Example:
        >>> from plumbrise.readings.kinds import COARSE_STEPS
        >>> approaches([0, 1, 2, 1], COARSE_STEPS, [None] * 4)
        ('down', 'up', 'up', 'down')
    """
    targets = list(targets_mm)
    found: list[str] = []
    for i, (target, said) in enumerate(zip(targets, given, strict=True)):
        if said is not None:
            found.append(said)
        elif i == 0:
            later = next((t for t in targets if t != target), target)
            found.append("down" if kind in STEP_KINDS or later < target else "up")
        elif target != targets[i - 1]:
            found.append("up" if target > targets[i - 1] else "down")
        else:
            found.append(found[-1])
    return tuple(found)
