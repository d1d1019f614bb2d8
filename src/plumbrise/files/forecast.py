"""A forecast of a print as plain values for JSON."""

from __future__ import annotations

from typing import Any

from plumbrise.explain import Interval
from plumbrise.foresee import Forecast, Layer, LayerAt, Print, Remedy
from plumbrise.foresee.bands import Band, Bands, LookAlike
from plumbrise.foresee.part import PartToPrint
from plumbrise.foresee.part_evidence import PartEvidence
from plumbrise.foresee.spacing import SpacingAnswer

VERSION = 3
SPACING_VERSION = 1

Json = dict[str, Any]


def forecast_dict(forecast: Forecast) -> Json:
    """What `foresee --json` prints."""
    return {
        "version": VERSION,
        "print": _job(forecast.job),
        "source": forecast.source,
        "changes": list(forecast.changes),
        "before": None if forecast.before is None else _before(forecast.before),
        "places": list(forecast.places),
        "layers": [_layer(layer) for layer in forecast.layers],
        "total_mm": {place: _interval(i) for place, i in forecast.total_mm.items()},
        "scatter_mm": dict(forecast.scatter_mm),
        "settled_from": forecast.settled,
        "remedies": [_remedy(one) for one in forecast.remedies],
        "bands": None if forecast.bands is None else _bands(forecast.bands),
        "cannot_tell": list(forecast.cannot_tell),
        "assumed": list(forecast.assumed),
    }


def _before(forecast: Forecast) -> Json:
    """The print without the changes: its layers, and by how much its top is off."""
    return {
        "layers": [_layer(layer) for layer in forecast.layers],
        "total_mm": {place: _interval(i) for place, i in forecast.total_mm.items()},
        "settled_from": forecast.settled,
    }


def spacing_dict(answer: SpacingAnswer) -> Json:
    """What `foresee --spacing --json` prints."""
    return {
        "version": SPACING_VERSION,
        "spacing_mm": answer.spacing_mm,
        "layer_mm": answer.layer_mm,
        "within_mm": answer.within_mm,
        "fits": [
            {
                "cause": fit.maker.cause,
                "what": fit.maker.words,
                "period_mm": fit.maker.period_mm,
                "visible_mm": fit.visible_mm,
                "off_mm": fit.off_mm,
                "how": fit.how.value,
                "tell": fit.maker.tell,
            }
            for fit in answer.fits
        ],
        "heater": answer.heater,
        "alike": [_alike(one) for one in answer.alike],
        "common_parts": answer.common,
        "cannot_tell": list(answer.cannot_tell),
    }


def part_dict(part: PartToPrint) -> Json:
    """What `foresee --test-part --json` adds."""
    return {
        "print": _job(part.job),
        "patches": [
            {
                "place": patch.place,
                "place_mm": patch.place_mm,
                "layers": patch.layers,
                "told_mm": patch.told_mm,
                "sound_mm": patch.sound_mm,
                "expected_mm": _interval(patch.expected_mm),
                "by_cause_mm": dict(patch.by_cause_mm),
                "tells_mm": patch.tells_mm,
            }
            for patch in part.patches
        ],
        "words": list(part.words),
    }


def evidence_dict(evidence: PartEvidence) -> Json:
    """What `foresee --measured --json` adds."""
    return {
        "verdict": evidence.verdict,
        "misfit": evidence.misfit,
        "axes_left": evidence.left,
        "axes": evidence.count,
        "before": dict(evidence.before),
        "after": dict(evidence.after),
        "calibrated": False,
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
        "spiral": job.spiral,
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
        "bonds_poorly": at.bonds_poorly,
        "scrapes": at.scrapes,
        "open_gap": at.open_gap,
    }


def _interval(one: Interval | None) -> Json | None:
    if one is None:
        return None
    return {"estimate": one.estimate, "low": one.low, "high": one.high, "level": one.level}


def _remedy(one: Remedy) -> Json:
    return {
        "id": one.id,
        "title": one.title,
        "words": one.words,
        "print": _job(one.job),
        "first_gap_mm": _interval(one.first_gap_mm),
        "worst_mm": _interval(one.worst_mm),
        "worst_before_mm": _interval(one.worst_before_mm),
        "total_mm": _interval(one.total_mm),
        "layers": [_layer(layer) for layer in one.layers],
        "risk": one.risk,
        "lines": list(one.lines),
        "not_proved": one.not_proved,
    }


def _bands(bands: Bands) -> Json:
    same = bands.same_phase
    return {
        "waves": [_wave(wave) for wave in bands.waves],
        "marks": [
            {
                "cause": bump.cause,
                "words": bump.words,
                "at_mm": _interval(bump.at_mm),
                "off_mm": _interval(bump.off_mm),
                "probability": bump.probability,
            }
            for bump in bands.bumps
        ],
        "same_phase": None
        if same is None
        else {
            "heights_mm": list(same.heights_mm),
            "nearest_mm": same.nearest_mm,
            "in_use": same.in_use,
            "wall_mm": _interval(same.wall_mm),
            "risk": same.risk,
        },
        "alike": [_alike(one) for one in bands.alike],
        "cannot_tell": list(bands.cannot_tell),
    }


def _wave(wave: Band) -> Json:
    return {
        "cause": wave.cause,
        "words": wave.words,
        "end": wave.end,
        "sideways": wave.sideways,
        "period_mm": wave.period_mm,
        "visible_mm": wave.seen.visible_mm,
        "visible_layers": wave.seen.visible_layers,
        "repeat_mm": wave.seen.repeat_mm,
        "repeat_layers": wave.seen.repeat_layers,
        "amplitude_mm": _interval(wave.amplitude_mm),
        "ripple_mm": _interval(wave.ripple_mm),
        "wall_mm": _interval(wave.wall_mm),
        "climb_bands": wave.climb,
        "noticed": dict(wave.noticed),
    }


def _alike(one: LookAlike) -> Json:
    return {"id": one.id, "title": one.title, "words": one.words, "tell": one.tell}
