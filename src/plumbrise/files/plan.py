"""A plan as JSON, and as worksheets to fill in with the columns of the readings table."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

from plumbrise.explain.plan import Plan
from plumbrise.files.readings_csv import write_readings
from plumbrise.readings import Readings
from plumbrise.readings.columns import COLUMNS

VERSION = 1


def plan_dict(plan: Plan) -> dict[str, Any]:
    """What `plan --json` prints."""
    return {
        "version": VERSION,
        "minutes": round(plan.minutes, 1),
        "doubt_bits": round(plan.doubt_bits, 3),
        "gain_bits": round(plan.gain_bits, 3),
        "little_of": list(plan.unseen),
        "set_ups": [
            {
                "run": step.set_up.run.name,
                "test": step.set_up.kind.id,
                "station": step.set_up.station.id,
                "spring_balance": step.set_up.with_balance,
                "minutes": round(step.minutes, 1),
                "why": step.why,
                "tells": list(step.tells),
                "settled": list(step.settled),
                "share": round(step.share, 3),
                "readings": [
                    {
                        "seq": r.seq,
                        "target_mm": r.target_mm,
                        "approach": r.approach,
                        "mass_kg": r.mass_kg,
                        "force_n": r.force_n,
                        "time_s": r.time_s,
                    }
                    for r in step.set_up.run.readings
                ],
            }
            for step in plan.steps
        ],
    }


def runs_of(plan: Plan) -> Readings:
    """The set-ups of a plan as runs without readings, in the plan's order, numbered from 0."""
    return Readings(
        tuple(
            replace(
                step.set_up.run,
                readings=tuple(replace(r, seq=i) for i, r in enumerate(step.set_up.run.readings)),
            )
            for step in plan.steps
        )
    )


def worksheet_csv(plan: Plan) -> str:
    """A readings table with the targets filled in and the readings blank."""
    return write_readings(runs_of(plan))


def worksheet_xlsx(plan: Plan) -> bytes:
    """The same as a workbook: header frozen, the column to fill in marked."""
    import csv

    from openpyxl import Workbook
    from openpyxl.styles import Border, Font, PatternFill, Side
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=False)
    sheet = book.create_sheet("readings", 0)
    del book["Sheet"]
    rows = list(csv.reader(io.StringIO(worksheet_csv(plan))))
    used = [
        i
        for i, title in enumerate(rows[0])
        if title in ("reading_mm", "note") or any(row[i] for row in rows[1:])
    ]
    numbers = {column.name for column in COLUMNS if column.number}
    thin = Border(bottom=Side(style="thin", color="999999"))
    for place, i in enumerate(used, start=1):
        title = rows[0][i]
        sheet.cell(1, place, title).font = Font(bold=True)
        for number, row in enumerate(rows[1:], start=2):
            text = row[i]
            cell = sheet.cell(
                number, place, float(text) if text and title in numbers else text or None
            )
            if title == "reading_mm":
                cell.fill = PatternFill("solid", fgColor="FFF7D6")
                cell.border = thin
        width = max(len(title), *(len(row[i]) for row in rows[1:])) if len(rows) > 1 else len(title)
        sheet.column_dimensions[get_column_letter(place)].width = width + 2
    sheet.freeze_panes = "A2"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()
