"""What ties a motion program to the machine that it was made for."""

from __future__ import annotations

import hashlib

from plumbrise.machine import Machine

DIGITS = 12
"""Hexadecimal digits of a fingerprint: 48 bits. It guards against a mix-up, not a forger."""
LABEL = "Made for machine"
"""What stands before the fingerprint in a program's comment."""


def fingerprint(machine: Machine) -> str:
    """A short hash of what a motion program relies on: arrangement, travel, controller.

    Name, screw and gauge may change and the program stays as safe as it was. Anything that moves
    an end of the travel, turns a direction or changes how a wait is read makes it another
    machine.

    Example:
        >>> from plumbrise.machine import blank
        >>> fingerprint(blank("one-screw")) == fingerprint(blank("two-screw"))
        False
    """
    controller = machine.controller
    facts = (
        machine.arrangement.id,
        machine.travel.height_mm and float(machine.travel.height_mm),
        controller.dwell_unit,
        controller.stop_waits,
        controller.home,
        tuple(controller.begin),
        tuple(controller.end),
    )
    return hashlib.sha256(repr(facts).encode("utf-8")).hexdigest()[:DIGITS]
