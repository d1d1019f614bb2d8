"""A proof as plain values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Any

from plumbrise.explain import Interval
from plumbrise.prove import Also, Compared, Fairness, Onward, Proof
from plumbrise.quantity import Measured

VERSION = 1

Json = dict[str, Any]


def proofs_dict(proofs: Sequence[Proof]) -> Json:
    """What `prove --json` prints, one proof for each session after."""
    return {"version": VERSION, "proofs": [proof_dict(proof) for proof in proofs]}


def proof_dict(proof: Proof) -> Json:
    """One session against the one before the work."""
    return {
        "before": proof.before,
        "after": proof.after,
        "headline": proof.headline,
        "advice": proof.advice,
        "fairness": _fairness(proof.fairness),
        "figures": [_compared(one) for one in proof.figures],
        "also": [_also(one) for one in proof.also],
        "promises": [
            {
                "figure": one.figure,
                "station": one.station,
                "promised": _interval(one.promised),
                "came": None if one.came is None else _measured(one.came),
                "kept": one.kept,
            }
            for one in proof.promises
        ],
        "links": [
            {
                "link": one.link,
                "side": one.side,
                "station": one.station,
                "before": _interval_or_none(one.before),
                "after": _interval_or_none(one.after),
                "change": _interval_or_none(one.change),
                "shared_with": list(one.shared_with),
            }
            for one in proof.links
        ],
        "machine": [
            {"field": one.field, "before": one.before, "after": one.after} for one in proof.machine
        ],
        "remains": {station: _measured(value) for station, value in proof.remains.items()},
        "unread": list(proof.unread),
        "target_mm": proof.target_mm,
        "onward": None if proof.onward is None else _onward(proof.onward),
    }


def _fairness(fair: Fairness) -> Json:
    return {
        "both": [list(test) for test in fair.both],
        "only_before": [list(test) for test in fair.only_before],
        "only_after": [list(test) for test in fair.only_after],
        "differs": [
            {
                "what": one.what,
                "before": one.before,
                "after": one.after,
                "words": one.words,
                "effect_mm": one.effect_mm,
                "tests": [list(test) for test in one.runs],
                "stops": one.stops,
            }
            for one in fair.differs
        ],
        "same": list(fair.same),
        "aside": [
            {
                "when": one.when,
                "test": list(one.test),
                "run": one.run,
                "reach_mm": list(one.reach_mm),
                "counts": one.counts,
                "counts_reach_mm": list(one.counts_reach_mm),
            }
            for one in fair.aside
        ],
    }


def _onward(onward: Onward) -> Json:
    return {
        "changes": list(onward.changes),
        "cost": onward.cost,
        "currency": onward.currency,
        "hours": onward.hours,
        "probability": onward.probability,
        "already": onward.already,
    }


def _also(one: Also) -> Json:
    return {
        "test": one.kind,
        "station": one.station,
        "figure": one.figure,
        "detail": one.detail,
        "before": _measured(one.before),
        "after": _measured(one.after),
        "at_least": one.at_least,
    }


def _compared(one: Compared) -> Json:
    return {
        "thing": one.thing,
        "test": one.kind,
        "station": one.station,
        "figure": one.figure,
        "detail": one.detail,
        "before": _measured(one.before),
        "after": _measured(one.after),
        "change": _measured(one.change),
        "ratio": _interval_or_none(one.ratio),
        "p": one.p,
        "could_show": one.could_show,
        "verdict": one.verdict.value,
        "others": [
            {
                "test": other.kind,
                "change": _measured(other.change),
                "agrees": other.agrees,
                "shows": other.shows,
            }
            for other in one.others
        ],
        "runs": list(one.runs),
        "doubt": None if one.doubt is None else one.doubt.value,
    }


def _measured(value: Measured) -> Json:
    return {
        "value": value.value,
        "u": value.u,
        "dof": value.dof if isfinite(value.dof) else None,
        "expanded": value.expanded,
        "unit": value.unit.value,
    }


def _interval_or_none(interval: Interval | None) -> Json | None:
    return None if interval is None else _interval(interval)


def _interval(interval: Interval) -> Json:
    return {
        "estimate": interval.estimate,
        "low": interval.low,
        "high": interval.high,
        "level": interval.level,
    }
