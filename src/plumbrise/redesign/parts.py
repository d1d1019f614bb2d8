"""The parts that a set of changes needs, in the sizes of one machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from plumbrise.machine import Machine, known, lead_mm
from plumbrise.redesign.changes import Change
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.results import PartLine

UNKNOWN = "(measure it)"


class _Sizes(dict[str, str]):
    """Facts of a machine for the sizes of parts; what is not known says so."""

    def __missing__(self, key: str) -> str:
        return UNKNOWN


def parts_of(
    machine: Machine, changes: Iterable[Change], settled: Mapping[str, str] | None = None
) -> tuple[PartLine, ...]:
    """Every part with its size and count, in the order of the changes. What two changes bring alike
    for the same screws, such as the nut of a new screw and a new nut, is had once.

    Args:
        machine: as it is before: a change that is made per screw is made on these screws, since
            a screw that another change adds brings its own parts.
        changes: the set; sizes are those of the machine that they make.
        settled: sizes that sums found.

    Example:
        >>> from plumbrise.machine import blank
        >>> from plumbrise.redesign.catalogue import CATALOGUE
        >>> [line.size for line in parts_of(blank("one-screw"), [CATALOGUE["new-nut"]])]
        ['for (measure it) mm, lead (measure it) mm']
    """
    changes = tuple(changes)
    sizes = _sizes(machine_changed(machine, changes))
    sizes.update(settled or {})
    screws = len(machine.screw_sides)
    found: list[PartLine] = []
    on_screws: set[tuple[str, str]] = set()
    for change in changes:
        for part in change.parts:
            size = part.size.format_map(sizes)
            if change.per_screw and (part.name, size) in on_screws:
                continue
            if change.per_screw:
                on_screws.add((part.name, size))
            count = part.count * (screws if change.per_screw else 1)
            found.append(PartLine(part, size, count, change.id, change.at_hand))
    return tuple(found)


def _sizes(machine: Machine) -> _Sizes:
    """Only what the person gave: a part is never ordered by an assumed size."""
    out = _Sizes()
    for name, key in (
        ("screw_diameter_mm", "screw.diameter_mm"),
        ("screw_length_mm", "screw.length_mm"),
        ("motor_frame_mm", "motor.frame_size_mm"),
        ("upright_width_mm", "frame.upright_width_mm"),
    ):
        value = known(machine, key)
        if not value.assumed:
            out[name] = f"{value.value:g}"
    lead = lead_mm(machine)
    if lead is not None:
        out["lead_mm"] = f"{lead:g}"
    return out
