"""A machine as text and as plain tables: what is known, and as comments what is not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from plumbrise.files.machine_faults import listed
from plumbrise.files.machine_fields import FIELDS, FORMAT, PARTS, Field
from plumbrise.files.toml_value import toml_value
from plumbrise.machine.arrangements import ARRANGEMENTS
from plumbrise.machine.description import Machine, PerSide


def write_machine(machine: Machine, *, unknown_as_comments: bool = True) -> str:
    """The machine as TOML with a comment for every field.

    What is not known is left out; with `unknown_as_comments` it stands there as a comment with
    what is assumed instead and how far to trust that.
    """
    lines = [
        f"format = {FORMAT}",
        *([f"name = {toml_value(machine.name)}"] if machine.name else []),
        *([f"note = {toml_value(machine.note)}"] if machine.note else []),
        *(["invented = true  # this machine does not exist"] if machine.invented else []),
        f"arrangement = {toml_value(machine.arrangement.id)}  # {listed(ARRANGEMENTS)}",
    ]
    for part in PARTS:
        described = getattr(machine, part)
        common = described.common if isinstance(described, PerSide) else described
        lines += _table(machine, part, part, common, unknown=unknown_as_comments)
        if isinstance(described, PerSide):
            for side, own in described.overrides:
                lines += _override(part, side, common, own)
    return "\n".join(lines) + "\n"


def _table(machine: Machine, part: str, title: str, described: Any, *, unknown: bool) -> list[str]:
    rows = []
    for field in FIELDS.values():
        if field.part != part:
            continue
        value = None if described is None else getattr(described, field.name)
        if value is not None and value != ():
            rows.append(f"{field.name} = {toml_value(value)}  # {_comment(field)}")
        elif unknown and described is not None and applies(machine, field):
            rows.append(f"# {field.name} = {_unknown(field)}")
    if not rows and not (described is not None and part == "drive"):
        return []
    return ["", f"[{title}]", *rows]


def _override(part: str, side: str, common: Any, own: Any) -> list[str]:
    rows = [
        f"{field.name} = {toml_value(getattr(own, field.name))}  # {_comment(field)}"
        for field in FIELDS.values()
        if field.part == part and getattr(own, field.name) != getattr(common, field.name)
    ]
    return ["", f"[{part}.{side}]", *rows]


def applies(machine: Machine, field: Field) -> bool:
    """True for a field that this arrangement has."""
    several = len(machine.arrangement.sides) > 1
    bed = machine.arrangement.body == "bed"
    return not (
        (field.key == "screw.side" and several)
        or (field.key == "guide.depth_mm" and not bed)
        or (field.key in ("gantry.centre_of_mass_mm", "gantry.beam_height_mm") and bed)
    )


def _comment(field: Field) -> str:
    tail = f" One of {field.allowed}." if field.takes == "choice" else ""
    return (f"{field.unit}. " if field.unit else "") + field.words + tail


def _unknown(field: Field) -> str:
    shown = field.example if field.default is None else field.default.value
    return f"{toml_value(shown)}  # {_comment(field)} {field.if_unknown}"


def machine_dict(machine: Machine) -> dict[str, Any]:
    """The machine as the tree of tables that its file holds; only what is known.

    `machine_from` reads it back.
    """
    made: dict[str, Any] = {"format": FORMAT}
    made |= {k: v for k, v in (("name", machine.name), ("note", machine.note)) if v}
    if machine.invented:
        made["invented"] = True
    made["arrangement"] = machine.arrangement.id
    for part in PARTS:
        described = getattr(machine, part)
        common = described.common if isinstance(described, PerSide) else described
        table = {} if common is None else _known(part, common)
        if isinstance(described, PerSide):
            for side, own in described.overrides:
                table[side] = _different(_known(part, own), table)
        if table or (common is not None and part == "drive"):
            made[part] = table
    return made


def _known(part: str, described: Any) -> dict[str, Any]:
    values = {f.name: getattr(described, f.name) for f in FIELDS.values() if f.part == part}
    return {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in values.items()
        if value is not None and value != ()
    }


def _different(own: Mapping[str, Any], common: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in own.items() if common.get(key) != value}
