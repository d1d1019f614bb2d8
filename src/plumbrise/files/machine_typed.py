"""Values of the machine file as a person types them: with a unit, as a word, or not known."""

from __future__ import annotations

from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.cells import number_in
from plumbrise.files.machine_faults import nearest
from plumbrise.files.machine_fields import FIELDS, Field
from plumbrise.files.machine_file import machine_from
from plumbrise.files.rows import one_of
from plumbrise.quantity import typed

DO_NOT_KNOW = (
    *("", "?", "-", "unknown"),
    *("don't know", "dont know", "i don't know", "i do not know", "do not know"),
)
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")

Tree = dict[str, Any]


def value_of(field: Field, text: str) -> Any:
    """What a person typed for a field, in the unit used inside; None if they do not know.

    Raises:
        InputError, InputErrors: what may not stand there.

    Example:
        >>> value_of(FIELDS["screw.lead_mm"], "0.315 in"), value_of(FIELDS["nut.kind"], "?")
        (8.001, None)
    """
    if text.strip().lower() in DO_NOT_KNOW:
        return None
    value = _read(field, text.strip())
    machine_from({"arrangement": "one-screw", field.part: {field.name: value}})
    return value


def _read(field: Field, text: str) -> Any:
    if field.takes == "choice":
        return one_of(field.key, text, field.choices, "Type one of these words, or Enter.")
    if field.takes == "yes-no":
        if text.lower() in YES + NO:
            return text.lower() in YES
        raise InputError(
            place=field.key, value=text, allowed="yes or no", remedy="Enter if you do not know."
        )
    if field.takes == "lines":
        return [line.strip() for line in text.split(";") if line.strip()]
    if field.measures:
        return round(typed(text, field.measures, field.key), 9)
    number = number_in(text)
    if number is None:
        raise InputError(
            place=field.key,
            value=text,
            allowed=field.allowed,
            remedy="Type the number alone, or Enter if you do not know.",
        )
    return int(number) if field.takes == "count" and number.is_integer() else number


def set_in(tree: Tree, key: str, text: str) -> None:
    """Put a typed value into a tree of tables: key is part.field or part.side.field.

    Raises:
        InputError, InputErrors: no such key, or a value that may not stand there.
    """
    part, *sides = key.split(".")
    name = sides.pop() if sides else ""
    field = FIELDS.get(f"{part}.{name}")
    if field is None or len(sides) > 1:
        raise _no_such_key(key)
    value = value_of(field, text)
    table = tree.setdefault(part, {})
    if sides:
        table = table.setdefault(sides[0], {})
    if value is not None:
        table[name] = value


def _no_such_key(key: str) -> InputError:
    return InputError(
        place="--set",
        value=key,
        allowed="only a name such as nut.play_mm is",
        remedy=nearest(key, FIELDS) or "The manual lists all fields of the machine file.",
    )
