"""A forecast of a print in words, as text."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.explain import Interval
from plumbrise.foresee import Forecast, Layer, LayerAt
from plumbrise.foresee.heights import PART
from plumbrise.foresee.printing import LIFT_WORDS, START_WORDS
from plumbrise.machine import Machine
from plumbrise.quantity import percent, plain
from plumbrise.report.names import station_name

MOST_LINES = 12
WORTH_SAYING = 0.05
"""A chance below this is not said layer by layer."""


def forecast_text(machine: Machine, forecast: Forecast) -> str:
    """What the print will show, layer by layer, and what can be done for nothing."""
    return "\n".join(_lines(machine, forecast)) + "\n"


def _lines(machine: Machine, forecast: Forecast) -> Iterator[str]:
    job = forecast.job
    yield f"What {machine.name or machine.arrangement.title} will print"
    yield (
        f"Layers of {job.layer_mm:g} mm, lines {job.width_mm:g} mm wide; "
        f"{START_WORDS[job.start]}; {LIFT_WORDS[job.lift]}."
    )
    yield ""
    yield headline(machine, forecast)
    for place in forecast.places:
        yield ""
        yield from _table(machine, forecast, place)
    if forecast.assumed or forecast.cannot_tell:
        yield ""
    yield from (f"Cannot tell yet: {words}" for words in forecast.cannot_tell)
    yield from (f"Taken as given: {words}" for words in forecast.assumed)


def headline(machine: Machine, forecast: Forecast) -> str:
    """The answer in a sentence: the worst layer, and from which layer on all is well."""
    number, place, at = worst(forecast)
    if number == 0:
        return "Every layer comes out within a tenth of its told thickness."
    told = forecast.layers[number - 1].nominal_mm
    off = at.gap_mm.estimate - told
    tail = (
        f"From layer {forecast.settled} on all is as told."
        if forecast.settled
        else f"After {len(forecast.layers)} layers it has not settled."
    )
    return (
        f"Layer {number} comes out {'thin' if off < 0 else 'thick'} at the "
        f"{place_name(machine, place).lower()}: {span_mm(at.gap_mm)} where {told:g} mm are told. "
        + tail
    )


def worst(forecast: Forecast) -> tuple[int, str, LayerAt]:
    """The layer and the place that are furthest off; number 0 where all are within a tenth."""

    def off(layer: Layer, place: str) -> float:
        return abs(layer.at[place].gap_mm.estimate - layer.nominal_mm)

    layer, place = max(
        ((layer, place) for layer in forecast.layers for place in forecast.places),
        key=lambda pair: off(*pair),
    )
    number = layer.number if off(layer, place) > 0.1 * layer.nominal_mm else 0
    return number, place, layer.at[place]


def place_name(machine: Machine, place: str) -> str:
    """A place of the print for people."""
    if place == PART:
        return "Part's place"
    name = station_name(f"{machine.arrangement.body}-{place}")
    return name[0].upper() + name[1:]


def span_mm(interval: Interval, places: int = 2) -> str:
    """An estimate and its interval: 0.12 (0.09 to 0.15) mm."""
    return (
        f"{plain(interval.estimate, places)} "
        f"({plain(interval.low, places)} to {plain(interval.high, places)}) mm"
    )


def _table(machine: Machine, forecast: Forecast, place: str) -> Iterator[str]:
    yield f"{place_name(machine, place)}"
    yield "  layer  told at   layer comes out             line wide   side    what to expect"
    for layer in forecast.layers[:MOST_LINES]:
        at = layer.at[place]
        wide = "-" if at.width_mm is None else f"{at.width_mm.estimate:.2f}"
        side = "-" if at.bulge_mm is None else f"{at.bulge_mm.estimate:+.2f}"
        yield (
            f"  {layer.number:>5}  {layer.told_mm:>7.2f}   {span_mm(at.gap_mm, 3):<27} "
            f"{wide:>9}   {side:>5}   {expected(at)}"
        ).rstrip()
    scatter = forecast.scatter_mm[place]
    told = "" if scatter is None else f"; layer 1 differs by ± {1.96 * scatter:.2f} mm by print"
    total = forecast.total_mm[place]
    yield f"  The whole is off by {span_mm(total)}{told}."


def expected(at: LayerAt) -> str:
    """What a layer will look like, in a few words."""
    found = []
    if at.scrapes > WORTH_SAYING:
        found.append(f"scrapes {percent(at.scrapes)}")
    if at.open_gap > WORTH_SAYING:
        found.append(f"leaves a gap {percent(at.open_gap)}")
    elif at.thin > WORTH_SAYING:
        found.append(f"bonds poorly {percent(at.thin)}")
    if at.within_mm.estimate > 0.02:
        found.append(f"differs by {at.within_mm.estimate:.2f} mm within the layer")
    return ", ".join(found)
