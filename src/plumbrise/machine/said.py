"""What a described machine says of the inputs of a calculator."""

from __future__ import annotations

from collections.abc import Iterable

from plumbrise.elements.asked import Asked
from plumbrise.machine.defaults import known
from plumbrise.machine.description import Machine


def said_of(machine: Machine, asked: Iterable[Asked]) -> dict[str, object]:
    """The inputs that this machine's owner answered in its description, by name.

    Example:
        >>> from plumbrise.machine.description import blank
        >>> said_of(blank("one-screw"), [Asked("lead_mm", "lead", "mm", field="screw.lead_mm")])
        {}
    """
    found: dict[str, object] = {}
    for one in asked:
        if not one.field:
            continue
        try:
            said = known(machine, one.field)
        except KeyError:  # neither given nor assumed
            continue
        if not said.assumed:
            found[one.name] = said.value
    return found
