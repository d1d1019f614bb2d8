"""The header of a readings table: which column is which, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from plumbrise.errors import InputError
from plumbrise.files.cells import HEADER_WITHIN, Line, number_in, titled_pairs
from plumbrise.quantity import INCH_MM, typed
from plumbrise.readings.columns import BY_NAME, COLUMNS, Column

ASSUMED = Column("assumed", "", "Put in by the program, not read.", number=False)
"""Written beside the readings so that a row that nobody read is known again."""

LENGTHS = ("target_mm", "reading_mm", "mass_at_mm")
_UNITS: dict[str, tuple[str, tuple[str, ...]]] = {
    "mm": ("length", ("mm", "cm", "um", "µm", "in", "inch", "inches", "thou")),
    "kg": ("mass", ("kg", "g", "lb")),
    "N": ("force", ("n", "kgf", "lbf")),
    "N·mm": ("torque", ("nmm", "nm", "ncm")),
    "s": ("time", ("s", "min", "h")),
    "°C": ("", ("c",)),
}
_ALSO = {
    "temp_c": ("temperature",),
    "mass_kg": ("weight",),
    "stand_on": ("stand",),
    "seq": ("number", "no"),
    "target_mm": ("told_height",),
    "reading_mm": ("dial_reading", "gauge_reading", "dial_gauge"),
}


@dataclass(frozen=True, slots=True)
class Place:
    """One column of the file: where it stands, what it is called there, what it holds."""

    index: int
    title: str
    column: Column | None
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Header:
    """The columns of a file; `row` is 0 where the file has none. `taken` are titles that mean
    nothing here, of two columns that are told and read all the same."""

    row: int
    places: tuple[Place, ...]
    taken: tuple[str, ...] = ()

    def has(self, name: str) -> bool:
        """True if the table holds this column."""
        return any(place.column and place.column.name == name for place in self.places)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Titles that mean nothing here; their cells are kept."""
        return tuple(place.title for place in self.places if place.column is None)


def _plain(title: str) -> str:
    cleaned = re.sub(r"[·°\"']", "", title.strip().lower().replace("μ", "µ"))
    return re.sub(r"[\s\-_/().\[\]{}:#*]+", "_", cleaned).strip("_")


def _names() -> dict[str, tuple[Column, float, bool]]:
    """Every title that is known -> its column, factor to the column's unit, unit named."""
    known: dict[str, tuple[Column, float, bool]] = {"assumed": (ASSUMED, 1.0, False)}
    for column in COLUMNS:
        measures, units = _UNITS.get(column.unit, ("", ()))
        for name in (column.name, *column.other_names, *_ALSO.get(column.name, ())):
            ending = _plain(column.unit)
            stem = name.removesuffix(f"_{ending}") if ending else name
            known.setdefault(stem, (column, 1.0, False))
            for unit in units:
                factor = 1.0
                if measures:
                    factor = typed(f"1 {unit.removesuffix('es')}", measures, name)
                known.setdefault(f"{stem}_{unit}", (column, factor, True))
    return known


NAMES = _names()
MACHINE_LINE = re.compile(r"\s*([a-z_]+\s*=|\[[a-z_.]+\])")
"""How a machine file begins."""


def recognised(cells: tuple[str, ...]) -> int:
    """How many column names a row holds; 0 for a row that has numbers in it."""
    if any(number_in(cell) is not None for cell in cells if cell):
        return 0
    return len({NAMES[_plain(cell)][0].name for cell in cells if _plain(cell) in NAMES})


def header_of(lines: tuple[Line, ...], *, unit: str) -> tuple[Header, tuple[Line, ...]]:
    """The header of a table and the rows below it.

    Args:
        lines: the rows that are not blank.
        unit: "mm" or "inch", for lengths whose title names no unit.

    Raises:
        InputError: no header and not two columns of numbers, a column twice, or one missing.

    Example:
        Two columns need no name that is known: told height, then reading.

        >>> lines = (Line(1, ("soll (mm)", "Uhr (in)")), Line(2, ("1", "0.03")))
        >>> [(p.column.name, p.factor) for p in header_of(lines, unit="mm")[0].places]
        [('target_mm', 1.0), ('reading_mm', 25.4)]
    """
    for at, line in enumerate(lines[:HEADER_WITHIN]):
        found = {
            NAMES[_plain(cell)][0].name for cell in line.cells if cell and _plain(cell) in NAMES
        }
        if {"target_mm", "reading_mm"} <= found:
            return _header(line, unit), lines[at + 1 :]
    first = lines[0]
    filled = [i for i, cell in enumerate(first.cells) if cell]
    if len(filled) == 2 and all(number_in(first.cells[i]) is not None for i in filled):
        factor = INCH_MM if unit == "inch" else 1.0
        titles = ("target_mm", "reading_mm")
        places = (Place(i, t, BY_NAME[t], factor) for i, t in zip(filled, titles, strict=True))
        return Header(0, tuple(places)), lines
    two = _of_two(first, unit) if titled_pairs(lines) else None
    if two is not None:
        return two, lines[1:]
    best = max(lines[:HEADER_WITHIN], key=lambda line: recognised(line.cells))
    found = {NAMES[_plain(cell)][0].name for cell in best.cells if _plain(cell) in NAMES}
    if not found:
        best = first
    missing = [name for name in ("target_mm", "reading_mm") if name not in found]
    if any(MACHINE_LINE.match(line.cells[0]) for line in lines[:HEADER_WITHIN] if line.cells):
        raise InputError(
            place=f"row {first.number}",
            value=first.cells[0][:80],
            allowed="a readings table",
            remedy="This is a machine file. Give the machine file first, then the readings.",
        )
    raise InputError(
        place=f"row {best.number}",
        value=", ".join(cell for cell in best.cells if cell)[:80],
        allowed="a header with the columns target_mm and reading_mm",
        remedy=f"Name the missing column{'s' if len(missing) > 1 else ''} "
        f"{' and '.join(missing)} in the header, or give two columns of numbers alone.",
    )


def _of_two(line: Line, unit: str) -> Header | None:
    """Two columns of which a title at least means nothing here: told, then read, or what is left
    beside the one that is known. None if a title means something else."""
    at = [i for i, cell in enumerate(line.cells) if cell]
    entries = [NAMES.get(_plain(line.cells[i])) for i in at]
    names = [entry[0].name if entry else "" for entry in entries]
    asked = ["target_mm", "reading_mm"]
    if names[0] == "reading_mm" or names[1] == "target_mm":
        asked.reverse()
    if any(name not in ("", column) for name, column in zip(names, asked, strict=True)):
        return None
    spelt, taken = list(line.cells), []
    for i, name, column in zip(at, names, asked, strict=True):
        if not name:
            taken.append(line.cells[i])
            stem = column.removesuffix("_mm")
            with_unit = f"{stem}_{_plain(line.cells[i]).rpartition('_')[2]}"
            spelt[i] = with_unit if with_unit in NAMES else stem
    found = _header(Line(line.number, tuple(spelt)), unit)
    places = tuple(replace(place, title=line.cells[place.index]) for place in found.places)
    return Header(line.number, places, tuple(taken))


def _header(line: Line, unit: str) -> Header:
    places: list[Place] = []
    for index, title in enumerate(line.cells):
        if not title:
            continue
        column, factor, named = NAMES.get(_plain(title), (None, 1.0, False))
        if column is not None:
            before = next((p for p in places if p.column is column), None)
            if before is not None:
                raise InputError(
                    place=f"row {line.number}",
                    value=title,
                    allowed=f"one column {column.name}",
                    remedy=f"{before.title} means the same. Rename or remove one of them.",
                )
            if unit == "inch" and column.name in LENGTHS:
                if named and factor != INCH_MM:
                    raise InputError(
                        place=f"row {line.number}",
                        value=title,
                        allowed="a length in inches, as you said,",
                        remedy="Rename the column (target_in, reading_in), or do not say inches.",
                    )
                factor = INCH_MM
        places.append(Place(index, title, column, factor))
    return Header(line.number, tuple(places))
