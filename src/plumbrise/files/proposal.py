"""A proposal as plain values for JSON, and its parts as a table."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from io import StringIO
from typing import Any

from plumbrise.explain import Interval
from plumbrise.files.sizing import sheet_dict
from plumbrise.redesign import CATALOGUE, Choice, Line, PartLine, Proposal, Span

VERSION = 1
PARTS_COLUMNS = ("count", "part", "size", "for", "measure_first", "lead_days", "printed", "note")

Json = dict[str, Any]


def proposal_dict(proposal: Proposal) -> Json:
    """What `redesign --json` prints."""
    return {
        "version": VERSION,
        "targets": [
            {
                "figure": t.figure.id,
                "at_most": t.limit if t.figure.unit else None,
                "unit": t.figure.unit,
            }
            for t in proposal.targets
        ],
        "asked_probability": proposal.probability,
        "budget": proposal.budget,
        "currency": proposal.currency,
        "hour_worth": proposal.hour_worth,
        "met_already": proposal.met_already,
        "reachable": proposal.reachable,
        "limited_by": proposal.limited_by,
        "front": [_line(line) for line in proposal.front],
        "free": None if proposal.free is None else _line(proposal.free),
        "chosen": None if proposal.chosen is None else _choice(proposal.chosen),
        "tests": [
            {
                "test": w.test,
                "station": w.station,
                "minutes": w.minutes,
                "saves": w.saves,
                "after_time": w.after_time,
            }
            for w in proposal.worths
        ],
        "perfect_saves": proposal.perfect_saves,
        "cannot_tell": dict(proposal.untold),
        "looked_at": proposal.looked_at,
    }


def _line(line: Line) -> Json:
    return {
        "changes": list(line.changes),
        "cost": _span(line.cost),
        "hours": _span(line.hours),
        "probability": line.probability,
    }


def _choice(chosen: Choice) -> Json:
    return {
        **_line(chosen.line),
        "predicted": {p.figure.id: _stations(p.after) for p in chosen.predictions},
        "as_it_is": {p.figure.id: _stations(p.before) for p in chosen.predictions},
        "holds": {p.figure.id: p.chance for p in chosen.predictions},
        "without": dict(chosen.alone),
        "parts": [_part(line) for line in chosen.parts],
        "sums": [
            {
                "for": one.change,
                "kind": one.kind,
                "missing": list(one.missing),
                "sheet": None if one.sheet is None else sheet_dict(one.sheet),
            }
            for one in chosen.sums
        ],
        "constraints": list(chosen.constraints),
        "warnings": list(chosen.warnings),
    }


def parts_table(parts: Iterable[PartLine]) -> str:
    """Parts as CSV, one a row, to order by."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(PARTS_COLUMNS)
    for line in parts:
        row = _part(line)
        row["for"] = CATALOGUE[line.change].title
        row["printed"] = "yes" if line.part.printed else ""
        writer.writerow([row[column] for column in PARTS_COLUMNS])
    return out.getvalue()


def _part(line: PartLine) -> Json:
    return {
        "part": line.part.name,
        "size": line.size,
        "count": line.count,
        "for": line.change,
        "note": line.part.note,
        "lead_days": line.part.lead_days,
        "measure_first": line.part.measure_first,
        "printed": line.part.printed,
    }


def _stations(intervals: Mapping[str, Interval]) -> Json:
    return {
        station: {"estimate": i.estimate, "low": i.low, "high": i.high, "level": i.level}
        for station, i in intervals.items()
    }


def _span(span: Span) -> Json:
    return {"low": span.low, "likely": span.likely, "high": span.high}
