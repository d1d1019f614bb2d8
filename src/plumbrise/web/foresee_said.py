"""A forecast as the foresee sheet shows it: strings for a template, nothing worked out."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.foresee import Forecast, Remedy
from plumbrise.foresee.spacing import SpacingAnswer
from plumbrise.machine import Machine
from plumbrise.quantity import plain
from plumbrise.report.band_words import band_words, fits_words, spacing_head
from plumbrise.report.foresee_words import (
    alike_words,
    as_it_is_words,
    changes_words,
    gives_words,
    headline,
    how_sure,
    layer_rows,
    lines_words,
    not_listed,
    place_title,
    remedy_title,
    risk_words,
    unsure_words,
    untold_words,
    whole_words,
    worst,
)
from plumbrise.web import foresee_words as words
from plumbrise.web.foresee_asked import query_of


@dataclass(frozen=True, slots=True)
class PlaceSaid:
    """The layers at one place; `here` marks the one that is furthest off."""

    id: str
    title: str
    rows: tuple[tuple[str, ...], ...]
    whole: str
    here: bool


@dataclass(frozen=True, slots=True)
class RemedySaid:
    """One remedy; `query` is the print that comes of it, as it is asked for, and `short` its name
    without figures."""

    id: str
    title: str
    short: str
    words: str
    gives: str
    risk: str
    lines: tuple[str, ...]
    lines_said: str
    query: str


@dataclass(frozen=True, slots=True)
class Said:
    """All that the sheet says of a forecast; `brief` is the line of the title block."""

    title: str
    lead: tuple[str, ...]
    brief: str
    places: tuple[PlaceSaid, ...]
    how_sure: str
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
    return Said(
        title=words.WORST.format(number, plain(gap, 2), f"{told:g}") if number else words.ALL_WELL,
        lead=(headline(machine, forecast), *changes_words(machine, forecast)),
        brief=words.LAYER_OFF.format(number, plain(abs(gap - told), 2), kind)
        if number
        else words.AS_TOLD,
        places=tuple(
            PlaceSaid(
                place,
                place_title(machine, forecast, place),
                tuple(layer_rows(forecast, place)),
                whole_words(forecast, place),
                place == at_worst,
            )
            for place in forecast.places
        ),
        how_sure=how_sure(forecast),
        not_listed=not_listed(forecast),
        as_it_is=as_it_is_words(forecast.remedies),
        remedies=tuple(_remedy(one, forecast.changes) for one in forecast.remedies),
        bands=() if bands is None else tuple(band_words(bands)),
        alike=() if bands is None else alike_words(bands.alike),
        unsure=unsure_words(forecast),
    )


def _remedy(one: Remedy, changes: tuple[str, ...]) -> RemedySaid:
    return RemedySaid(
        id=one.id,
        title=remedy_title(one),
        short=one.title,
        words=one.words,
        gives=gives_words(one),
        risk=risk_words(one),
        lines=one.lines,
        lines_said=lines_words(one),
        query=query_of(one.job, changes),
    )


@dataclass(frozen=True, slots=True)
class FitsSaid:
    """What fits bands that were measured."""

    head: str
    fits: tuple[str, ...]
    cannot_tell: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]


def fits_said(answer: SpacingAnswer) -> FitsSaid:
    """What a sheet says of measured bands."""
    return FitsSaid(
        spacing_head(answer),
        fits_words(answer),
        tuple(map(untold_words, answer.cannot_tell)),
        (("", answer.heater), *alike_words(answer.alike)),
    )
