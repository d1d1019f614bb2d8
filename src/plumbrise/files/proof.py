"""A proof as plain values for JSON."""

from __future__ import annotations

from math import isfinite
from typing import Any

from plumbrise.explain import Interval
from plumbrise.prove import Compared, Fairness, Proof
from plumbrise.quantity import Measured

VERSION = 1

Json = dict[str, Any]


def proof_dict(proof: Proof) -> Json:
    """What `prove --json` prints for one session after."""
    return {
        "before": proof.before,
        "after": proof.after,
        "headline": proof.headline,
        "advice": proof.advice,
        "fairness": _fairness(proof.fairness),
        "figures": [_compared(one) for one in proof.figures],
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
                "before": _interval(one.before),
                "after": _interval(one.after),
            }
            for one in proof.links
        ],
        "remains": {station: _measured(value) for station, value in proof.remains.items()},
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
            }
            for one in fair.differs
        ],
    }


def _compared(one: Compared) -> Json:
    return {
        "test": one.kind,
        "station": one.station,
        "figure": one.figure,
        "detail": one.detail,
        "before": _measured(one.before),
        "after": _measured(one.after),
        "change": _measured(one.change),
        "ratio": None if one.ratio is None else _interval(one.ratio),
        "p": one.p,
        "could_show": one.could_show,
        "verdict": one.verdict.value,
    }


def _measured(value: Measured) -> Json:
    return {
        "value": value.value,
        "u": value.u,
        "dof": value.dof if isfinite(value.dof) else None,
        "expanded": value.expanded,
        "unit": value.unit.value,
    }


def _interval(interval: Interval) -> Json:
    return {
        "estimate": interval.estimate,
        "low": interval.low,
        "high": interval.high,
        "level": interval.level,
    }
