"""Readings that no axis gives: farther from where it was told than all it was told to go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from plumbrise.analyse.results import Oddity
from plumbrise.readings import Run
from plumbrise.readings.kinds import GAUGE_CHECK

BEYOND_TOLD = "beyond-told"
FAR_MM = 5.0
"""Nothing that a sound gauge meets on the way up is off by more and by more than what was told."""
FAR_AT_REST_MM = 10.0
"""Where nothing is told to move, weights and pushes move it less than that."""
ALIKE_MM = 5.0
"""Readings that stand off by the same within this have a first reading in common that may err."""


@dataclass(frozen=True, slots=True)
class BeyondTold:
    """`readings` are indices in the run, off by `least` to `most` mm since its first reading;
    `limit_mm` is how far off a reading may be."""

    run: Run
    readings: tuple[int, ...]
    least_mm: float
    most_mm: float
    limit_mm: float

    @property
    def what_it_may_be(self) -> str:
        """What was probably written down instead, as sentences with the remedy."""
        read = [self.run.readings[i].reading_mm or 0.0 for i in self.readings]
        whole = next((v for v in read if v >= 1), 0.0) if all(v == int(v) for v in read) else 0.0
        dial = (
            f"These look like dial figures without the turns: {whole:g} may mean x.{whole:02.0f} "
            "mm. Write each reading in mm, turns and all."
            if 1 <= whole < 100
            else "Look for another unit or a lost decimal point, and write each reading in mm."
        )
        first = " Or the first reading is wrong." if self.most_mm - self.least_mm < ALIKE_MM else ""
        return (
            f"{dial}{first} If the gauge was moved on the way, give what was read after it its own "
            "run."
        )

    @property
    def oddity(self) -> Oddity:
        """That the whole run is left out, and why."""
        one = len(self.readings) == 1
        words = (
            f"Cannot tell yet: {'reading' if one else 'readings'} "
            f"{spans(i + 1 for i in self.readings)} of set-up {self.run.name} "
            f"{'stands' if one else 'stand'} {_range(self.least_mm, self.most_mm)} mm from where "
            f"the axis was told. No axis does that. {self.what_it_may_be}"
        )
        every = tuple(range(len(self.run.readings)))
        return Oddity(BEYOND_TOLD, words, every, self.most_mm, set_aside=True)


def beyond_told(run: Run) -> BeyondTold | None:
    """The readings of a run that are beyond all that was told, where most of them are.

    Each is held against the first. A gauge that counts down is as good as one that counts up.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings import KINDS, Reading
        >>> rows = [Reading(seq=t, target_mm=t, reading_mm=r, approach="up")
        ...         for t, r in enumerate([0, 65, 51, 49, 48])]
        >>> found = beyond_told(Run(name="a", kind=KINDS["coarse-steps"],
        ...                         station=STATIONS["nut"], readings=tuple(rows)))
        >>> found.readings, found.least_mm, found.most_mm
        ((1, 2, 3, 4), 44, 64)
    """
    moves = run.follows_command or run.kind is GAUGE_CHECK
    read = [
        (i, r.target_mm if moves else 0.0, r.reading_mm)
        for i, r in enumerate(run.readings)
        if r.reading_mm is not None
    ]
    if len(read) < 2:
        return None
    _, from_told, from_read = read[0]
    travel = max(told for _, told, _ in read) - min(told for _, told, _ in read)
    limit = max(travel, FAR_MM) if moves else FAR_AT_REST_MM
    best: list[tuple[int, float]] | None = None
    for sign in (1, -1):
        off = [(i, abs(sign * (r - from_read) - (told - from_told))) for i, told, r in read[1:]]
        beyond = [(i, by) for i, by in off if by > limit]
        best = beyond if best is None or len(beyond) < len(best) else best
    if not best or 2 * len(best) <= len(read) - 1:
        return None
    sizes = [by for _, by in best]
    return BeyondTold(run, tuple(i for i, _ in best), min(sizes), max(sizes), limit)


def _range(least: float, most: float) -> str:
    low, high = f"{least:.0f}", f"{most:.0f}"
    return low if low == high else f"{low} to {high}"


def spans(numbers: Iterable[int]) -> str:
    """Numbers in a row as a person writes them.

    Example:
        >>> spans([2, 3, 4, 7]), spans([5]), spans([1, 2])
        ('2 to 4 and 7', '5', '1 and 2')
    """
    rows: list[list[int]] = []
    for number in sorted(set(numbers)):
        if rows and rows[-1][-1] == number - 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    said = []
    for row in rows:
        said += [f"{row[0]} to {row[-1]}"] if len(row) > 2 else [str(n) for n in row]
    return f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else "".join(said)
