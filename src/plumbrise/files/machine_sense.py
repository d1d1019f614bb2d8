"""Whether the fields of a machine go together: what cannot be, and what is worth a second look."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.errors import InputError
from plumbrise.machine import Machine, known

FINEST_PITCH_MM, COARSEST_PITCH_MM = 0.25, 6.0
"""Pitches from 0.25 mm to 6 mm: lead screws of this size (common practice, no source)."""
LONGEST_MM = 5000.0
HEAVIEST_KG = 100.0


def impossible(machine: Machine) -> Iterator[tuple[tuple[str, ...], InputError]]:
    """What cannot be, with the path of the key that it is told at."""
    sides = (None, *(side for side, _ in machine.screw.overrides))
    for side in sides:
        yield from _screw(machine, side)
    yield from _sizes(machine)
    yield from _centre(machine)
    base, span = machine.frame.base_width_mm, machine.guide.span_mm
    if base is not None and span is not None and span > base:
        yield (
            ("guide", "span_mm"),
            InputError(
                place="guide.span_mm",
                value=span,
                allowed=f"up to frame.base_width_mm, {base:g},",
                remedy="The guides stand on the base. Measure both again.",
            ),
        )


def _screw(machine: Machine, side: str | None) -> Iterator[tuple[tuple[str, ...], InputError]]:
    screw = machine.screw.common if side is None else machine.screw.at(side)
    path = ("screw",) if side is None else ("screw", side)
    if screw.lead_mm is None:
        return
    starts = screw.starts or 1
    pitch = screw.lead_mm / starts
    coarsest = COARSEST_PITCH_MM if screw.starts else 8 * COARSEST_PITCH_MM
    if not FINEST_PITCH_MM <= pitch <= coarsest:
        yield (
            (*path, "lead_mm"),
            InputError(
                place=".".join((*path, "lead_mm")),
                value=screw.lead_mm,
                allowed=f"{FINEST_PITCH_MM * starts:g} to {coarsest * starts:g} mm"
                + (f" (starts = {screw.starts})" if screw.starts else ""),
                remedy="Lead is the travel for one whole turn: pitch times starts. Mark the screw, "
                "turn it ten times and divide the travel by ten.",
            ),
        )
    if screw.diameter_mm is not None and pitch > screw.diameter_mm:
        yield (
            (*path, "diameter_mm"),
            InputError(
                place=".".join((*path, "diameter_mm")),
                value=screw.diameter_mm,
                allowed=f"more than the pitch, {pitch:g} mm,",
                remedy="Measure over the thread, or count the starts again.",
            ),
        )


def _sizes(machine: Machine) -> Iterator[tuple[tuple[str, ...], InputError]]:
    from plumbrise.files.machine_fields import FIELDS

    for field in FIELDS.values():
        largest = {"length": LONGEST_MM, "mass": HEAVIEST_KG}.get(field.measures)
        part = getattr(machine, field.part)
        for side, described in _described(part):
            value = None if described is None else getattr(described, field.name)
            if largest is None or not isinstance(value, int | float) or abs(value) <= largest:
                continue
            path = (field.part, *([side] if side else []), field.name)
            yield (
                path,
                InputError(
                    place=".".join(path),
                    value=value,
                    allowed=f"up to {largest:g} {field.unit}",
                    remedy=f"Give it in {field.unit}.",
                ),
            )


def _described(part: object) -> list[tuple[str, object]]:
    from plumbrise.machine import PerSide

    if isinstance(part, PerSide):
        return [("", part.common), *part.overrides]
    return [("", part)]


def _centre(machine: Machine) -> Iterator[tuple[tuple[str, ...], InputError]]:
    centre, span = machine.gantry.centre_of_mass_mm, machine.guide.span_mm
    if centre is None or span is None or 0 <= centre <= span:
        return
    yield (
        ("gantry", "centre_of_mass_mm"),
        InputError(
            place="gantry.centre_of_mass_mm",
            value=centre,
            allowed=f"0 to guide.span_mm, {span:g},",
            remedy="Count from the left guide. A centre outside both guides would tip the gantry.",
        ),
    )


def machine_remarks(machine: Machine) -> tuple[str, ...]:
    """What is possible but rare enough to look at again, a sentence each."""
    found = []
    screw = machine.screw.common
    if screw.lead_mm is None:
        found.append("The screw's lead is not known: what needs it cannot be told yet.")
    elif screw.starts is not None and screw.lead_mm / screw.starts < 0.5:
        found.append(
            f"A pitch of {screw.lead_mm / screw.starts:g} mm is fine for a lead screw. "
            "Is lead_mm the travel for a whole turn?"
        )
    height, upright = machine.travel.height_mm, machine.frame.upright_height_mm
    if height is not None and upright is not None and height > upright:
        found.append(f"The travel, {height:g} mm, is longer than the uprights, {upright:g} mm.")
    if height is not None and screw.length_mm is not None and height > screw.length_mm:
        found.append(
            f"The travel, {height:g} mm, is longer than the screw, {screw.length_mm:g} mm."
        )
    centre = machine.gantry.centre_of_mass_mm
    span = known(machine, "guide.span_mm").value
    if centre is not None and machine.guide.span_mm is None and not 0 <= centre <= span:
        found.append(
            f"The centre of mass at {centre:g} mm lies outside the span that is assumed, "
            f"{span:g} mm. Give guide.span_mm."
        )
    wrap = machine.gauge.wrap_mm
    if wrap is not None and wrap / known(machine, "gauge.resolution_mm").value < 10:
        found.append("A dial turn of fewer than ten divisions is rare. Is gauge.wrap_mm right?")
    return tuple(found)
