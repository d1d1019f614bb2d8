"""One row of a readings table: cells to values, everything wrong with it told."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.cells import Line, looks_grouped, number_in
from plumbrise.files.header import ASSUMED, Header, Place
from plumbrise.machine import STATIONS, Arrangement, stations_of
from plumbrise.readings.checks import checked
from plumbrise.readings.kinds import KINDS

THOUSANDS_POSSIBLE = ("time_s", "torque_nmm", "force_n")
STANDS = ("frame", "bed", "table")


@dataclass(frozen=True, slots=True)
class Row:
    """What one row says: `values` by column name, None for an empty cell."""

    number: int
    values: dict[str, Any]
    other: tuple[tuple[str, str], ...] = ()

    def __getitem__(self, column: str) -> Any:
        return self.values.get(column)


@dataclass(slots=True)
class Rows:
    """Reads rows under one header, keeping all faults."""

    header: Header
    arrangement: Arrangement | None
    points: bool
    """True if the table has numbers with a decimal point: then 1,234 could be a thousand."""
    faults: list[InputError] = field(default_factory=list)
    commas: int = 0

    def read(self, line: Line) -> Row:
        """The row; what is wrong goes to `faults`, and its value to None."""
        values: dict[str, Any] = {}
        other = []
        self._loose_cells(line)
        for place in self.header.places:
            cell = line.cells[place.index] if place.index < len(line.cells) else ""
            if place.column is None:
                if cell:
                    other.append((place.title, cell))
                continue
            try:
                values[place.column.name] = self._value(place, cell)
            except InputError as problem:
                self.fault(line.number, problem)
                values[place.column.name] = None
        return Row(line.number, values, tuple(other))

    def fault(self, number: int, problem: InputError) -> None:
        """Keep a fault of a row, under the name its column has in this file."""
        for place in self.header.places:
            if place.column is not None and place.column.name == problem.place:
                problem = InputError(
                    place=place.title,
                    value=problem.value,
                    allowed=problem.allowed,
                    remedy=problem.remedy,
                )
                break
        self.faults.append(problem.within(f"row {number}"))

    def _loose_cells(self, line: Line) -> None:
        known = {place.index for place in self.header.places}
        loose = [i for i, cell in enumerate(line.cells) if cell and i not in known]
        if loose:
            self.faults.append(
                InputError(
                    place=f"row {line.number}, column {loose[0] + 1}",
                    value=", ".join(line.cells)[:80],
                    allowed=f"{len(known)} cells",
                    remedy="There is no name above this cell. Write numbers with a point, or part "
                    "the cells with semicolons.",
                )
            )

    def _value(self, place: Place, cell: str) -> Any:
        column = place.column
        assert column is not None
        if column is ASSUMED:
            return cell.strip().lower() in ("yes", "true", "1", "1.0")
        if column.number:
            return None if not cell else self._number(place, cell)
        if not cell:
            return None
        reader = _WORDS.get(column.name)
        return cell if reader is None else reader(cell, self.arrangement)

    def _number(self, place: Place, cell: str) -> float | int:
        column = place.column
        assert column is not None
        value = number_in(_without_unit(cell, column.unit))
        if value is None:
            raise InputError(
                place=column.name,
                value=cell,
                allowed="a number",
                remedy="Type a number such as 0.35, or leave the cell empty if it could not be "
                "read."
                if column.name == "reading_mm"
                else "Type a number such as 8 or 8.5.",
            )
        if "," in cell:
            self.commas += 1
            if self.points and looks_grouped(cell) and column.name in THOUSANDS_POSSIBLE:
                raise InputError(
                    place=column.name,
                    value=cell,
                    allowed="a number without a comma",
                    remedy="It could be a thousand or a fraction: write 1234 or 1.234.",
                )
        if place.factor != 1:
            value = round(value * place.factor, 9)  # 0.3 in is 7.62 mm
        value = checked(column.name, value, cell)
        if column.name == "seq":
            if value != int(value):
                raise InputError(
                    place="seq",
                    value=cell,
                    allowed="a whole number",
                    remedy="Count the readings of a run from 0.",
                )
            return int(value)
        return value


def _without_unit(cell: str, unit: str) -> str:
    """ "0.35 mm" in a column of millimetres is 0.35."""
    if unit and cell.lower().endswith(unit.lower()):
        return cell[: -len(unit)].rstrip()
    return cell


def _plain(word: str) -> str:
    return re.sub(r"[\s_-]+", "-", word.strip().lower()).strip("-")


def one_of(place: str, given: str, words: Iterable[str], remedy: str, shown: str = "") -> str:
    """The word that is meant, whatever its case, spaces and underscores.

    Raises:
        InputError: none of the words; the nearest one is named.

    Example:
        >>> one_of("axis", "Left Right", ["up", "left-right"], "")
        'left-right'
    """
    listed = list(words)
    word = _plain(given)
    if word in listed:
        return word
    near = get_close_matches(word, listed, n=1, cutoff=0.6)
    raise InputError(
        place=place,
        value=given,
        allowed=shown or ", ".join(listed[:-1]) + f" or {listed[-1]}",
        remedy=f"Did you mean {near[0]}?" if near else remedy,
    )


def kind_word(given: str, _arrangement: Arrangement | None) -> str:
    """The id of a test kind."""
    return one_of("test", given, KINDS, "Name what was done at the machine.")


def station_word(given: str, arrangement: Arrangement | None) -> str:
    """The id of a station, one of this arrangement's if it is known."""
    if arrangement is None:
        return one_of("station", given, STATIONS, "Name the place where the gauge's tip rests.")
    ids = [station.id for station in stations_of(arrangement)]
    remedy = f"Name a station of this machine ({arrangement.title.lower()})."
    elsewhere = STATIONS.get(_plain(given))
    if elsewhere is not None and elsewhere.id not in ids:
        here = [name for name in ids if STATIONS[name].link_station == elsewhere.link_station]
        raise InputError(
            place="station",
            value=given,
            allowed=", ".join(ids[:-1]) + f" or {ids[-1]}",
            remedy=f"Did you mean {' or '.join(here)}?" if here else remedy,
        )
    return one_of("station", given, ids, remedy)


def _approach(given: str, _: Arrangement | None) -> str:
    return one_of("approach", given, ("up", "down"), "Name the direction of the last move.")


def _axis(given: str, _: Arrangement | None) -> str:
    words = ("up", "left-right", "front-back")
    return one_of("axis", given, words, "Name the direction in which the gauge reads.")


def _stand(given: str, _: Arrangement | None) -> str:
    return one_of(
        "stand_on",
        given,
        (*STANDS, *STATIONS),
        "Name what the gauge's stand stands on.",
        shown="frame, bed, table or a station",
    )


_WORDS: dict[str, Callable[[str, Arrangement | None], str]] = {
    "test": kind_word,
    "station": station_word,
    "approach": _approach,
    "axis": _axis,
    "stand_on": _stand,
}
"""Columns that hold one of a few words, and how each is read."""
