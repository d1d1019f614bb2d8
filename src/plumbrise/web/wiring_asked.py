"""What the wiring sheet's form enters into a harness: a reading, a bridge, pairs, swapped wires."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import combinations

from plumbrise.errors import InputError
from plumbrise.files.harness_fields import LARGEST_OHM
from plumbrise.files.harness_file import read_harness
from plumbrise.files.harness_remarks import with_remarks
from plumbrise.files.harness_writing import write_harness
from plumbrise.machine import Machine
from plumbrise.quantity import typed
from plumbrise.wiring import FRAME, PLACES, Bridged, Harness, Line, Reading, judge
from plumbrise.wiring.across import SHARED_PLUG
from plumbrise.wiring.entering import (
    with_bridge,
    with_pairs,
    with_reading,
    with_swaps,
    without_reading,
)
from plumbrise.wiring.harness import BOARD_CONTACTS, MOTOR_CONTACTS, Pair

FILE = "the harness file"
MOST_LETTERS = 100_000
"""More than eight lines with two hundred readings each take."""
FIELDS = ("harness", "do", "line", "at", "one", "other", "ohm", "leads", "pairs", "stiff", "strike")
PAIRINGS: dict[str, tuple[Pair, Pair]] = {
    f"{a}-{b}": ((a, b), (c, d))
    for a, b in combinations(range(1, BOARD_CONTACTS + 1), 2)
    for c, d in [[x for x in range(1, BOARD_CONTACTS + 1) if x not in (a, b)]]
    if a == 1
}
"""Each way in which a board can drive its four contacts as two pairs."""
NONE = "none"
CONTACTS = tuple(str(contact) for contact in range(1, max(MOTOR_CONTACTS) + 1))
Typed = Mapping[str, str]


def harness_in(text: str) -> Harness:
    """The harness of the sheet's text.

    Raises:
        InputErrors: all that is wrong with it.
    """
    return read_harness(text, name=FILE)


def acted(harness: Harness, form: Typed) -> Harness:
    """The harness with what the pressed button enters; the same where it enters nothing.

    Raises:
        InputError: what was typed cannot be entered, placed at its field.
    """
    act = next((BY_FIELD[one] for one in BY_FIELD if form.get(one)), ACTS.get(form.get("do", "")))
    return harness if act is None else act(harness, form)


def _measured(harness: Harness, form: Typed) -> Harness:
    said = form["do"]
    ohm = _ohms(form.get("ohm", ""), "ohm", LARGEST_OHM) if said == "ohm" else None
    reading = Reading(
        _one_of(form, "at", tuple(PLACES)),
        (_contact(form, "one"), _contact(form, "other")),
        ohm,
        said == "open",
        said == "joined",
    )
    return with_reading(harness, _line(harness, form), reading)


def _line(harness: Harness, form: Typed) -> str:
    return _one_of(form, "line", (*(line.name for line in harness.lines), SHARED_PLUG))


def _ohms(said: str, field: str, most: float) -> float:
    """As typed: "2.9", "2,9 Ω", "3 ohm"."""
    value = typed(said, "resistance", field)
    if not 0 <= value <= most:
        raise InputError(
            place=field, value=said, allowed=f"0 to {most:g}", remedy="Type the ohms it shows."
        )
    return value


def _one_of(form: Typed, field: str, allowed: tuple[str, ...]) -> str:
    said = form.get(field, "")
    if said not in allowed:
        raise InputError(
            place=field, value=said, allowed=", ".join(allowed), remedy="Choose one of these."
        )
    return said


def _contact(form: Typed, field: str) -> int:
    frame = ("frame",) if field == "other" else ()
    said = _one_of(form, field, (*CONTACTS, *frame))
    return FRAME if said == "frame" else int(said)


def _bridged(harness: Harness, form: Typed) -> Harness:
    """Which shaft was stiff when the contacts were bridged that the verdict asks for."""
    said = _one_of(form, "stiff", (NONE, *map(str, range(len(harness.lines)))))
    asked = judge(harness).next_reading
    if asked is None or asked.way != "bridge" or asked.between is None:
        return harness
    name = "" if said == NONE else harness.lines[int(said)].name
    return with_bridge(harness, asked.line, Bridged(asked.between, name))


def _leads(harness: Harness, form: Typed) -> Harness:
    ohm = _ohms(form.get("leads", ""), "leads", 5.0)
    return replace(harness, meter=replace(harness.meter, leads_ohm=ohm))


def _pairs(harness: Harness, form: Typed) -> Harness:
    return with_pairs(harness, PAIRINGS[_one_of(form, "pairs", tuple(PAIRINGS))])


def _swapped(harness: Harness, _form: Typed) -> Harness:
    return with_swaps(harness, judge(harness).swaps)


def _struck(harness: Harness, form: Typed) -> Harness:
    """`strike` is "2 left": the number of the reading, and the line."""
    number, _, name = form["strike"].partition(" ")
    if not (number.isascii() and number.isdigit() and len(number) < 4):
        return harness
    return without_reading(harness, name, int(number))


ACTS: dict[str, Callable[[Harness, Typed], Harness]] = {
    "ohm": _measured,
    "open": _measured,
    "joined": _measured,
    "leads": _leads,
    "pairs": _pairs,
    "swapped": _swapped,
}
"""Word of a button -> what it enters."""
BY_FIELD: dict[str, Callable[[Harness, Typed], Harness]] = {"strike": _struck, "stiff": _bridged}
"""Field that only one kind of button sends -> what it enters."""


def text_after(harness: Harness, before: Harness, text: str) -> str:
    """The harness as text: as it was typed where nothing was entered, else with its remarks.

    Raises:
        InputErrors: what was entered cannot be, such as a contact that this socket does not have.
    """
    if harness == before:
        return text
    made = with_remarks(write_harness(harness), text)
    harness_in(made)
    return made


def beginning(machine: Machine | None) -> str:
    """A harness of which nothing is known but its motors: a line for each motor of the machine.

    Example:
        >>> from plumbrise.machine import blank
        >>> [line.name for line in harness_in(beginning(blank("two-screw"))).lines]
        ['left', 'right']
    """
    names: tuple[str, ...] = ("motor",)
    name = ""
    if machine is not None:
        names, name = machine.screw_sides[: machine.arrangement.motors], machine.name
    return write_harness(Harness(tuple(Line(one) for one in names), name=name))
