"""What of a harness file cannot be, though each key by itself may stand there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.machine_faults import listed, nearest
from plumbrise.wiring import FRAME, Harness, Line, Reading
from plumbrise.wiring.across import SHARED_PLUG
from plumbrise.wiring.harness import BOARD_CONTACTS

Problem = tuple[tuple[Any, ...], InputError]


def impossible(harness: Harness) -> Iterator[Problem]:
    """Each thing that cannot be, with the path of its key."""
    seen: set[str] = set()
    for index, line in enumerate(harness.lines):
        path = ("line", index)
        if line.name in seen:
            yield _problem(
                (*path, "name"), f"{line.name}, name", line.name, "a name of its own", "Rename it."
            )
        if line.name == SHARED_PLUG:
            remedy = "It stands for the plug at which several motors meet. Rename the line."
            yield _problem((*path, "name"), f"{line.name}, name", line.name, "another name", remedy)
        seen.add(line.name)
        yield from _contacts(line, path)
        yield from _named_lines(harness, line, path)
        for number, reading in enumerate(line.measured, 1):
            yield from _reading(line, reading, (*path, "measured"), number)
    for number, reading in enumerate(harness.drive.measured, 1):
        shared = Line("drive")
        yield from _reading(shared, reading, ("drive", "measured"), number)
    if len(harness.lines) < 2 and harness.drive.motors not in (None, "separate"):
        yield _problem(
            ("drive", "motors"),
            "drive.motors",
            harness.drive.motors,
            "separate, with one line",
            "Add the other motor as a second [[line]].",
        )


def _problem(
    path: tuple[Any, ...], place: str, value: object, allowed: str, remedy: str
) -> Problem:
    return path, InputError(place=place, value=value, allowed=allowed, remedy=remedy)


def _contacts(line: Line, path: tuple[Any, ...]) -> Iterator[Problem]:
    board, motor = line.board, line.motor
    if board.phases is not None:
        yield from _once(
            [contact for pair in board.phases for contact in pair],
            BOARD_CONTACTS,
            (*path, "board", "phases"),
            f"{line.name}, board.phases",
        )
    yield from _once(
        [contact for coil in motor.coils for contact in coil],
        motor.contacts,
        (*path, "motor", "coils"),
        f"{line.name}, motor.coils",
    )
    where = (*path, "cable", "joins")
    place = f"{line.name}, cable.joins"
    yield from _once([b for b, _ in line.cable.joins], BOARD_CONTACTS, where, place)
    yield from _once([m for _, m in line.cable.joins], motor.contacts, where, place)


def _once(contacts: list[int], most: int, path: tuple[Any, ...], place: str) -> Iterator[Problem]:
    high = [contact for contact in contacts if contact > most]
    twice = [contact for contact in set(contacts) if contacts.count(contact) > 1]
    if high:
        remedy = "Count the contacts from 1, empty ones too, or give contacts = 6."
        yield _problem(path, place, high[0], f"contacts 1 to {most}", remedy)
    if twice:
        remedy = f"Contact {twice[0]} stands twice."
        yield _problem(path, place, twice[0], "each contact once", remedy)


def _named_lines(harness: Harness, line: Line, path: tuple[Any, ...]) -> Iterator[Problem]:
    names = [one.name for one in harness.lines]
    said = [("cable.to", line.cable.to)]
    said += [("measured.stiff", b.stiff or None) for b in line.bridged]
    for place, name in said:
        if name is not None and name not in names:
            remedy = nearest(name, names) or "Name a [[line]] of this file."
            where = (*path, *place.split("."))
            yield _problem(where, f"{line.name}, {place}", name, listed(names), remedy)
    for bridged in line.bridged:
        if max(bridged.between) > BOARD_CONTACTS:
            yield _problem(
                (*path, "measured"),
                f"{line.name}, measured, bridged",
                max(bridged.between),
                f"contacts 1 to {BOARD_CONTACTS}",
                "Bridge at the cable's board end.",
            )


def _reading(line: Line, reading: Reading, path: tuple[Any, ...], number: int) -> Iterator[Problem]:
    place = f"{line.name}, measured row {number}, between"
    one, other = reading.between
    ends = {
        "board": (BOARD_CONTACTS, BOARD_CONTACTS),
        "motor": (line.motor.contacts, line.motor.contacts),
        "cable": (BOARD_CONTACTS, line.motor.contacts),
    }[reading.at]
    for contact, most in zip((one, other), ends, strict=True):
        if contact > most:
            remedy = "Count the contacts from 1 on the plug where the meter was held."
            yield _problem(path, place, contact, f"contacts 1 to {most}", remedy)
    if one == other and reading.at != "cable" and one != FRAME:
        yield _problem(path, place, one, "two contacts", "Name both contacts that were touched.")
