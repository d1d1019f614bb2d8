"""A forecast of a print as a section of the report: strings and pictures, nothing worked out."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.cautions import FALLING_GANTRY, HOT_PARTS, PINCH
from plumbrise.foresee import Forecast, Remedy
from plumbrise.machine import Machine
from plumbrise.report.band_words import band_words
from plumbrise.report.foresee_words import (
    alike_words,
    as_it_is_words,
    changes_words,
    gives_words,
    headline,
    how_sure,
    job_words,
    layer_rows,
    lines_words,
    not_listed,
    place_title,
    remedy_title,
    unsure_words,
    whole_words,
)
from plumbrise.report.hazards import Hazards, hazards
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.tables import Table

RUNNING_LINES = (PINCH, HOT_PARTS, FALLING_GANTRY)
"""What to say before anybody runs motion lines with a hand at the switch."""


@dataclass(frozen=True, slots=True)
class PlaceSection:
    """The layers at one place of the print."""

    title: str
    layers: Table
    whole: str


@dataclass(frozen=True, slots=True)
class RemedySection:
    """Something that costs nothing: what to do, what it gives, what it risks, and its motion
    lines with the words before them; `motion_lines` is "" where none could be proved."""

    title: str
    words: str
    gives: str
    risk: str
    lines_said: str
    motion_lines: str


@dataclass(frozen=True, slots=True)
class ForeseeSection:
    """What a print will show. `bands` is None where no wave shows on the wall, or none can be
    told; `changes` say for which changes this is foretold, if for any, and what comes without."""

    job: str
    headline: str
    changes: tuple[str, ...]
    wall: Picture
    layers: Picture
    places: tuple[PlaceSection, ...]
    how_sure: str
    not_listed: str
    bands: Picture | None
    bands_said: tuple[str, ...]
    alike: tuple[tuple[str, str], ...]
    remedies_said: str
    remedies: tuple[RemedySection, ...]
    unsure: tuple[str, ...]
    hazards: Hazards | None


def foresee_section(machine: Machine, forecast: Forecast, pictures: Pictures) -> ForeseeSection:
    """The section for a forecast."""
    bands = forecast.bands
    return ForeseeSection(
        job=job_words(forecast.job),
        headline=headline(machine, forecast),
        changes=changes_words(machine, forecast),
        wall=pictures.wall(machine, forecast),
        layers=pictures.layers(forecast),
        places=tuple(_place(machine, forecast, place) for place in forecast.places),
        how_sure=how_sure(forecast),
        not_listed=not_listed(forecast),
        bands=pictures.bands(forecast),
        bands_said=() if bands is None else tuple(band_words(bands)),
        alike=() if bands is None else alike_words(bands.alike),
        remedies_said=as_it_is_words(forecast.remedies),
        remedies=tuple(_remedy(k, one) for k, one in enumerate(forecast.remedies, start=1)),
        unsure=unsure_words(forecast),
        hazards=hazards(RUNNING_LINES) if any(one.lines for one in forecast.remedies) else None,
    )


def _place(machine: Machine, forecast: Forecast, place: str) -> PlaceSection:
    title = place_title(machine, forecast, place)
    table = Table(
        ("layer", "told at, mm", "comes out, mm", "line, mm", "side, mm", "what to expect"),
        tuple(layer_rows(forecast, place)),
        f"{title}: the first layers",
        words=1,
        last_is_words=True,
    )
    return PlaceSection(title, table, whole_words(forecast, place))


def _remedy(number: int, one: Remedy) -> RemedySection:
    return RemedySection(
        title=f"{number}. {remedy_title(one)}",
        words=one.words,
        gives=gives_words(one),
        risk=one.risk,
        lines_said=lines_words(one),
        motion_lines="\n".join(one.lines),
    )
