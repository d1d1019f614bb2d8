"""The questions that `describe` asks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.machine_fields import FIELDS, Field
from plumbrise.files.machine_typed import DO_NOT_KNOW, NO, YES, Tree, set_in
from plumbrise.files.machine_writing import applies
from plumbrise.files.rows import one_of
from plumbrise.machine import ARRANGEMENTS, blank

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
    "gauge.range_mm",
)
"""What matters most, in the order in which a person finds it at the machine."""
BELT = ("drive.motor_teeth", "drive.screw_teeth", "drive.belt_pitch_mm")
Ask = Callable[[str], str]
Say = Callable[[str], None]


def asked(ask: Ask, say: Say, known: Tree) -> Tree:
    """The tree of a machine, asked for question by question.

    Args:
        ask: shows a prompt and returns the line that was typed.
        say: shows a line.
        known: what is known already; it is not asked again.
    """
    tree: Tree = {**known}
    if "arrangement" not in tree:
        tree["arrangement"] = _arrangement(ask, say)
    if "name" not in tree:
        say("\nWhat do you call the machine? Any name will do, or Enter for none.")
        name = ask("name").strip()
        tree["name"] = "" if name in DO_NOT_KNOW else name
    say("\nEnter or ? means: I do not know. A usual value is then taken, and the answer is less")
    say("sure.")
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
