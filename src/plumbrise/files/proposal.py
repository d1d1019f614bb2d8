"""A proposal as plain values for JSON, and what is read back of it: the chosen changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from plumbrise.explain import Interval
from plumbrise.redesign import Choice, Line, Proposal, Span

VERSION = 1

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
        "parts": [
            {
                "part": line.part.name,
                "size": line.size,
                "count": line.count,
                "for": line.change,
                "note": line.part.note,
                "lead_days": line.part.lead_days,
                "measure_first": line.part.measure_first,
                "printed": line.part.printed,
            }
            for line in chosen.parts
        ],
        "constraints": list(chosen.constraints),
        "warnings": list(chosen.warnings),
    }


def _stations(intervals: Mapping[str, Interval]) -> Json:
    return {
        station: {"estimate": i.estimate, "low": i.low, "high": i.high, "level": i.level}
        for station, i in intervals.items()
    }


def _span(span: Span) -> Json:
    return {"low": span.low, "likely": span.likely, "high": span.high}
