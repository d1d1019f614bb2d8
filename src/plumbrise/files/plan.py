"""A plan as JSON, and as worksheets to fill in with the columns of the readings table."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

from plumbrise.explain.plan import Plan
from plumbrise.files.cells import HEADER_WITHIN, split
from plumbrise.files.decoding import text_of
from plumbrise.files.header import recognised
from plumbrise.files.readings_csv import write_readings
from plumbrise.files.spreadsheet import is_spreadsheet, lines_of_workbook
from plumbrise.measure.at_hand import AS_DESCRIBED, BOUNDS, AtHand, at_hand_in
from plumbrise.measure.pairs import pairs_of
from plumbrise.measure.session import Session
from plumbrise.readings import Readings
from plumbrise.readings.columns import COLUMNS

VERSION = 1


def plan_dict(plan: Plan, at_hand: AtHand = AS_DESCRIBED) -> dict[str, Any]:
    """What `plan --json` prints; `at_hand` where the gauge is not the machine file's."""
    with_it = read_with(plan, at_hand)
    return {
        "version": VERSION,
        "minutes": round(plan.minutes, 1),
        "doubt_bits": round(plan.doubt_bits, 3),
        "gain_bits": round(plan.gain_bits, 3),
        "little_of": list(plan.unseen),
        "gauge": {name: getattr(at_hand, name) for name in BOUNDS},
        "set_ups": [
            {
                "run": step.set_up.run.name,
                "test": step.set_up.kind.id,
                "station": step.set_up.station.id,
                "spring_balance": step.set_up.with_balance,
                "read_with": with_it.get(step.set_up.run.name),
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


def read_with(plan: Plan, at_hand: AtHand) -> dict[str, str]:
    """Set-up -> the one that a second gauge reads at the same moves; none with one gauge."""
    if at_hand.at_once < 2:
        return {}
    runs = runs_of(plan).runs
    pairs = pairs_of(Session(runs))
    return {runs[one].name: runs[other].name for one, other in pairs.items()}


def worksheet_csv(plan: Plan, at_hand: AtHand = AS_DESCRIBED) -> str:
    """A readings table with the targets filled in and the readings blank, headed by the gauge it
    is for where that is not the machine file's."""
    head = ",".join(at_hand.cells)
    return (f"{head}\n" if head else "") + write_readings(runs_of(plan))


def at_hand_of(data: bytes, *, name: str) -> AtHand:
    """The gauge that a worksheet (CSV or a workbook) was made for.

    Raises:
        InputError: its line cannot be read; no text and no workbook.
    """
    if is_spreadsheet(data):
        lines, _ = lines_of_workbook(data, name, recognised)
    else:
        _, lines = split(text_of(data, name=name).text, recognised)
    return at_hand_in([line.cells for line in lines[:HEADER_WITHIN]])


def worksheet_xlsx(plan: Plan, at_hand: AtHand = AS_DESCRIBED) -> bytes:
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
    top = 1
    if at_hand.cells:
        sheet.append(at_hand.cells)
        top = 2
    thin = Border(bottom=Side(style="thin", color="999999"))
    for place, i in enumerate(used, start=1):
        title = rows[0][i]
        sheet.cell(top, place, title).font = Font(bold=True)
        for number, row in enumerate(rows[1:], start=top + 1):
            text = row[i]
            cell = sheet.cell(
                number, place, float(text) if text and title in numbers else text or None
            )
            if title == "reading_mm":
                cell.fill = PatternFill("solid", fgColor="FFF7D6")
                cell.border = thin
        width = max(len(title), *(len(row[i]) for row in rows[1:])) if len(rows) > 1 else len(title)
        sheet.column_dimensions[get_column_letter(place)].width = width + 2
    sheet.freeze_panes = f"A{top + 1}"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()
