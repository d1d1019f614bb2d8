"""The keys of a harness file: one record each, from which reader, writer, schema and reference
page draw."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from plumbrise.errors import InputError
from plumbrise.quantity import typed
from plumbrise.wiring import FRAME, PLACES
from plumbrise.wiring.copper import awg_area_mm2
from plumbrise.wiring.harness import BOARD_CONTACTS, DRIVES, MEETING, MOTOR_CONTACTS, SENSES

FORMAT = 1
"""Version of the harness file."""
LARGEST_OHM = 1e9
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Key:
    """One key of one table: what it is, what may stand there, and how it is read.

    `read` gives the value used inside and raises ValueError for what may not stand there; `mend`
    says how to write it right.
    """

    table: str
    name: str
    words: str
    example: str
    allowed: str
    read: Callable[[Any], Any]
    schema: Json

    @property
    def key(self) -> str:
        """As people write it: board.phases."""
        return f"{self.table}.{self.name}" if self.table else self.name

    def mend(self, value: Any) -> str:
        """What to do about a value that may not stand there."""
        if isinstance(value, str) and self.schema.get("type") == "number":
            number = _number_in(value, self.name)
            if number is not None:
                return f"Write {self.name} = {number:g}, without quotes."
        return f"Write {self.name} = {self.example}, or leave it out if you do not know."


def _number_in(value: str, name: str) -> float | None:
    kind = {"ohm": "resistance", "a": "current"}.get(name.rpartition("_")[2], "length")
    factor = 0.001 if name.endswith("_m") else 1.0
    try:
        return typed(value, kind, name) * factor
    except InputError:
        found = re.match(r"[-+]?\d+(?:[.,]\d+)?", value.strip())
        return float(found[0].replace(",", ".")) if found else None


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError
    return value


def _choice(*words: str) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        plain = re.sub(r"[\s_]+", "-", _text(value).strip().lower())
        if plain not in words:
            raise ValueError
        return plain

    return read


def _true(value: Any) -> bool:
    if value is not True:
        raise ValueError
    return True


def _yes_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError
    return value


def _number(low: float, high: float, *, open_low: bool = False) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError
        if not low <= value <= high or (open_low and value == low):  # no NaN passes either
            raise ValueError
        return float(value)

    return read


def _count(*allowed: int) -> Callable[[Any], int]:
    def read(value: Any) -> int:
        if isinstance(value, bool) or value not in allowed:
            raise ValueError
        return int(value)

    return read


def _contact(value: Any, *, frame: bool = False) -> int:
    if frame and isinstance(value, str) and value.strip().lower() == "frame":
        return FRAME
    if (
        isinstance(value, bool)
        or not isinstance(value, int)
        or not 1 <= value <= max(MOTOR_CONTACTS)
    ):
        raise ValueError
    return value


def _row(value: Any, *lengths: int, frame: bool = False) -> tuple[int, ...]:
    if not isinstance(value, list) or len(value) not in lengths:
        raise ValueError
    made = tuple(_contact(one, frame=frame) for one in value)
    if len(set(made)) != len(made):
        raise ValueError
    return made


def _rows(least: int, most: int, *lengths: int) -> Callable[[Any], tuple[tuple[int, ...], ...]]:
    def read(value: Any) -> tuple[tuple[int, ...], ...]:
        if not isinstance(value, list) or not least <= len(value) <= most:
            raise ValueError
        return tuple(_row(row, *lengths) for row in value)

    return read


def _joins(value: Any) -> tuple[tuple[int, ...], ...]:
    """Like `_rows`, but board and motor contact may have the same number."""
    if not isinstance(value, list) or len(value) > BOARD_CONTACTS:
        raise ValueError
    if any(not isinstance(row, list) or len(row) != 2 for row in value):
        raise ValueError
    return tuple((_contact(a), _contact(b)) for a, b in value)


def _between(value: Any) -> tuple[int, int]:
    """Two contacts, the frame second; whether they may be the same depends on where the meter was
    held, which is checked later."""
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError
    one, other = (_contact(each, frame=True) for each in value)
    if one == FRAME:
        raise ValueError
    return one, other


def _colours(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or len(value) > BOARD_CONTACTS:
        raise ValueError
    return tuple(_text(one) for one in value)


def _awg(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError
    try:
        return awg_area_mm2(gauge=value)
    except InputError:
        raise ValueError from None


_PAIR: Json = {"type": "array", "items": {"type": "integer"}, "minItems": 2, "maxItems": 2}
_PAIRS: Json = {"type": "array", "items": _PAIR}
_NUMBER: Json = {"type": "number"}
_TEXT: Json = {"type": "string"}
_BETWEEN: Json = {
    "type": "array",
    "items": {"anyOf": [{"type": "integer"}, {"const": "frame"}]},
    "minItems": 2,
    "maxItems": 2,
}


def _enum(*words: str) -> Json:
    return {"enum": list(words)}


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(words[:-1]) + f" or {words[-1]}"


KEYS = (
    Key("", "format", "Version of the file.", "1", "1", _count(FORMAT), {"const": FORMAT}),
    Key("", "name", "A name for the harness.", '"Shed printer"', "text in quotes", _text, _TEXT),
    Key("", "note", "Whatever else.", '"evening of the 3rd"', "text in quotes", _text, _TEXT),
    Key("", "invented", "True for a harness that does not exist.", "true", "true or false",
        _yes_no, {"type": "boolean"}),
    Key("meter", "leads_ohm", "What the meter shows with its tips held together, Ω. Left out: 0 to "
        "0.5.", "0.2", "0 to 5", _number(0, 5), _NUMBER),
    Key("meter", "celsius", "How warm the motors were, °C. Left out: 5 to 40.", "20", "-20 to 120",
        _number(-20, 120), _NUMBER),
    Key("drive", "motors", "Whether each motor has its own driver.", '"separate"',
        _listed(DRIVES), _choice(*DRIVES), _enum(*DRIVES)),
    Key("drive", "joined_at", "Where motors on one driver are joined: by the board's own sockets, "
        "or by an adaptor, which has to be measured.", '"adaptor"',
        _listed(MEETING), _choice(*MEETING), _enum(*MEETING)),
    Key("line", "name", "Which motor this is.", '"left"', "text in quotes", _text, _TEXT),
    Key("line", "axis", "Lines of one axis must turn together. Left out: z.", '"z"',
        "text in quotes", _text, _TEXT),
    Key("board", "contacts", "Contacts of the board's socket.", "4", "4",
        _count(BOARD_CONTACTS), {"const": BOARD_CONTACTS}),
    Key("board", "phases", "The two pairs that the board drives, from its document.",
        "[[1, 2], [3, 4]]", "two pairs of contacts", _rows(2, 2, 2), _PAIRS),
    Key("board", "driver_current_a", "Current that the driver is set to, A.", "0.8",
        "above 0 to 20", _number(0, 20, open_low=True), _NUMBER),
    Key("board", "sense", "Which way a motor turns, seen onto its shaft, that is joined contact "
        "for contact.", '"right-hand"', _listed(SENSES), _choice(*SENSES), _enum(*SENSES)),
    Key("cable", "joins", "Board contact and motor contact of each wire, as seen by eye.",
        "[[1, 1], [2, 2], [3, 3], [4, 4]]", "up to four pairs of board and motor contact", _joins,
        _PAIRS),
    Key("cable", "colours", "Colours of the wires, in the order of the joins.",
        '["white", "brown", "violet", "orange"]', "up to four words in quotes", _colours,
        {"type": "array", "items": _TEXT}),
    Key("cable", "length_m", "Length of the cable, m.", "0.6", "above 0 to 50",
        _number(0, 50, open_low=True), _NUMBER),
    Key("cable", "wire_mm2", "Cross-section of one wire, mm².", "0.2", "0.01 to 10",
        _number(0.01, 10), _NUMBER),
    Key("cable", "awg", "The same as American wire gauge.", "24", "a whole number, 0 to 40", _awg,
        {"type": "integer"}),
    Key("cable", "to", "The line whose motor it really runs to, if you followed it.", '"left"',
        "the name of a line", _text, _TEXT),
    Key("motor", "contacts", "Contacts of the motor's socket, empty ones too.", "6", "4 or 6",
        _count(*MOTOR_CONTACTS), {"enum": list(MOTOR_CONTACTS)}),
    Key("motor", "coils", "The contacts of each coil: start and end, or start, tap and end.",
        "[[1, 3], [4, 6]]", "up to two coils of two or three contacts", _rows(0, 2, 2, 3),
        {"type": "array", "items": {"type": "array", "items": {"type": "integer"}}}),
    Key("motor", "coil_ohm", "Resistance of one phase at 20 °C, from the data sheet, Ω.", "2.6",
        "0.1 to 200", _number(0.1, 200), _NUMBER),
    Key("motor", "rated_current_a", "Rated current of a phase, A.", "1.2", "above 0 to 20",
        _number(0, 20, open_low=True), _NUMBER),
    Key("measured", "at", "Where the meter was held.", '"board"', _listed(tuple(PLACES)),
        _choice(*PLACES), _enum(*PLACES)),
    Key("measured", "between", 'The two contacts, or one and "frame". At the cable the board\'s '
        "contact comes first.", "[1, 2]", 'two contacts, or a contact and then "frame"', _between,
        _BETWEEN),
    Key("measured", "ohm", "What the meter showed, Ω.", "2.7", "0 to 1e9",
        _number(0, LARGEST_OHM), _NUMBER),
    Key("measured", "open", "The meter saw no way: over 1 MΩ.", "true", "true", _true,
        {"const": True}),
    Key("measured", "joined", "The meter only beeped.", "true", "true", _true, {"const": True}),
    Key("measured", "celsius", "How warm the motor was at this reading, °C.", "20", "-20 to 120",
        _number(-20, 120), _NUMBER),
    Key("measured", "bridged", "Two board contacts that were bridged while shafts were turned by "
        "hand.", "[1, 2]", "two contacts", lambda value: _row(value, 2), _PAIR),
    Key("measured", "stiff", 'The line whose shaft turned stiffly then, or "none".', '"left"',
        'the name of a line, or "none"', _text, _TEXT),
)  # fmt: skip

TABLES = ("", "meter", "drive", "line", "board", "cable", "motor", "measured")
BY_TABLE = {table: {key.name: key for key in KEYS if key.table == table} for table in TABLES}
"""Table -> its keys by name, in the order of the file."""
WITHIN = {"": ("meter", "drive", "line"), "line": ("board", "cable", "motor", "measured"),
          "drive": ("measured",)}  # fmt: skip
"""Table -> the tables that stand within it."""


def harness_schema() -> Json:
    """The JSON Schema of a harness file."""
    whole = _object("")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Harness",
        "description": "Motors, cables and board sockets; what is not known is left out.",
        **whole,
        "required": ["line"],
    }


def _object(table: str) -> Json:
    properties: Json = {
        key.name: {**key.schema, "description": key.words} for key in BY_TABLE[table].values()
    }
    for inner in WITHIN.get(table, ()):
        made = _object(inner)
        many = inner in ("line", "measured")
        properties[inner] = {"type": "array", "items": made} if many else made
    return {"type": "object", "properties": properties, "additionalProperties": False}
