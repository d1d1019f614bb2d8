"""The other way round: bands were measured on a print, so many mm apart; what fits?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from math import isclose, pi

from plumbrise.errors import InputError
from plumbrise.foresee.bands import LOOK_ALIKES, LookAlike, Seen, seen_as
from plumbrise.foresee.printing import LAYER_MM
from plumbrise.machine import Machine, known, lead_mm

ROLLER_MM = (20.0, 26.0)
"""Diameters of common guide rollers (common practice)."""
LEADS_MM = (1.0, 1.25, 1.5, 2.0, 3.0, 4.0, 5.0, 8.0)
"""Leads of screws that lift printers (common practice)."""
FULL_STEPS = (200.0, 400.0)
"""Full steps of a turn of common motors (common practice)."""
UNKNOWN_SCREW = "which of these it is, since the lead of the screw is not given: measure it"
MARK = "Mark the screw at one band and turn on: the next band must meet the mark."
HALF = "Mark the screw at one band and turn on: the next band must come after half a turn."
OTHER = "Print with layers of whole four-step multiples: these bands vanish, others stay."
HALVED = "Print the same wall with layers of {:g} mm: these bands must then {}."
SPACING_MM, LAYER_S = (0.01, 500.0), (0.1, 36_000.0)
NEAR = 0.05
"""Share of the spacing by which a ruler over several bands may be off."""
HEATERS_S = (("the nozzle's heater", 8.0, 60.0), ("the bed's heater", 20.0, 240.0))
"""Times in which heaters swing (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Maker:
    """Something on the axis that repeats along the height: its period, and how to tell it."""

    cause: str
    words: str
    period_mm: float
    tell: str


class How(Enum):
    """What the spacing would be: that of the wave as layers show it, the length after which its
    pattern on the layers is exactly the same again, or twice the wave, every second band missed."""

    WAVE = "wave"
    REPEAT = "repeat"
    EVERY_SECOND = "every second"


@dataclass(frozen=True, slots=True)
class Fit:
    """A maker whose bands would stand `visible_mm` apart, which the measured spacing allows in
    this way (`how`); `off_mm` is what is left between the two."""

    maker: Maker
    visible_mm: float
    off_mm: float
    how: How


@dataclass(frozen=True, slots=True)
class SpacingAnswer:
    """What fits a measured spacing, nearest first, what else makes bands, and what is not known
    of the machine. `common` where common screws and motors were tried, since its own are not
    known. `heater` holds the time that a heater would swing with, if it is one."""

    spacing_mm: float
    layer_mm: float
    within_mm: float
    fits: tuple[Fit, ...]
    heater: str
    alike: tuple[LookAlike, ...]
    cannot_tell: tuple[str, ...]
    common: bool = False


def what_fits(
    machine: Machine | None, *, spacing_mm: float, layer_mm: float, layer_s: float | None = None
) -> SpacingAnswer:
    """What leaves bands that stand so far apart.

    Bands stand on whole layers, so a spacing is known to a twentieth of itself, or to half a
    layer where that is more.

    Args:
        machine: its lead, teeth and steps decide; where it is left out, or its lead is not
            known, common screws and motors are tried.
        spacing_mm: from band to band; better over ten bands, divided by ten.
        layer_mm: of the print that shows them.
        layer_s: how long one layer took, s, for heaters.

    Raises:
        InputError: a spacing, a layer or a time that is none.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import PerSide, blank
        >>> from plumbrise.machine.description import Screw
        >>> machine = replace(blank("one-screw"), screw=PerSide(Screw(lead_mm=8.0)))
        >>> found = what_fits(machine, spacing_mm=8.0, layer_mm=0.2)
        >>> found.fits[0].maker.cause
        'screw-bend'
    """
    _is_one("spacing_mm", spacing_mm, SPACING_MM, "mm")
    _is_one("layer_mm", layer_mm, LAYER_MM, "mm")
    if layer_s is not None:
        _is_one("layer_s", layer_s, LAYER_S, "s")
    within = max(NEAR * spacing_mm, layer_mm / 2)
    common = machine is None or lead_mm(machine) is None
    fits = [fit for maker in makers(machine) for fit in _fits(maker, spacing_mm, layer_mm, within)]
    return SpacingAnswer(
        spacing_mm=spacing_mm,
        layer_mm=layer_mm,
        within_mm=within,
        fits=tuple(sorted(fits, key=lambda fit: (list(How).index(fit.how), abs(fit.off_mm)))),
        heater=_heater(spacing_mm / layer_mm, layer_s),
        alike=LOOK_ALIKES,
        cannot_tell=(UNKNOWN_SCREW,) if common else (),
        common=common,
    )


def _fits(maker: Maker, spacing: float, layer: float, within: float) -> Iterator[Fit]:
    seen = seen_as(period_mm=maker.period_mm, layer_mm=layer)
    if seen.visible_mm is None:
        return
    for how, length in (
        (How.WAVE, seen.visible_mm),
        (How.REPEAT, seen.repeat_mm),
        (How.EVERY_SECOND, 2 * seen.visible_mm),
    ):
        if length is not None and abs(length - spacing) <= within + 1e-9:
            yield Fit(_told_apart(maker, seen, layer), length, spacing - length, how)
            return


def _told_apart(maker: Maker, seen: Seen, layer: float) -> Maker:
    """The same, told by another layer height where layers show its wave longer than it is: then
    no mark on it is met again from band to band."""
    if maker.tell == OTHER or isclose(seen.visible_mm or 0.0, maker.period_mm, rel_tol=1e-6):
        return maker
    halved = seen_as(period_mm=maker.period_mm, layer_mm=layer / 2).visible_mm
    then = "be gone" if halved is None else f"stand {halved:.2f} mm apart"
    return replace(maker, tell=HALVED.format(layer / 2, then))


def _is_one(place: str, value: float, between: tuple[float, float], unit: str) -> None:
    low, high = between
    if not low <= value <= high:
        raise InputError(
            place=place,
            value=value,
            allowed=f"{low:g} to {high:g} {unit}",
            remedy="Measure over ten bands, or ten layers, and divide by ten.",
        )


def makers(machine: Machine | None) -> tuple[Maker, ...]:
    """Everything on this machine that repeats along the height, as far as it is described; of a
    screw that is not known, what common ones would do."""
    if machine is None:
        return (*_of_common_screws(), *_rollers())
    if lead_mm(machine) is None:
        return (*_of_common_screws(), *_of_guides(machine))
    return (*_of_screw(machine), *_of_guides(machine))


def _of_common_screws() -> Iterator[Maker]:
    for lead in LEADS_MM:
        screw = f"a screw with a lead of {lead:g} mm"
        yield Maker("screw-bend", f"{screw}, once a turn", lead, MARK)
        yield Maker("screw-bend", f"{screw}, twice a turn", lead / 2, HALF)
        for steps in FULL_STEPS:
            motor = f"a motor of {steps:g} steps on a lead of {lead:g} mm"
            four = 4 * lead / steps
            yield Maker("microstep-error", f"{motor}, over four full steps", four, OTHER)
            yield Maker("microstep-error", f"{motor}, over one full step", four / 4, OTHER)


def _of_screw(machine: Machine) -> Iterator[Maker]:
    lead = lead_mm(machine)
    assert lead is not None
    yield Maker("screw-bend", "the screw, once a turn", lead, MARK)
    yield Maker(
        "screw-bend", "the screw, twice a turn (an oval or two-start thread)", lead / 2, HALF
    )
    steps = known(machine, "motor.full_steps_per_turn").value
    gear, drive = 1.0, machine.drive
    if drive is not None:
        motor, screw = known(machine, "drive.motor_teeth"), known(machine, "drive.screw_teeth")
        tooth = lead / screw.value
        look = "Count the teeth of the pulley that pass between two bands: one."
        yield Maker("tie-slack", "the belt at the screw, once a tooth", tooth, look)
        if not machine.arrangement.tied and motor.value != screw.value:
            gear = motor.value / screw.value
            look = "Mark the motor's pulley at one band: the next must meet the mark."
            yield Maker("microstep-error", "the motor, once a turn", lead * gear, look)
    four = 4 * lead * gear / steps
    yield Maker("microstep-error", "the motor, over four full steps", four, OTHER)
    yield Maker("microstep-error", "the motor, over one full step", four / 4, OTHER)


def _of_guides(machine: Machine) -> Iterator[Maker]:
    if known(machine, "guide.kind").value == "rollers":
        yield from _rollers()


def _rollers() -> Iterator[Maker]:
    for diameter in ROLLER_MM:
        yield Maker(
            "guide-drag",
            f"a guide roller of {diameter:g} mm with a flat or off centre",
            pi * diameter,
            "Mark the rollers at one band: one of them must meet its mark again at the next.",
        )


def _heater(layers: float, layer_s: float | None) -> str:
    if layer_s is None:
        return (
            f"Something that swings in time would swing once in {layers:.1f} layers: time a few "
            "layers and compare with the heaters' swing on the display."
        )
    cycle = layers * layer_s
    could = [name for name, low, high in HEATERS_S if low <= cycle <= high]
    if not could:
        return f"A heater would have to swing once in {cycle:.0f} s, which heaters seldom do."
    return f"{' or '.join(could)} could do it, if it swings once in {cycle:.0f} s.".capitalize()
