"""What a forecast is: layers with their intervals, bands, remedies, and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plumbrise.explain import Interval
from plumbrise.foresee.bands import Bands
from plumbrise.foresee.printing import Print


@dataclass(frozen=True, slots=True)
class LayerAt:
    """One layer at one place.

    `gap_mm` between nozzle and what lies under it, `width_mm` and `bulge_mm` (per side, negative
    where the bead is thin) of the bead, `flow` what is fed over what a line of the told width
    takes in this gap. All three are None where most prints leave no bead to speak of: it fills no
    gap, or none is there. `within_mm` is how far the nozzle differs within the layer, from bead to
    bead. Probabilities: `bonds_poorly` that the layer is too thick to bond well, `scrapes` that
    the nozzle scrapes, `open_gap` that the bead does not fill the gap at all.
    """

    height_mm: Interval
    gap_mm: Interval
    width_mm: Interval | None
    bulge_mm: Interval | None
    flow: Interval | None
    within_mm: Interval
    bonds_poorly: float
    scrapes: float
    open_gap: float


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer: its number, where the nozzle is told to be, the told thickness, and what comes
    of it at each place."""

    number: int
    told_mm: float
    nominal_mm: float
    at: Mapping[str, LayerAt]


@dataclass(frozen=True, slots=True)
class Remedy:
    """Something that costs nothing: what to do, the print that comes of it, what it is expected
    to give (`worst_mm`, the largest miss of any of the first layers; before and after), its first
    layers, what it risks, and the motion lines. `lines` are empty where none can be proved safe;
    `not_proved` then says why."""

    id: str
    title: str
    words: str
    job: Print
    first_gap_mm: Interval
    worst_mm: Interval
    worst_before_mm: Interval
    total_mm: Interval
    layers: tuple[Layer, ...]
    risk: str
    lines: tuple[str, ...] = ()
    not_proved: str = ""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What an axis will print.

    `source` is "explanation", "changed axis" or "staircase". `total_mm` is by how much the
    print's top is off its told height, by place, `scatter_mm` the spread (one standard
    deviation) of the first gap from print to print, None where nothing read tells it. `settled`
    is the first layer from which all are within a tenth of their told thickness, at every place
    and on the whole, None if that comes later than the layers looked at. `changes` are the ids of
    those it was made for, `before` then the same print without them. `computed` are the places
    that stand on an end of the moving part at which nothing was read, where any was.
    """

    job: Print
    source: str
    places: tuple[str, ...]
    layers: tuple[Layer, ...]
    total_mm: Mapping[str, Interval]
    scatter_mm: Mapping[str, float | None]
    settled: int | None
    bands: Bands | None
    remedies: tuple[Remedy, ...]
    cannot_tell: tuple[str, ...]
    assumed: tuple[str, ...]
    changes: tuple[str, ...] = ()
    before: Forecast | None = None
    computed: tuple[str, ...] = ()
