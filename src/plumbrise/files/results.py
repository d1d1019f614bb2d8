"""Analysis and explanation as plain values for JSON; described by the schemas beside this."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from plumbrise.analyse.results import (
    Analysis,
    BetweenRuns,
    CannotTell,
    CrossCheck,
    Figure,
    Oddity,
    RunAnalysis,
    Target,
)
from plumbrise.explain.results import (
    CauseFinding,
    Explanation,
    GroupFinding,
    Interval,
    LinkLoss,
    Rival,
    RunFit,
)
from plumbrise.files.schemas import schema
from plumbrise.quantity import Measured

__all__ = ["analysis_dict", "explanation_dict", "schema"]

VERSION = 1

Json = dict[str, Any]


def analysis_dict(analysis: Analysis) -> Json:
    """What `analyse --json` prints; infinite degrees of freedom are null."""
    return {
        "version": VERSION,
        "runs": [_run(found) for found in analysis.runs],
        "between": [_between(found) for found in analysis.between],
        "cross_checks": [_cross_check(found) for found in analysis.cross_checks],
        "oddities": [_oddity(found) for found in analysis.oddities],
        "remarks": list(analysis.remarks),
    }


def explanation_dict(explanation: Explanation) -> Json:
    """What `explain --json` prints."""
    return {
        "version": VERSION,
        "complete": explanation.complete,
        "causes": [_cause(found) for found in explanation.causes],
        "links": [_link(found) for found in explanation.links],
        "sides": [
            {
                "station": side.station,
                "loss_mm": _interval(side.loss_mm),
                "measured": side.measured,
            }
            for side in explanation.sides
        ],
        "sets": [
            {"causes": list(found.causes), "probability": _finite(found.probability)}
            for found in explanation.sets
        ],
        "groups": [_group(found) for found in explanation.groups],
        "unexplained": {
            "rms_mm": _finite(explanation.unexplained.rms_mm),
            "expected_rms_mm": _finite(explanation.unexplained.expected_rms_mm),
            "verdict": explanation.unexplained.verdict,
            "worst": explanation.unexplained.worst,
            "signs": [
                {
                    "what": sign.what,
                    "where": sign.where,
                    "size_mm": _finite(sign.size_mm),
                    "times_its_limit": _finite(sign.times_its_limit),
                    "period_mm": _maybe(sign.period_mm),
                    "words": sign.words,
                }
                for sign in explanation.unexplained.signs
            ],
        },
        "next_tests": [
            {
                "test": found.test,
                "station": found.station,
                "gain_bits": _finite(found.gain_bits),
                "minutes": _finite(found.minutes),
                "why": found.why,
                "meanings": list(found.meanings),
            }
            for found in explanation.next_tests
        ],
        "fits": [_fit(found) for found in explanation.fits],
        "set_fits": [
            {
                "causes": list(found.causes),
                "computed_mm": [[_finite(x) for x in run] for run in found.computed_mm],
                "left_mm": [_finite(x) for x in found.left_mm],
            }
            for found in explanation.set_fits
        ],
        "rival": _rival(explanation.rival),
        "slips": [
            {"run": found.run, "reading": found.reading, "words": found.words}
            for found in explanation.slips
        ],
        "forces": [
            {
                "what": found.what,
                "place": found.place,
                "newton": _interval(found.newton),
                "absolute": found.absolute,
            }
            for found in explanation.forces
        ],
        "doubts": list(explanation.doubts),
    }


def _rival(found: Rival | None) -> Json | None:
    if found is None:
        return None
    return {
        "causes": list(found.causes),
        "run": found.run,
        "told_mm": _finite(found.told_mm),
        "apart_mm": _finite(found.apart_mm),
    }


def _finite(value: float) -> float | None:
    """JSON knows neither infinity nor nan: null."""
    return float(value) if isfinite(value) else None


def _maybe(value: float | None) -> float | None:
    return None if value is None else _finite(value)


def _measured(value: Measured) -> Json:
    return {
        "value": _finite(value.value),
        "u": _finite(value.u),
        "dof": _finite(value.dof),
        "expanded": _finite(value.expanded),
        "unit": value.unit.value,
    }


def _figure(figure: Figure) -> Json:
    return {
        "name": figure.name,
        "detail": figure.detail,
        **_measured(figure.value),
        "at_least": figure.at_least,
        "at_mm": _maybe(figure.at_mm),
        "budget": [
            {"words": p.words, "u": _finite(p.u), "dof": _finite(p.dof), "kind": p.kind}
            for p in figure.budget
        ],
    }


def _cannot_tell(found: CannotTell) -> Json:
    return {"name": found.name, "detail": found.detail, "why": found.why, "need": found.need}


def _oddity(found: Oddity) -> Json:
    return {
        "kind": found.kind,
        "words": found.words,
        "readings": list(found.readings),
        "size_mm": _maybe(found.size_mm),
        "set_aside": found.set_aside,
    }


def _target(found: Target) -> Json:
    return {
        "target_mm": _finite(found.target_mm),
        "mean_up_mm": _maybe(found.mean_up_mm),
        "mean_down_mm": _maybe(found.mean_down_mm),
        "sd_up_mm": _maybe(found.sd_up_mm),
        "sd_down_mm": _maybe(found.sd_down_mm),
        "reversal_mm": _maybe(found.reversal_mm),
        "n_up": found.n_up,
        "n_down": found.n_down,
    }


def _run(found: RunAnalysis) -> Json:
    run = found.run
    return {
        "run": run.name,
        "test": run.kind.id,
        "station": run.station.id,
        "axis": run.axis,
        "stand_on": run.stand_on,
        "figures": [_figure(figure) for figure in found.figures],
        "cannot_tell": [_cannot_tell(missing) for missing in found.cannot_tell],
        "oddities": [_oddity(oddity) for oddity in found.oddities],
        "targets": [_target(target) for target in found.targets],
        "readings": [
            {
                "seq": reading.seq,
                "target_mm": _finite(reading.target_mm),
                "reading_mm": _maybe(reading.reading_mm),
                "approach": reading.approach,
                "assumed": reading.assumed,
                "mended_mm": _maybe(mended),
            }
            for reading, mended in zip(run.readings, found.mended_mm, strict=False)
        ],
    }


def _between(found: BetweenRuns) -> Json:
    figure = found.figure
    return {
        "runs": list(found.runs),
        "figure": _figure(figure) if isinstance(figure, Figure) else None,
        "cannot_tell": None if isinstance(figure, Figure) else _cannot_tell(figure),
    }


def _cross_check(found: CrossCheck) -> Json:
    return {
        "words": found.words,
        "measured": None if found.measured is None else _measured(found.measured),
        "expected": None if found.expected is None else _measured(found.expected),
        "agrees": found.agrees,
    }


def _interval(found: Interval) -> Json:
    return {
        "estimate": _finite(found.estimate),
        "low": _finite(found.low),
        "high": _finite(found.high),
        "level": found.level,
    }


def _estimates(found: Mapping[str, Interval]) -> Json:
    return {station: _finite(interval.estimate) for station, interval in found.items()}


def _intervals(found: Mapping[str, Interval]) -> Json:
    return {name: _interval(interval) for name, interval in found.items()}


def _cause(found: CauseFinding) -> Json:
    return {
        "cause": found.cause,
        "probability": _finite(found.probability),
        "loss_mm": _estimates(found.loss_mm),
        "loss_interval_mm": _intervals(found.loss_mm),
        "parameters": _intervals(found.parameters),
        "could_be_seen": found.could_be_seen,
        "for_it": list(found.for_it),
        "against_it": list(found.against_it),
        "held_at": found.held_at,
    }


def _link(found: LinkLoss) -> Json:
    return {
        "link": found.link,
        "side": found.side,
        "loss_mm": _estimates(found.loss_mm),
        "loss_interval_mm": _intervals(found.loss_mm),
        "known": found.known.value,
        "shared_with": list(found.shared_with),
        "together_mm": _intervals(found.together_mm),
    }


def _group(found: GroupFinding) -> Json:
    split = found.split_by
    return {
        "causes": list(found.causes),
        "probability": _finite(found.probability),
        "loss_mm": _estimates(found.loss_mm),
        "loss_interval_mm": _intervals(found.loss_mm),
        "split_by": None if split is None else {"test": split.test, "station": split.station},
    }


def _fit(found: RunFit) -> Json:
    return {
        "run": found.run,
        "station": found.station,
        "readings": list(found.readings),
        "read_mm": [_finite(x) for x in found.read_mm],
        "computed_mm": [_finite(x) for x in found.computed_mm],
        "scatter_mm": [_finite(x) for x in found.scatter_mm],
        "weight": [_finite(x) for x in found.weight],
    }
