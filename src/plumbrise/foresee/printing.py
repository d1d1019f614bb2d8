"""What is printed and how it starts: the part of a print that the vertical axis sees."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from plumbrise.errors import InputError
from plumbrise.foresee.bead import area_mm2

MOST_LAYERS = 5000
LAYER_MM = (0.01, 10.0)
"""Heights of a layer that are printed anywhere."""
WIDEST_MM = 50.0
CLEAR_MM = 5.0
"""How high the nozzle stands between homing and the first layer."""


class Start(Enum):
    """The last move of the axis before layer one."""

    DOWN = "down"
    UP = "up"
    DIP = "dip"

    def __str__(self) -> str:
        return self.value


class Lift(Enum):
    """Whether the nozzle is lifted while it travels between beads."""

    NONE = "none"
    SOME = "some"
    EVERY = "every"

    def __str__(self) -> str:
        return self.value


START_WORDS = {
    Start.DOWN: "homed, lifted clear, come down to layer one",
    Start.UP: "homed, then straight up to layer one",
    Start.DIP: "come down past layer one, then up to it",
}
LIFT_WORDS = {
    Lift.NONE: "no lift between moves",
    Lift.SOME: "a lift before some moves",
    Lift.EVERY: "a lift at every layer, so that each is reached from above",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """A print as the axis sees it. Heights are those between nozzle and bed.

    `first_mm` is the first layer's height (None: as the others), `offset_mm` raises the whole
    print, `dip_to_mm` is how low a dip goes (told height, never below 0), `clear_mm` where the
    nozzle waits before it comes down, `place_mm` where the part stands from the left guide (None:
    the middle), `probe_n` with what force nozzle or probe presses when homing stops, `spiral`
    that the nozzle rises all through a layer, without a seam and so without a lift.
    """

    layer_mm: float = 0.2
    layers: int = 10
    width_mm: float = 0.45
    first_mm: float | None = None
    start: Start = Start.DOWN
    lift: Lift = Lift.NONE
    lift_mm: float = 0.4
    offset_mm: float = 0.0
    dip_to_mm: float = 0.0
    clear_mm: float = CLEAR_MM
    place_mm: float | None = None
    probe_n: float = 0.0
    spiral: bool = False

    def __post_init__(self) -> None:
        _within("layer_mm", self.layer_mm, *LAYER_MM, "mm")
        if self.first_mm is not None:
            _within("first_mm", self.first_mm, *LAYER_MM, "mm")
        _within("width_mm", self.width_mm, 0.0, WIDEST_MM, "mm")
        area_mm2(width_mm=self.width_mm, height_mm=self.layer_mm)
        area_mm2(width_mm=self.width_mm, height_mm=self.first)
        _within("layers", self.layers, 1, MOST_LAYERS, "layers")
        _within("lift_mm", self.lift_mm, 0.01, 20.0, "mm")
        _within("clear_mm", self.clear_mm, 0.5, 100.0, "mm")
        _within("probe_n", self.probe_n, 0.0, 50.0, "N")
        _within("offset_mm", self.offset_mm, -0.9 * self.first, 2.0, "mm")
        _within("dip_to_mm", self.dip_to_mm, 0.0, self.first + self.offset_mm, "mm")
        if self.spiral and self.lift is not Lift.NONE:
            raise InputError(
                place="lift",
                value=str(self.lift),
                allowed="none in a spiral",
                remedy="A spiral never leaves the wall: print without lifts, or with a seam.",
            )

    @property
    def first(self) -> float:
        """Height of the first layer, mm."""
        return self.layer_mm if self.first_mm is None else self.first_mm

    def nominal_mm(self, layer: int) -> float:
        """Told thickness of a layer, counted from 1."""
        return self.first if layer == 1 else self.layer_mm

    def told_mm(self, layer: int) -> float:
        """Where the nozzle is told to be above the bed in this layer, the offset counted in."""
        return self.offset_mm + self.first + (layer - 1) * self.layer_mm

    @property
    def top_mm(self) -> float:
        """Highest told place of the nozzle."""
        lifted = 0.0 if self.lift is Lift.NONE else self.lift_mm
        return max(self.clear_mm, self.told_mm(self.layers) + lifted)


@dataclass(frozen=True, slots=True)
class Stop:
    """One place on the way of a print. `layer` is the one that is printed there (0: none),
    `lifted` True where the nozzle came down to it after a lift within this layer."""

    told_mm: float
    layer: int = 0
    lifted: bool = False
    push_n: float = 0.0


def way(job: Print) -> tuple[Stop, ...]:
    """Every place of the nozzle above the bed, from the end of homing (at 0) to the last layer.

    Example:
        >>> [stop.told_mm for stop in way(Print(layers=2))]
        [0.0, 5.0, 0.2, 0.4]
        >>> [stop.told_mm for stop in way(Print(layers=2, lift=Lift.EVERY))]
        [0.0, 5.0, 0.2, 0.8, 0.4]
    """
    stops = [Stop(0.0)]
    if job.probe_n:
        stops.append(Stop(0.0, push_n=job.probe_n))
    if job.start is not Start.UP:
        stops.append(Stop(job.clear_mm))
    if job.start is Start.DIP:
        stops.append(Stop(job.dip_to_mm))
    for layer in range(1, job.layers + 1):
        told = round(job.told_mm(layer), 6)
        above = round(told + job.lift_mm, 6)
        if job.lift is Lift.EVERY and layer > 1:
            stops.append(Stop(above))
        stops.append(Stop(told, layer))
        if job.lift is Lift.SOME:
            stops += [Stop(above), Stop(told, layer, lifted=True)]
    return tuple(stops)


def fits_under(job: Print, height_mm: float) -> None:
    """See to it that an axis goes as high as a print.

    Raises:
        InputError: it does not.
    """
    if job.top_mm > height_mm:
        raise InputError(
            place="layers",
            value=f"{job.top_mm:g} mm high",
            allowed=f"up to {height_mm:g} mm, as far as the axis goes",
            remedy="Print fewer layers, or correct the travel in the machine file.",
        )


def _within(place: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise InputError(
            place=place,
            value=value,
            allowed=f"{low:g} to {high:g} {unit}",
            remedy="Give what the slicer and the start lines really do.",
        )
