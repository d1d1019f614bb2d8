"""The harness file: TOML to `Harness`, every fault told with its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.harness_fields import BY_TABLE, WITHIN
from plumbrise.files.harness_sense import impossible
from plumbrise.files.key_lines import key_lines
from plumbrise.files.machine_faults import listed, nearest
from plumbrise.files.toml_text import at_line, parsed, told_within, without_mark
from plumbrise.wiring import (
    Board,
    Bridged,
    Cable,
    Drive,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
)

MOST_LINES, MOST_READINGS = 8, 200
_LINE = re.compile(r"^\s*\[\[\s*line\s*\]\]", re.MULTILINE)


def read_harness(text: str, *, name: str) -> Harness:
    """The harness that a TOML text describes.

    Args:
        text: the file's text.
        name: the file's name, for errors.

    Raises:
        InputErrors: all that is wrong, each with its line where one can be told.

    Example:
        >>> read_harness('[[line]]\\nname = "left"\\nmotor = { coil_ohm = 2.6 }',
        ...              name="h.toml").lines[0].motor.coil_ohm
        2.6
    """
    with told_within(name):
        text = without_mark(text)
        return _Reader(parsed(text, what="harness"), _places(text)).harness()


def harness_from(given: Mapping[str, Any]) -> Harness:
    """The harness of a tree of tables, as TOML or JSON hold it.

    Raises:
        InputErrors: all that is wrong.
    """
    return _Reader(given, {}).harness()


def _places(text: str) -> dict[tuple[Any, ...], int]:
    """Line of the text of each key; keys of the third `[[line]]` begin with ("line", 2)."""
    starts = [match.start() for match in _LINE.finditer(text)]
    found: dict[tuple[Any, ...], int] = {}
    for index, (start, end) in enumerate(
        zip([0, *starts], [*starts, len(text)], strict=True), start=-1
    ):
        before = text.count("\n", 0, start)
        for path, line in key_lines(text[start:end]).items():
            own = ("line", index, *path[1:]) if index >= 0 and path[0] == "line" else path
            found.setdefault(own, before + line)
    return found


class _Reader:
    """Collects what is wrong with one text, so that it is all told at once."""

    def __init__(self, given: Mapping[str, Any], places: dict[tuple[Any, ...], int]) -> None:
        self.given, self.places = given, places
        self.problems: list[InputError] = []

    def harness(self) -> Harness:
        """The harness, or all problems."""
        top = self._table("", self.given, (), "")
        lines = [
            self._line(given, index)
            for index, given in enumerate(self._list("line", self.given, (), "", MOST_LINES))
        ]
        if not lines:
            self._wrong(
                ("line",), "line", "", "one [[line]] or more", "Write [[line]] and its name."
            )
        meter = self._table("meter", self._inner(self.given, "meter", (), ""), ("meter",), "meter")
        drive = self._drive()
        if self.problems:
            raise InputErrors(self.problems)
        harness = Harness(
            tuple(lines),
            drive,
            Meter(**meter),
            top.get("name", ""),
            top.get("invented", False),
            top.get("note", ""),
        )
        for path, problem in impossible(harness):
            self.problems.append(at_line(problem, path, self.places))
        if self.problems:
            raise InputErrors(self.problems)
        return harness

    def _line(self, given: Any, index: int) -> Line:
        path: tuple[Any, ...] = ("line", index)
        if not isinstance(given, dict):
            self._wrong(path, "line", given, "a table", "Write [[line]] and its keys below it.")
            return Line("")
        own = self._table("line", given, path, f"line {index + 1}")
        shown = str(own.get("name", f"line {index + 1}"))
        if "name" not in given:
            self._wrong(path, f"{shown}, name", "", "text in quotes", 'Write name = "left".')
        parts = {
            part: self._table(
                part, self._inner(given, part, path, shown), (*path, part), f"{shown}, {part}"
            )
            for part in ("board", "cable", "motor")
        }
        if "awg" in parts["cable"]:
            self._one_gauge(parts["cable"], path, shown)
        readings, bridged = self._measured(given, path, shown)
        return Line(
            own.get("name", ""),
            Board(**parts["board"]),
            Cable(**parts["cable"]),
            Motor(**parts["motor"]),
            readings,
            bridged,
            own.get("axis", "z"),
        )

    def _one_gauge(self, cable: dict[str, Any], path: tuple[Any, ...], shown: str) -> None:
        area = cable.pop("awg")
        if "wire_mm2" in cable:
            self._wrong(
                (*path, "cable", "awg"),
                f"{shown}, cable.awg",
                "awg and wire_mm2",
                "one of the two",
                "Keep the one that you know better.",
            )
        cable["wire_mm2"] = area

    def _drive(self) -> Drive:
        given = self._inner(self.given, "drive", (), "")
        own = self._table("drive", given, ("drive",), "drive")
        rows, _ = self._measured(given, ("drive",), "drive", at="board")
        return Drive(own.get("motors"), own.get("joined_at"), rows)

    def _measured(
        self, given: Mapping[str, Any], path: tuple[Any, ...], shown: str, at: str | None = None
    ) -> tuple[tuple[Reading, ...], tuple[Bridged, ...]]:
        readings: list[Reading] = []
        bridged: list[Bridged] = []
        here = (*path, "measured")
        for number, row in enumerate(self._list("measured", given, path, shown, MOST_READINGS), 1):
            place = f"{shown}, measured row {number}"
            if not isinstance(row, dict):
                self._wrong(
                    here, place, row, "a table in braces", "Write { between = [1, 2] ... }."
                )
                continue
            own = self._table("measured", row, here, place)
            if len(own) < len(row):
                continue
            if "bridged" in own or "stiff" in own:
                self._bridged(own, here, place, bridged)
            else:
                self._reading(own if at is None else {"at": at, **own}, here, place, readings)
        return tuple(readings), tuple(bridged)

    def _bridged(
        self, own: dict[str, Any], here: tuple[Any, ...], place: str, bridged: list[Bridged]
    ) -> None:
        if not {"bridged", "stiff"} <= set(own) <= {"bridged", "stiff", "at"}:
            self._wrong(
                here,
                place,
                ", ".join(own),
                "bridged and stiff together, and nothing else",
                'Write { bridged = [1, 2], stiff = "left" }.',
            )
            return
        stiff = "" if own["stiff"].strip().lower() == "none" else own["stiff"]
        bridged.append(Bridged(own["bridged"], stiff))

    def _reading(
        self, own: dict[str, Any], here: tuple[Any, ...], place: str, readings: list[Reading]
    ) -> None:
        for needed, example in (("at", '"board"'), ("between", "[1, 2]")):
            if needed not in own:
                allowed = BY_TABLE["measured"][needed].allowed
                self._wrong(here, f"{place}, {needed}", "", allowed, f"Write {needed} = {example}.")
                return
        said = [word for word in ("ohm", "open", "joined") if word in own]
        if len(said) != 1:
            self._wrong(
                here,
                place,
                ", ".join(said),
                "one of ohm, open and joined",
                "Write ohm = 2.7, or open = true, or joined = true if it only beeped.",
            )
            return
        readings.append(
            Reading(
                own["at"],
                own["between"],
                own.get("ohm"),
                "open" in own,
                "joined" in own,
                own.get("celsius"),
            )
        )

    def _table(
        self, table: str, given: Mapping[str, Any], path: tuple[Any, ...], shown: str
    ) -> dict[str, Any]:
        """The keys of a table that can be used; the others become problems."""
        keys, inner = BY_TABLE[table], WITHIN.get(table, ())
        made: dict[str, Any] = {}
        for name, value in given.items():
            joint = "." if table in ("board", "cable", "motor", "meter", "drive") else ", "
            place = f"{shown}{joint}{name}" if shown else name
            where = path if table == "measured" else (*path, name)  # rows are told by number
            if name in inner:
                continue
            if name not in keys:
                remedy = nearest(name, (*keys, *inner)) or "Take the key out."
                self._wrong(where, place, name, listed((*keys, *inner)), remedy)
                continue
            try:
                made[name] = keys[name].read(value)
            except ValueError:
                key = keys[name]
                self._wrong(where, place, value, key.allowed, key.mend(value))
        return made

    def _inner(
        self, given: Mapping[str, Any], part: str, path: tuple[Any, ...], shown: str
    ) -> Mapping[str, Any]:
        value = given.get(part, {})
        if isinstance(value, dict):
            return value
        place = f"{shown}, {part}" if shown else part
        example = next(iter(BY_TABLE[part].values()))
        remedy = f"Write {part} = {{ {example.name} = {example.example} }}."
        self._wrong((*path, part), place, value, "a table", remedy)
        return {}

    def _list(
        self, part: str, given: Mapping[str, Any], path: tuple[Any, ...], shown: str, most: int
    ) -> list[Any]:
        value = given.get(part, [])
        if isinstance(value, list) and len(value) <= most:
            return value
        place = f"{shown}, {part}" if shown else part
        told = value if not isinstance(value, list) else f"{len(value)} of them"
        remedy = (
            "Write [[line]] in two brackets." if part == "line" else "Write measured = [ ... ]."
        )
        self._wrong((*path, part), place, told, f"a list of up to {most}", remedy)
        return []

    def _wrong(
        self, path: tuple[Any, ...], place: str, value: Any, allowed: str, remedy: str
    ) -> None:
        problem = InputError(place=place, value=value, allowed=allowed, remedy=remedy)
        self.problems.append(at_line(problem, path, self.places))
