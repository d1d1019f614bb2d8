"""The questions that `describe` asks, and how an answer becomes a value."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.cells import number_in
from plumbrise.files.machine_fields import FIELDS, Field
from plumbrise.files.machine_file import machine_from
from plumbrise.files.machine_writing import applies
from plumbrise.files.rows import one_of
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.quantity import typed

FIRST = (
    "screw.lead_mm",
    "screw.starts",
    "screw.side",
    "screw.top_end",
    "travel.height_mm",
    "nut.kind",
    "nut.mount",
    "coupling.kind",
    "bearing.carries_weight",
    "motor.full_steps_per_turn",
    "motor.microsteps",
    "guide.kind",
    "guide.span_mm",
    "guide.depth_mm",
    "guide.carriage_height_mm",
    "gantry.mass_kg",
    "gantry.centre_of_mass_mm",
    "gauge.resolution_mm",
    "gauge.wrap_mm",
)
"""What matters most, in the order in which a person finds it at the machine."""
BELT = ("drive.motor_teeth", "drive.screw_teeth", "drive.belt_pitch_mm")
DO_NOT_KNOW = (
    *("", "?", "-", "unknown"),
    *("don't know", "dont know", "i don't know", "i do not know", "do not know"),
)
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")

Tree = dict[str, Any]
Ask = Callable[[str], str]
Say = Callable[[str], None]


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
    from plumbrise.files.machine_faults import nearest

    return InputError(
        place="--set",
        value=key,
        allowed="part.field, such as nut.play_mm,",
        remedy=nearest(key, FIELDS) or "The manual lists all fields of the machine file.",
    )


def asked(ask: Ask, say: Say, known: Tree) -> Tree:
    """The tree of a machine, asked for question by question.

    Args:
        ask: shows a prompt and returns the line that was typed.
        say: shows a line.
        known: what is known already; it is not asked again.
    """
    say("Enter or ? means: I do not know. Then a usual value is taken and the answer is less sure.")
    tree: Tree = {**known}
    if "arrangement" not in tree:
        tree["arrangement"] = _arrangement(ask, say)
    if "name" not in tree:
        say("\nWhat do you call the machine? Any name will do.")
        tree["name"] = ask("name").strip()
    for field in _to_ask(tree["arrangement"], FIRST):
        _question(field, tree, ask, say)
    tied = ARRANGEMENTS[tree["arrangement"]].tied
    if tied or _yes("Does a belt join motor and screw?", ask, say):
        tree.setdefault("drive", {})
        for field in _to_ask(tree["arrangement"], BELT):
            _question(field, tree, ask, say)
    if _yes("Answer finer points too? They make the answer a little surer.", ask, say):
        rest = [key for key in FIELDS if key not in (*FIRST, *BELT)]
        for field in _to_ask(tree["arrangement"], rest):
            if field.takes != "lines":
                _question(field, tree, ask, say)
    return tree


def _to_ask(arrangement: str, keys: Iterable[str]) -> Iterator[Field]:
    machine = blank(arrangement)
    return (FIELDS[key] for key in keys if applies(machine, FIELDS[key]))


def _arrangement(ask: Ask, say: Say) -> str:
    say("\nHow many screws carry the moving part?")
    listed = list(ARRANGEMENTS.values())
    for number, arrangement in enumerate(listed, 1):
        say(f"  {number}  {arrangement.title}  ({arrangement.id})")
    while True:
        answer = ask("arrangement").strip()
        if answer.isdigit() and 1 <= int(answer) <= len(listed):
            return listed[int(answer) - 1].id
        try:
            return one_of("arrangement", answer, ARRANGEMENTS, "Type a number from 1 to 4.")
        except InputError as problem:
            say(f"  {problem}")
            say("  This one question needs an answer: count the screws that turn.")


def _question(field: Field, tree: Tree, ask: Ask, say: Say) -> None:
    if field.name in tree.get(field.part, {}):
        return
    say(f"\n{field.words}")
    say(f"  {_hint(field)}")
    while True:
        try:
            set_in(tree, field.key, ask(field.key))
            return
        except (InputError, InputErrors) as problem:
            say(f"  {problem}")


def _hint(field: Field) -> str:
    """Unit or words, an example, and what is assumed."""
    if field.takes == "choice":
        what = f"Type {field.allowed}."
    elif field.takes == "yes-no":
        what = "Type yes or no."
    elif field.unit:
        what = f"In {field.unit}, for example {field.example:g}."
    else:
        what = f"For example {field.example:g}."
    return f"{what} {field.if_unknown}"


def _yes(question: str, ask: Ask, say: Say) -> bool:
    say(f"\n{question}")
    while True:
        answer = ask("yes or no").strip().lower()
        if answer in YES:
            return True
        if answer in NO or answer in DO_NOT_KNOW:
            return False
        say("  Type yes or no; Enter means no.")
