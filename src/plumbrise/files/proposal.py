"""A proposal as plain values for JSON, what it chose read back, and its parts as a table."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from io import StringIO
from typing import Any

from plumbrise.errors import InputError
from plumbrise.explain import Interval
from plumbrise.files.json_text import json_object, versioned
from plumbrise.files.sizing import sheet_dict
from plumbrise.machine import STATIONS
from plumbrise.redesign import (
    CATALOGUE,
    LOST_MOTION,
    Change,
    Choice,
    Line,
    PartLine,
    Proposal,
    Span,
    Target,
    share_within,
    targets_of,
)
from plumbrise.redesign.figures import STAYS_UP
from plumbrise.redesign.predicting import AXIS

VERSION = 1
PARTS_COLUMNS = (
    "count",
    "part",
    "size",
    "for",
    "measure_first",
    "lead_days",
    "at_hand",
    "printed",
    "note",
)

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Chosen:
    """The set that a proposal chose, read back: its changes, what was predicted of it (figure ->
    station -> interval), the probability that all targets are met, what was aimed at, and the
    figures that the set leaves as they are."""

    changes: tuple[Change, ...]
    predicted: Mapping[str, Mapping[str, Interval]]
    probability: float | None
    targets: tuple[Target, ...] = ()
    left_alone: frozenset[str] = frozenset()

    @property
    def promised(self) -> Mapping[str, Mapping[str, Interval]]:
        """What the set promises: nothing of a figure that it leaves as it is."""
        return {key: told for key, told in self.predicted.items() if key not in self.left_alone}

    @property
    def target_mm(self) -> float:
        """The most that an end may lose, as it was aimed at, else the usual."""
        found = (one.limit for one in self.targets if one.figure is LOST_MOTION)
        return next(found, LOST_MOTION.limit)


def read_proposal(text: str, *, name: str) -> Chosen:
    """What the JSON of `redesign --json` chose.

    Args:
        text: the file's text.
        name: the file's name, for errors.

    Raises:
        InputError: no JSON, no proposal, another version, nothing chosen, an unknown change.

    Example:
        >>> read_proposal('{"version": 1, "chosen": {"changes": ["new-nut"]}}', name="p.json"
        ...               ).changes[0].title
        'New plain nut'
    """
    try:
        return _chosen(versioned(json_object(text), VERSION, "`plumbrise redesign --json`"))
    except InputError as problem:
        raise problem.within(name) from None


def _chosen(given: Json) -> Chosen:
    if "chosen" not in given:
        raise InputError(
            place="chosen",
            value="nothing",
            allowed="the set that a proposal chose",
            remedy="Give the file that `plumbrise redesign --json` wrote.",
        )
    chosen = given["chosen"]
    ids = chosen.get("changes") if isinstance(chosen, dict) else None
    if not isinstance(ids, list) or not ids:
        raise InputError(
            place="chosen.changes",
            value=ids,
            allowed="one change or more",
            remedy="This proposal changes nothing. Ask for other targets, or a larger budget.",
        )
    for one in ids:
        _known(one)
    assert isinstance(chosen, dict)
    predicted = _predicted(chosen.get("predicted"), "predicted")
    before = _predicted(chosen.get("as_it_is"), "as_it_is")
    return Chosen(
        tuple(CATALOGUE[one] for one in dict.fromkeys(ids)),
        predicted,
        _probability(chosen.get("probability")),
        _targets(given.get("targets")),
        frozenset(figure for figure in predicted if predicted[figure] == before.get(figure)),
    )


def _targets(given: object) -> tuple[Target, ...]:
    """What was aimed at; nothing where the file does not say it."""
    if given is None:
        return ()
    try:
        if not isinstance(given, list):
            raise TypeError(given)
        limits = {str(one["figure"]): one["at_most"] for one in given}
        stays_up = STAYS_UP.id in limits
        limits.pop(STAYS_UP.id, None)
        if not limits and not stays_up:
            return ()
        told = {figure: float(limit) for figure, limit in limits.items()}
        found = targets_of(told or None, stays_up=stays_up)
        return found if told else tuple(one for one in found if one.figure is STAYS_UP)
    except (InputError, KeyError, TypeError, ValueError):
        raise InputError(
            place="targets",
            value="something else",
            allowed="figures and the most they may be, as written by the program",
            remedy="Make the proposal anew; do not mend it by hand.",
        ) from None


def _probability(given: object) -> float | None:
    if given is None:
        return None
    if isinstance(given, bool) or not isinstance(given, int | float) or not 0 <= given <= 1:
        raise InputError(
            place="chosen.probability",
            value=given,
            allowed="a number from 0 to 1",
            remedy="Make the proposal anew; do not mend it by hand.",
        )
    return float(given)


def _known(one: object) -> None:
    if not isinstance(one, str) or one not in CATALOGUE:
        raise InputError(
            place="chosen.changes",
            value=one,
            allowed="one of " + ", ".join(CATALOGUE),
            remedy="Make the proposal anew with this version of the program.",
        )


def _predicted(given: object, place: str) -> dict[str, dict[str, Interval]]:
    """Figure -> station -> interval; none where the file holds none."""
    if given is None:
        return {}
    try:
        if not isinstance(given, Mapping):
            raise TypeError(given)
        return {
            figure: {_place(station): _interval(one) for station, one in stations.items()}
            for figure, stations in given.items()
        }
    except (AttributeError, KeyError, OverflowError, TypeError, ValueError):
        raise InputError(
            place=f"chosen.{place}",
            value="something else",
            allowed="figure, station and interval, as written by the program",
            remedy="Make the proposal anew; do not mend it by hand.",
        ) from None


_INTERVAL = ("estimate", "low", "high", "level")


LARGEST = 1e6
"""No figure of a desktop machine is larger, in its unit."""


def _place(station: str) -> str:
    if station not in STATIONS and station != AXIS:
        raise ValueError(station)
    return station


def _interval(given: Mapping[str, float]) -> Interval:
    found = Interval(*(float(given[key]) for key in _INTERVAL))
    if not (-LARGEST <= found.low <= found.estimate <= found.high <= LARGEST):
        raise ValueError(given)
    if not 0 < found.level < 1:
        raise ValueError(given)
    return found


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
        "taken": proposal.taken,
        "limited_by": proposal.limited_by,
        "front": [_line(line, proposal.draws) for line in proposal.front],
        "free": None if proposal.free is None else _line(proposal.free, proposal.draws),
        "chosen": None if proposal.chosen is None else _choice(proposal.chosen, proposal.draws),
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
        "draws": proposal.draws,
        "remarks": list(proposal.remarks),
    }


def _line(line: Line, draws: int) -> Json:
    low, high = share_within(line.probability, draws)
    return {
        "changes": list(line.changes),
        "cost": _span(line.cost),
        "hours": _span(line.hours),
        "probability": line.probability,
        "probability_within": [low, high],
    }


def _choice(chosen: Choice, draws: int) -> Json:
    return {
        **_line(chosen.line, draws),
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
        row["at_hand"] = "yes" if line.at_hand else ""
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
        "lead_days": 0 if line.at_hand else line.part.lead_days,
        "at_hand": line.at_hand,
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
