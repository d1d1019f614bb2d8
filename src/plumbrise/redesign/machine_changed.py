"""A machine's description after changes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from plumbrise.machine import ARRANGEMENTS, Machine, PerSide
from plumbrise.redesign.changes import Change

ALIKE = ("screw.lead_mm", "screw.starts")
"""What all screws of one moving part have alike: one that comes is bought like the others."""


def machine_changed(machine: Machine, changes: Iterable[Change]) -> Machine:
    """The description with what these changes alter in it.

    Example:
        >>> from plumbrise.machine import blank
        >>> from plumbrise.redesign.catalogue import CATALOGUE
        >>> after = machine_changed(blank("one-screw"), [CATALOGUE["second-screw-motor"]])
        >>> after.arrangement.id
        'two-screw'
    """
    changes = tuple(changes)
    after = machine
    for change in changes:
        for key, value in change.machine:
            after = _with(after, key, value)
    if len(after.arrangement.sides) == len(machine.arrangement.sides):
        return after
    added = [side for side in after.screw_sides if side not in machine.screw_sides]
    for change in changes:
        if change.per_screw:  # made on the screws that were there
            for key, _ in change.machine:
                if key not in ALIKE:
                    after = _kept_as_bought(machine, after, key, added)
    return after


def _kept_as_bought(machine: Machine, after: Machine, key: str, added: list[str]) -> Machine:
    """The added screws without what a change made of the one that was there."""
    part_name, field = key.split(".")
    was, now = getattr(machine, part_name).common, getattr(after, part_name)
    own = dict(now.overrides)
    for side in added:
        own[side] = replace(now.at(side), **{field: getattr(was, field)})
    described: dict[str, Any] = {part_name: PerSide(now.common, tuple(own.items()))}
    return replace(after, **described)


def _with(machine: Machine, key: str, value: Any) -> Machine:
    if key == "arrangement":
        machine = replace(machine, arrangement=ARRANGEMENTS[value])
        if len(machine.arrangement.sides) == 1:
            return machine
        return _with(machine, "screw.side", None)  # only one screw stands on a side of its own
    part_name, field = key.split(".")
    if field == "starts":
        value = int(value)
    part = getattr(machine, part_name)
    if isinstance(part, PerSide):
        new: Any = PerSide(
            replace(part.common, **{field: value}),
            tuple((side, replace(one, **{field: value})) for side, one in part.overrides),
        )
    else:
        new = replace(part, **{field: value})
    described: dict[str, Any] = {part_name: new}
    return replace(machine, **described)
