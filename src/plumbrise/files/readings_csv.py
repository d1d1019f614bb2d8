"""Readings to the CSV that every spreadsheet opens: comma, point, one header row."""

from __future__ import annotations

import csv
import io

from plumbrise.files.header import ASSUMED
from plumbrise.readings.columns import COLUMNS
from plumbrise.readings.table import Reading, Readings, Run


def write_readings(readings: Readings) -> str:
    """The table with all columns of the format, then those that the program does not know.

    Reading it again gives the same runs. A reading that nobody took is marked in a column of its
    own.
    """
    taken = [(run, reading) for run in readings.runs for reading in run.readings]
    unknown = list(
        dict.fromkeys([*readings.unknown_columns, *(key for _, r in taken for key, _ in r.other)])
    )
    extra = [ASSUMED.name] if any(r.assumed for _, r in taken) else []
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow([column.name for column in COLUMNS] + extra + unknown)
    for run, reading in taken:
        cells = _cells(run, reading)
        other = dict(reading.other)
        writer.writerow(
            [cells[column.name] for column in COLUMNS]
            + ["yes" if reading.assumed else ""] * len(extra)
            + [other.get(key, "") for key in unknown]
        )
    return made.getvalue()


def _cells(run: Run, reading: Reading) -> dict[str, str]:
    return {
        "run": run.name,
        "test": run.kind.id,
        "station": run.station.id,
        "seq": str(reading.seq),
        "target_mm": _number(reading.target_mm),
        "reading_mm": _number(reading.reading_mm),
        "approach": reading.approach,
        "mass_kg": _number(reading.mass_kg),
        "mass_at_mm": _number(reading.mass_at_mm),
        "force_n": _number(reading.force_n),
        "torque_nmm": _number(reading.torque_nmm),
        "time_s": _number(reading.time_s),
        "temp_c": _number(reading.temp_c),
        "axis": run.axis,
        "stand_on": run.stand_on,
        "note": reading.note,
    }


def _number(value: float | None) -> str:
    """Shortest digits that read back the same; whole numbers without a point."""
    if value is None:
        return ""
    return str(int(value)) if float(value).is_integer() else repr(float(value))
