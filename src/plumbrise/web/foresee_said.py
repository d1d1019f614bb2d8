"""A forecast as the foresee sheet shows it: strings for a template, nothing worked out."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.foresee import Forecast, Layer, Remedy
from plumbrise.foresee.bands import LookAlike
from plumbrise.foresee.spacing import SpacingAnswer
from plumbrise.machine import Machine
from plumbrise.quantity import percent, plain
from plumbrise.report.foresee import (
    MOST_LINES,
    expected,
    fit_words,
    headline,
    place_name,
    same_phase_words,
    signed,
    span_mm,
    wave_words,
    worst,
)
from plumbrise.report.names import lowered
from plumbrise.web import foresee_words as words
from plumbrise.web.foresee_asked import query_of


@dataclass(frozen=True, slots=True)
class RowSaid:
    """One layer at one place."""

    number: int
    told: str
    out: str
    wide: str
    side: str
    expect: str


@dataclass(frozen=True, slots=True)
class PlaceSaid:
    """The layers at one place; `here` marks the one that is furthest off."""

    id: str
    title: str
    rows: tuple[RowSaid, ...]
    whole: str
    here: bool


@dataclass(frozen=True, slots=True)
class RemedySaid:
    """One remedy; `query` is the print that comes of it, as it is asked for."""

    id: str
    title: str
    words: str
    off: str
    gives: str
    risk: str
    lines: tuple[str, ...]
    not_proved: str
    query: str


@dataclass(frozen=True, slots=True)
class Said:
    """All that the sheet says of a forecast; `brief` is the line of the title block."""

    title: str
    lead: tuple[str, ...]
    brief: str
    places: tuple[PlaceSaid, ...]
    not_listed: str
    as_it_is: str
    remedies: tuple[RemedySaid, ...]
    bands: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]
    unsure: tuple[str, ...]


def said_of(machine: Machine, forecast: Forecast) -> Said:
    """What the sheet says of this forecast."""
    number, at_worst, at = worst(forecast)
    told = forecast.layers[max(number, 1) - 1].nominal_mm
    gap = at.gap_mm.estimate
    kind = words.THIN if gap < told else words.THICK
    bands = forecast.bands
    remedies = forecast.remedies
    return Said(
        title=words.WORST.format(number, plain(gap, 2), f"{told:g}") if number else words.ALL_WELL,
        lead=(headline(machine, forecast),),
        brief=words.LAYER_OFF.format(number, plain(abs(gap - told), 2), kind)
        if number
        else words.AS_TOLD,
        places=tuple(
            _place(machine, forecast, place, here=place == at_worst) for place in forecast.places
        ),
        not_listed=words.MOST_ROWS_SHOWN.format(MOST_LINES, len(forecast.layers))
        if len(forecast.layers) > MOST_LINES
        else "",
        as_it_is=words.AS_IT_IS.format(span_mm(remedies[0].worst_before_mm))
        if remedies
        else words.NO_REMEDY,
        remedies=tuple(map(_remedy, remedies)),
        bands=_bands(forecast),
        alike=_alike(bands.alike) if bands else (),
        unsure=_unsure(forecast),
    )


def _place(machine: Machine, forecast: Forecast, place: str, *, here: bool) -> PlaceSaid:
    whole = words.WHOLE_OFF.format(span_mm(forecast.total_mm[place]))
    scatter = forecast.scatter_mm[place]
    if scatter is not None:
        whole += " " + words.BY_PRINT.format(plain(1.96 * scatter, 2))
    return PlaceSaid(
        place,
        place_name(machine, place),
        tuple(_row(layer, place) for layer in forecast.layers[:MOST_LINES]),
        whole,
        here,
    )


def _row(layer: Layer, place: str) -> RowSaid:
    at = layer.at[place]
    return RowSaid(
        number=layer.number,
        told=plain(layer.told_mm, 2),
        out=span_mm(at.gap_mm, 3).removesuffix(" mm"),
        wide="-" if at.width_mm is None else plain(at.width_mm.estimate, 2),
        side="-" if at.bulge_mm is None else signed(at.bulge_mm.estimate),
        expect=expected(at),
    )


def _remedy(one: Remedy) -> RemedySaid:
    return RemedySaid(
        id=one.id,
        title=one.title,
        words=one.words,
        off=words.OFF_BY.format(span_mm(one.worst_mm)),
        gives=words.GIVES.format(span_mm(one.first_gap_mm), span_mm(one.total_mm)),
        risk=one.risk,
        lines=one.lines,
        not_proved=one.not_proved,
        query=query_of(one.job),
    )


def _bands(forecast: Forecast) -> tuple[str, ...]:
    bands = forecast.bands
    if bands is None:
        return ()
    marks = (
        words.ONE_MARK.format(
            one.at_mm.estimate,
            one.at_mm.low,
            one.at_mm.high,
            lowered(one.words),
            span_mm(one.off_mm, 3),
            percent(one.probability),
        )
        for one in bands.bumps
    )
    same = () if bands.same_phase is None else (same_phase_words(bands.same_phase),)
    return (*map(wave_words, bands.waves), *marks, *same)


def _unsure(forecast: Forecast) -> tuple[str, ...]:
    untold = (*forecast.cannot_tell, *(forecast.bands.cannot_tell if forecast.bands else ()))
    return (
        *(words.NOT_YET.format(one) for one in untold),
        *(words.TAKEN.format(one) for one in forecast.assumed),
    )


@dataclass(frozen=True, slots=True)
class FitsSaid:
    """What fits bands that were measured."""

    head: str
    fits: tuple[str, ...]
    cannot_tell: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]


def fits_said(answer: SpacingAnswer) -> FitsSaid:
    """What the sheet says of measured bands."""
    head = words.SPACING_TAKEN.format(
        f"{answer.spacing_mm:g}", plain(answer.within_mm, 2), f"{answer.layer_mm:g}"
    )
    return FitsSaid(
        head,
        tuple(map(fit_words, answer.fits)) or (words.NOTHING_FITS,),
        tuple(words.NOT_YET.format(one) for one in answer.cannot_tell),
        (("", answer.heater), *_alike(answer.alike)),
    )


def _alike(found: tuple[LookAlike, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((one.title, f"{one.words} {one.tell}") for one in found)
