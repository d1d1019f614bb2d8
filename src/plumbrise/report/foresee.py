"""A forecast of a print as text."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.foresee import Forecast, Remedy
from plumbrise.machine import Machine
from plumbrise.report.band_words import ALIKE, band_words
from plumbrise.report.foresee_words import (
    REMEDIES,
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
    risk_words,
    unsure_words,
    whole_words,
)


def forecast_text(machine: Machine, forecast: Forecast) -> str:
    """What the print will show, layer by layer, and what can be done for nothing."""
    return "\n".join(_lines(machine, forecast)) + "\n"


def _lines(machine: Machine, forecast: Forecast) -> Iterator[str]:
    yield f"What {machine.name or machine.arrangement.title} will print"
    yield job_words(forecast.job)
    yield ""
    yield headline(machine, forecast)
    yield from changes_words(machine, forecast)
    for place in forecast.places:
        yield ""
        yield from _table(machine, forecast, place)
    yield ""
    yield how_sure(forecast)
    if not_listed(forecast):
        yield not_listed(forecast)
    yield ""
    yield REMEDIES
    yield f"  {as_it_is_words(forecast.remedies)}"
    for number, one in enumerate(forecast.remedies, start=1):
        yield from _remedy(number, one)
    if forecast.bands is not None:
        yield ""
        yield "Bands"
        yield from (f"  {words}" for words in band_words(forecast.bands))
        yield ALIKE
        yield from (f"  {title}: {words}" for title, words in alike_words(forecast.bands.alike))
    yield ""
    yield from unsure_words(forecast)


def _table(machine: Machine, forecast: Forecast, place: str) -> Iterator[str]:
    yield place_title(machine, forecast, place)
    yield "  layer  told at   layer comes out             line wide   side    what to expect"
    for number, told, out, wide, side, expect in layer_rows(forecast, place):
        yield (
            f"  {number:>5}  {told:>7}   {out + ' mm':<27} {wide:>9}   {side:>5}   {expect}"
        ).rstrip()
    yield f"  {whole_words(forecast, place)}"


def _remedy(number: int, one: Remedy) -> Iterator[str]:
    yield f"  {number}. {remedy_title(one)}"
    yield from (f"     {words}" for words in (one.words, gives_words(one), risk_words(one)))
    yield f"     {lines_words(one)}"
    yield from (f"       {line}" for line in one.lines)
