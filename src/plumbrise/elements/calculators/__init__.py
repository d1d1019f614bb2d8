"""Calculators of machine elements, a file each, usable with no machine described.

A kind's file holds `CALCULATOR`: what it asks, and the function that works the sheet with the
formulas of the module of the same name one floor below. A kind is known once it stands in `KINDS`.
"""

from __future__ import annotations

from importlib import import_module

from plumbrise.elements.worked import Calculator, either
from plumbrise.errors import InputError

KINDS = (
    "motor",
    "belt-loop",
    "coupling",
    "bearing",
    "thrust-seat",
    "screw",
    "bent-screw",
    "nut",
    "beam",
    "frame",
    "alignment",
    "stack-up",
    "thermal",
)
"""In the order of the load path. The files are loaded when asked for."""


def calculator(kind: str) -> Calculator:
    """The calculator of this kind, its file loaded now.

    Raises:
        InputError: no such kind.

    Example:
        >>> calculator("beam").title
        'Beam'
    """
    if kind not in KINDS:
        raise InputError(
            place="kind", value=kind, allowed=either(KINDS), remedy="Name one of these."
        )
    found: Calculator = import_module(f"{__name__}.{kind.replace('-', '_')}").CALCULATOR
    return found
