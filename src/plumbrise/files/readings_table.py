"""The readings table: read as people write it, judged strictly, every fault told at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from plumbrise.analyse.beyond_told import beyond_told
from plumbrise.errors import InputError, InputErrors
from plumbrise.files.cells import SEPARATORS, Line, split
from plumbrise.files.decoding import text_of
from plumbrise.files.faults import capped, each_once, no_readings
from plumbrise.files.header import Header, header_of, recognised
from plumbrise.files.rows import Row, Rows, kind_word, station_word
from plumbrise.files.spreadsheet import is_spreadsheet, lines_of_workbook
from plumbrise.files.unwrapping import unwrapped
from plumbrise.machine import STATIONS, Arrangement
from plumbrise.measure.at_hand import is_at_hand
from plumbrise.quantity import INCH_MM
from plumbrise.readings.checks import faults_of_order
from plumbrise.readings.kinds import KINDS, STEP_KINDS, Kind, kind_of_steps
from plumbrise.readings.table import Reading, Readings, Run, Scale, approaches

FINEST_STEP_MM = 0.05
"""No test here asks for finer steps; 0.04 in is 1 mm."""
IN_MM = "Lengths are taken as millimetres."
LOOKS_LIKE_INCHES = (
    "Lengths are taken as millimetres, though steps so fine look like inches: if they are, say so "
    "(on the page: lengths in; in a command: --inches)."
)
LARGEST_FILE = 20_000_000
SAME_FOR_A_RUN = ("test", "station", "axis", "stand_on")
ZERO_WITHIN_STEPS = 1.5
"""A staircase whose first target is at most so many steps above 0 left out its zero."""


def read_readings(
    data: bytes,
    *,
    name: str,
    scale: Scale,
    test: str | None = None,
    station: str | None = None,
    unit: str = "mm",
    arrangement: Arrangement | None = None,
    as_written: bool = False,
) -> Readings:
    """The readings in a file: CSV in any usual form, XLSX or ODS.

    Args:
        data: the whole file.
        name: its name, for errors.
        scale: what the machine says of gauge and screw.
        test: test kind of rows that do not say it.
        station: station of rows that do not say it.
        unit: "mm" or "inch", for lengths whose column names no unit.
        arrangement: if given, only its stations are allowed.
        as_written: take readings that no axis gives, too: what was kept once is not lost. The
            answer then says that it cannot tell.

    Returns:
        The runs in the order of the table, and in `remarks` all that was assumed.

    Raises:
        InputErrors: all that is wrong, each with file, row and column.

    Example:
        >>> found = read_readings(b"told,read\\n1,0.8\\n2,1.8\\n3,2.8\\n", name="steps.csv",
        ...                       scale=Scale(), station="gantry-left")
        >>> found.runs[0].kind.id, found.count, found.remarks[-1]
        ('coarse-steps', 3, 'The dial is taken as 0 at told 0, which the table leaves out.')
    """
    try:
        found = _Table(scale, arrangement, test, station, unit).read(data, name)
    except InputError as problem:
        raise InputErrors([problem.within(name) if problem.place != name else problem]) from None
    except InputErrors as problems:
        raise InputErrors(capped(list(problems.within(name).problems), name)) from None
    beyond = [one for run in found.runs if (one := beyond_told(run)) is not None]
    if beyond and not as_written:
        raise InputErrors([no_readings(one).within(name) for one in beyond])
    return found


class _Table:
    """One table on its way from bytes to runs; keeps what was assumed."""

    def __init__(
        self,
        scale: Scale,
        arrangement: Arrangement | None,
        test: str | None,
        station: str | None,
        unit: str,
    ) -> None:
        if unit not in ("mm", "inch"):
            raise InputError(
                place="unit", value=unit, allowed="mm or inch", remedy="Name the unit of lengths."
            )
        self.scale, self.arrangement, self.unit = scale, arrangement, unit
        self.test = None if not test else kind_word(test, arrangement)
        self.station = None if not station else station_word(station, arrangement)
        self.remarks: list[str] = []
        self.faults: list[InputError] = []

    def read(self, data: bytes, name: str) -> Readings:
        """The readings of a whole file."""
        lines = self._lines(data, name)
        if not lines:
            raise InputError(
                place=name, value="nothing", allowed="a header and rows", remedy="Fill the table."
            )
        header, below = header_of(lines, unit=self.unit)
        self._say_how(header, lines)
        if not below:
            raise InputError(
                place=f"row {header.row}",
                value="a header alone",
                allowed="at least one reading",
                remedy="Add a row for each reading.",
            )
        reader = Rows(header, self.arrangement, _has_points(below))
        rows = [reader.read(line) for line in below]
        if reader.commas:
            self.remarks.append("Decimal commas were read as points.")
        runs = [
            self._run(title, members, header, reader)
            for title, members in self._runs(rows, header, reader)
        ]
        self.faults = reader.faults
        if self.faults:
            raise InputErrors(each_once(self.faults))
        made = tuple(self._carried_on(run) for run in runs if run is not None)
        return Readings(made, tuple(dict.fromkeys(self.remarks)), header.unknown)

    def _lines(self, data: bytes, name: str) -> tuple[Line, ...]:
        if len(data) > LARGEST_FILE:
            raise InputError(
                place=name,
                value=f"{len(data)} bytes",
                allowed=f"up to {LARGEST_FILE} bytes",
                remedy="Give one session's table.",
            )
        if is_spreadsheet(data):
            lines, sheet = lines_of_workbook(data, name, recognised)
            if sheet:
                self.remarks.append(f"The readings were taken from the sheet {sheet}.")
            return lines
        decoded = text_of(data, name=name)
        if decoded.remark:
            self.remarks.append(decoded.remark)
        separator, lines = split(decoded.text, recognised)
        if separator != "," and len(lines) > 1:
            self.remarks.append(f"The cells are parted by {SEPARATORS[separator]}s.")
        return lines

    def _say_how(self, header: Header, lines: Sequence[Line]) -> None:
        above = [line for line in lines if line.number < header.row and not is_at_hand(line.cells)]
        if above:
            self.remarks.append(f"{_rows(len(above))} passed over above the header.")
        if header.row == 0:
            self.remarks.append("The table has no header: told height, then reading.")
        if header.taken:
            known = {p.column.name: p.title for p in header.places if p.column is not None}
            self.remarks.append(
                f"Taken for the told height: {known['target_mm']}; for the reading: "
                f"{known['reading_mm']}."
            )
        inches = [p.title for p in header.places if p.factor in (25.4, 0.0254)]
        if inches:
            self.remarks.append(f"Inches were turned into millimetres: {', '.join(inches)}.")
        if header.unknown:
            self.remarks.append(
                f"Columns that mean nothing here were kept: {', '.join(header.unknown)}."
            )

    def _runs(self, rows: list[Row], header: Header, reader: Rows) -> list[tuple[str, list[Row]]]:
        """Rows by run; without a run column a run ends where test or station change."""
        found: dict[str, list[Row]] = {}
        if header.has("run"):
            for row in rows:
                if row["run"] is None:
                    reader.fault(
                        row.number,
                        InputError(
                            place="run",
                            value="",
                            allowed="the name of the set-up",
                            remedy="Give every reading of one gauge set-up the same name.",
                        ),
                    )
                else:
                    found.setdefault(row["run"], []).append(row)
            return list(found.items())
        number, before = 0, None
        for row in rows:
            mark = tuple(row[column] for column in SAME_FOR_A_RUN)
            if mark != before:
                number, before = number + 1, mark
            found.setdefault(str(number), []).append(row)
        if number > 1:
            self.remarks.append(
                f"The table names no runs: {number} were made, one wherever the set-up changes."
            )
        return list(found.items())

    def _run(self, title: str, rows: list[Row], header: Header, reader: Rows) -> Run | None:
        self._one_set_up(title, rows, reader)
        if any(row["target_mm"] is None for row in rows):
            for row in rows:
                self._needed(row, "target_mm", "The height that the axis was told.", reader)
        if header.has("seq"):
            for row in rows:
                self._needed(row, "seq", "Number the readings of a run from 0.", reader)
            if any(row["seq"] is None for row in rows):
                return None
            ordered = sorted(rows, key=lambda row: int(row["seq"]))
            if ordered != rows:
                self.remarks.append(f"Run {title}: the rows were put in the order of seq.")
            rows = ordered
        if any(row["target_mm"] is None for row in rows):
            return None
        kind = self._kind(title, rows, header, reader)
        place = self._station(rows, header, reader)
        if kind is None or place is None:
            return None
        readings = _readings(rows, kind, header)
        for reading, problem in faults_of_order(readings):
            reader.fault(reading.row or 0, problem)
        short = not header.has("test") and not header.has("run")
        if short and kind in STEP_KINDS:
            readings = self._from_zero(readings, kind)
        return Run(
            name=title,
            kind=kind,
            station=STATIONS[place],
            readings=readings,
            axis=_said(rows, "axis") or "up",
            stand_on=_said(rows, "stand_on"),
        )

    def _needed(self, row: Row, column: str, words: str, reader: Rows) -> None:
        """An empty cell where there must be none; a cell that was refused has been told."""
        told = any(fault.place.startswith(f"row {row.number},") for fault in reader.faults)
        if row[column] is None and not told:
            reader.fault(
                row.number,
                InputError(place=column, value="", allowed="a number", remedy=words),
            )

    def _one_set_up(self, title: str, rows: list[Row], reader: Rows) -> None:
        """A run has one test, station, axis and stand."""
        for column in SAME_FOR_A_RUN:
            first = next((row for row in rows if row[column] is not None), None)
            if first is None:
                continue
            for row in rows:
                if row[column] is not None and row[column] != first[column]:
                    reader.fault(
                        row.number,
                        InputError(
                            place=column,
                            value=row[column],
                            allowed=f"{first[column]}, as in row {first.number} of run {title},",
                            remedy="A run is one gauge set-up. Give the other one its own run.",
                        ),
                    )
                    break

    def _kind(self, title: str, rows: list[Row], header: Header, reader: Rows) -> Kind | None:
        said = next((row["test"] for row in rows if row["test"]), None)
        if said is not None:
            if self.test and self.test != said:
                self.remarks.append(
                    f"Run {title}: the table says {said}; that stands, not {self.test}."
                )
            return KINDS[said]
        if self.test:
            return KINDS[self.test]
        if any("test" in fault.place for fault in reader.faults):
            return None
        targets = [float(row["target_mm"]) for row in rows]
        steps = _staircase(targets)
        if steps is not None:
            kind = kind_of_steps(steps)
            self.remarks.append(
                f"The targets rise in steps of {steps:g} mm: read as {kind.title.lower()}, up from "
                "a home from above."
            )
            if header.row == 0 or not any(p.factor == INCH_MM for p in header.places):
                self.remarks.append(LOOKS_LIKE_INCHES if steps < FINEST_STEP_MM else IN_MM)
            return kind
        reader.fault(
            rows[0].number,
            InputError(
                place="test",
                value="",
                allowed=", ".join(KINDS),
                remedy=f"{_what_it_may_be(targets)} Name the test of the whole table (on the page: "
                "what was done; in a command: --test), or add a column test.",
            ),
        )
        return None

    def _station(self, rows: list[Row], header: Header, reader: Rows) -> str | None:
        said: str | None = next((row["station"] for row in rows if row["station"]), None)
        if said is not None or self.station:
            return said or self.station
        if not any(fault.place.endswith("station") for fault in reader.faults):
            reader.fault(
                rows[0].number,
                InputError(
                    place="station",
                    value="",
                    allowed="the place where the gauge's tip rests",
                    remedy="Name one station for the whole table (on the page: where the gauge's "
                    "tip rested; in a command: --station gantry-left), or add a column station.",
                ),
            )
        return None

    def _from_zero(self, readings: tuple[Reading, ...], kind: Kind) -> tuple[Reading, ...]:
        """A pasted staircase that leaves out its zero: the dial read 0 at told 0."""
        targets = [reading.target_mm for reading in readings]
        step = _staircase(targets)
        if targets[0] <= 0 or step is None:
            return readings
        if targets[0] > ZERO_WITHIN_STEPS * step:
            self.remarks.append(f"The table starts at told {targets[0]:g} mm and is zeroed there.")
            return readings
        self.remarks.append("The dial is taken as 0 at told 0, which the table leaves out.")
        if readings[0].seq == 0:
            readings = tuple(replace(r, seq=r.seq + 1) for r in readings)
        zero = Reading(
            seq=readings[0].seq - 1, target_mm=0.0, reading_mm=0.0, approach="down", assumed=True
        )
        return (zero, replace(readings[0], approach="up"), *readings[1:])

    def _carried_on(self, run: Run) -> Run:
        wrap = self.scale.wrap_mm
        if wrap is None:
            return run
        run, moved = unwrapped(run, wrap)
        if moved:
            guide = "told height" if run.follows_command else "reading before"
            self.remarks.append(
                f"Run {run.name}: the dial has no turns counter; {moved} readings were carried on "
                f"past a full turn of {wrap:g} mm, with the {guide} as guide."
            )
        return run


def _said(rows: list[Row], column: str) -> str:
    """What a run's rows say in a column that is the same for all of them; empty where none does."""
    return next((row[column] for row in rows if row[column] is not None), "")


def _readings(rows: list[Row], kind: Kind, header: Header) -> tuple[Reading, ...]:
    directions = approaches(
        [float(row["target_mm"]) for row in rows], kind, [row["approach"] for row in rows]
    )
    return tuple(
        Reading(
            seq=row["seq"] if header.has("seq") else i,
            target_mm=row["target_mm"],
            reading_mm=row["reading_mm"],
            approach=direction,
            mass_kg=row["mass_kg"] or 0.0,
            mass_at_mm=row["mass_at_mm"],
            force_n=row["force_n"],
            torque_nmm=row["torque_nmm"],
            time_s=row["time_s"],
            temp_c=row["temp_c"],
            note=row["note"] or "",
            row=row.number,
            assumed=bool(row["assumed"]),
            other=row.other,
        )
        for i, (row, direction) in enumerate(zip(rows, directions, strict=True))
    )


def _staircase(targets_mm: list[float]) -> float | None:
    """The usual step of targets that only rise; None if they do not, or are fewer than three."""
    steps = [after - before for before, after in pairwise(targets_mm)]
    if len(steps) < 2 or min(steps) <= 0:
        return None
    step = sorted(steps)[len(steps) // 2]
    return round(step, 6) if max(steps) <= 3 * step else None


def _what_it_may_be(targets_mm: list[float]) -> str:
    """What targets that are no staircase are mostly: the person says, nothing is guessed."""
    steps = [after - before for before, after in pairwise(targets_mm) if after != before]
    if not steps:
        return "All targets are the same height: nothing moved, or the axis homed each time."
    if min(steps) < 0 < max(steps):
        return "The targets rise and fall, as in a reversal or over the full travel."
    return "Only targets that rise by about the same step each tell it by themselves."


def _has_points(lines: Sequence[Line]) -> bool:
    return any("." in cell and "," not in cell for line in lines for cell in line.cells)


def _rows(count: int) -> str:
    return "1 row was" if count == 1 else f"{count} rows were"
