"""A forecast of a print as plain values for JSON."""

from __future__ import annotations

from typing import Any

from plumbrise.explain import Interval
from plumbrise.foresee import Forecast, Layer, LayerAt, Print

VERSION = 1

Json = dict[str, Any]


def forecast_dict(forecast: Forecast) -> Json:
    """What `foresee --json` prints."""
    return {
        "version": VERSION,
        "print": _job(forecast.job),
        "source": forecast.source,
        "places": list(forecast.places),
        "layers": [_layer(layer) for layer in forecast.layers],
        "total_mm": {place: _interval(i) for place, i in forecast.total_mm.items()},
        "scatter_mm": dict(forecast.scatter_mm),
        "settled_from": forecast.settled,
        "cannot_tell": list(forecast.cannot_tell),
        "assumed": list(forecast.assumed),
    }


def _job(job: Print) -> Json:
    return {
        "layer_mm": job.layer_mm,
        "layers": job.layers,
        "width_mm": job.width_mm,
        "first_mm": job.first,
        "start": job.start.value,
        "lift": job.lift.value,
        "lift_mm": job.lift_mm,
        "offset_mm": job.offset_mm,
        "dip_to_mm": job.dip_to_mm,
        "clear_mm": job.clear_mm,
        "place_mm": job.place_mm,
        "probe_n": job.probe_n,
    }


def _layer(layer: Layer) -> Json:
    return {
        "number": layer.number,
        "told_mm": layer.told_mm,
        "nominal_mm": layer.nominal_mm,
        "at": {place: _at(at) for place, at in layer.at.items()},
    }


def _at(at: LayerAt) -> Json:
    return {
        "height_mm": _interval(at.height_mm),
        "gap_mm": _interval(at.gap_mm),
        "width_mm": _interval(at.width_mm),
        "bulge_mm": _interval(at.bulge_mm),
        "flow": _interval(at.flow),
        "within_mm": _interval(at.within_mm),
        "bonds_poorly": at.thin,
        "scrapes": at.scrapes,
        "open_gap": at.open_gap,
    }


def _interval(one: Interval | None) -> Json | None:
    if one is None:
        return None
    return {"estimate": one.estimate, "low": one.low, "high": one.high, "level": one.level}
