"""Writes the readings of the invented example afresh: python scripts/make_demo.py."""

import csv
from pathlib import Path

from plumbrise.demo.bramble import readings
from plumbrise.readings import COLUMNS

TABLE = Path(__file__).parents[1] / "src/plumbrise/demo/session/readings.csv"


def rows() -> list[dict[str, str]]:
    """The table, every cell as text; what does not apply stays empty."""
    made = []
    for run in readings().runs:
        for reading in run.readings:
            cells = {
                "run": run.name,
                "test": run.kind.id,
                "station": run.station.id,
                "axis": run.axis,
                "stand_on": run.stand_on,
            }
            for column in COLUMNS:
                if column.name not in cells:
                    value = getattr(reading, column.name)
                    cells[column.name] = (
                        ""
                        if value is None
                        else f"{value:g}"
                        if isinstance(value, float)
                        else str(value)
                    )
            cells["reading_mm"] = "" if reading.reading_mm is None else f"{reading.reading_mm:.3f}"
            made.append(cells)
    return made


if __name__ == "__main__":
    TABLE.parent.mkdir(exist_ok=True)
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [c.name for c in COLUMNS], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows())
