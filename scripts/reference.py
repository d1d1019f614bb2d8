"""Write the reference pages from the program's own tables.

    .venv/bin/python scripts/reference.py

A page made here is never edited by hand; a test fails when one is stale.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

import annotated_types
import click

from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.cli import COMMANDS, main
from plumbrise.explain.calibration import MAPS
from plumbrise.explain.causes import CAUSES, LINKS
from plumbrise.explain.priors import CHANCE, LINEAR, TABLE, Bell
from plumbrise.files import schema
from plumbrise.files.harness_fields import KEYS
from plumbrise.machine import ARRANGEMENTS, DEFAULTS, STATIONS, Machine, stations_of
from plumbrise.readings.columns import COLUMNS
from plumbrise.readings.kinds import KINDS
from plumbrise.wiring import FINDINGS, PLACES

REFERENCE = Path(__file__).resolve().parents[1] / "docs" / "reference"
MADE = "<!-- Made by scripts/reference.py from the program's tables. Do not edit. -->"


def commands() -> str:
    """Every command with the help that it gives itself."""
    parts = [
        MADE,
        "# Commands",
        "Each command explains itself with `--help`. Exit status: 0 done; 1 done and the answer "
        "to a go was no or cannot tell; 2 something given cannot be used, and the message says "
        "what and where.",
    ]
    with click.Context(main, info_name="plumbrise", **main.context_settings) as outer:
        for name, summary in COMMANDS.items():
            command = main.get_command(outer, name)
            assert command is not None
            context = click.Context(command, info_name=name, parent=outer, terminal_width=80)
            shown = command.get_help(context)
            parts += [f"## plumbrise {name}", summary, f"```text\n{shown}\n```"]
            for part, within in getattr(command, "commands", {}).items():
                inner = click.Context(within, info_name=part, parent=context, terminal_width=80)
                parts += [
                    f"### plumbrise {name} {part}",
                    f"```text\n{within.get_help(inner)}\n```",
                ]
    return _page(parts)


def columns() -> str:
    """The readings table."""
    rows = [
        (
            f"`{column.name}`",
            column.unit,
            "yes" if column.required else "",
            _choices(column.words, column.choices),
            _ticked(column.other_names),
        )
        for column in COLUMNS
    ]
    return _page(
        [
            MADE,
            "# The readings table",
            "CSV in UTF-8, one header row, one reading a row; a spreadsheet makes it. Semicolons "
            "and decimal commas are read too, and the answer says what was assumed. Unknown "
            "columns are kept and named.",
            _table(("column", "unit", "required", "meaning", "also read as"), rows),
            "A short table needs only what was told and what was read: see "
            "[Paste a short table](../how-to/paste-a-short-table.md).",
        ]
    )


def test_kinds() -> str:
    """What can be done at the machine."""
    rows = [
        (
            f"`{kind.id}`",
            kind.words,
            str(kind.fewest),
            "yes" if kind.homes else "",
            "yes" if kind.moves else "",
        )
        for kind in KINDS.values()
    ]
    return _page(
        [
            MADE,
            "# Test kinds",
            "The word in the column `test`. With fewer readings than stated nothing is said of a "
            "run.",
            _table(("kind", "what is done", "fewest readings", "homes first", "moves"), rows),
        ]
    )


def stations() -> str:
    """Where the gauge's tip rests."""
    rows = [
        (f"`{station.id}`", station.seen, "yes" if station.follows_command else "")
        for station in STATIONS.values()
    ]
    walks = [
        f"**{a.title}** (`{a.id}`): " + ", ".join(f"`{s.id}`" for s in stations_of(a)) + "."
        for a in ARRANGEMENTS.values()
    ]
    return _page(
        [
            MADE,
            "# Stations",
            "The word in the column `station`: where the gauge's tip rests. Every station is a "
            "boundary between two links of the load path. Where a station follows the command, "
            "the told motion itself is seen there.",
            _table(("station", "what the gauge sees", "follows the command"), rows),
            "## In walking order",
            *walks,
        ]
    )


def causes() -> str:
    """What can be wrong."""
    rows = [
        (
            f"`{cause.id}`",
            cause.title,
            LINKS.get(cause.link, "") if cause.link else "",
            cause.words,
            cause.needs,
            cause.remedy,
        )
        for cause in CAUSES.values()
    ]
    links = [(f"`{link}`", title) for link, title in LINKS.items()]
    return _page(
        [
            MADE,
            "# Causes",
            "What an explanation weighs. [Causes and evidence](../methods/causes-and-evidence.md) tells how, and "
            "which of them look alike from where.",
            _table(
                (
                    "cause",
                    "name",
                    "link",
                    "what happens",
                    "cannot be seen without",
                    "cheapest remedy",
                ),
                rows,
            ),
            "## Links of the load path",
            _table(("link", "name"), links),
        ]
    )


def machine_file() -> str:
    """Every key of a machine file, with its default and the trust in it."""
    parts = [
        MADE,
        "# The machine file",
        "TOML, one table a part, the unit in each key. Only `arrangement` is required. What is "
        "left out takes the default of these tables, counted as less certain the less its source "
        "is trusted: measured, handbook, common practice, guess. A lead is never assumed: what "
        'needs it is "cannot tell yet" without it. One `[screw]` table (nut, coupling, bearing, '
        "motor) speaks for every screw; `[screw.right]` overrides one.",
        _table(
            ("key", "meaning"),
            [
                ("`format`", "1"),
                ("`name`, `note`", "free text"),
                ("`arrangement`", _ticked(ARRANGEMENTS)),
            ],
        ),
    ]
    hints = typing.get_type_hints(Machine, include_extras=True)
    for part in fields(Machine):
        described = _part(hints[part.name])
        if described is None:
            continue
        inner = typing.get_type_hints(described, include_extras=True)
        rows = []
        for field in fields(described):
            default = DEFAULTS.get(f"{part.name}.{field.name}")
            rows.append(
                (
                    f"`{field.name}`",
                    _allowed(inner[field.name]),
                    f"{default.value} {default.unit}".strip() if default else "",
                    str(default.trust) if default else "",
                )
            )
        parts += [
            f"## {part.name}",
            " ".join((described.__doc__ or "").split()),
            _table(("key", "allowed", "if left out", "trust"), rows),
        ]
    return _page(parts)


def harness_file() -> str:
    """Every key of a harness file, and everything that can be found in one."""
    heads = {
        "": "Before the first table",
        "meter": "[meter]",
        "drive": "[drive]",
        "line": "[[line]], one for each motor",
        "board": "board, within a line",
        "cable": "cable, within a line",
        "motor": "motor, within a line",
        "measured": "measured, rows within a line or [drive]",
    }
    parts = [
        MADE,
        "# The harness file",
        "TOML. Contacts are counted from 1 on each plug as seen from its wire side, latch up, left "
        "to right; empty places count. What is not known is left out: it costs certainty, never an "
        "error. Each row of `measured` says one thing: `ohm`, `open` or `joined`, or which shaft "
        "was stiff while two contacts were bridged.",
        "Where the meter is held: "
        + "; ".join(f"`{place}`, {words}" for place, words in PLACES.items())
        + ".",
    ]
    for table, head in heads.items():
        rows = [
            (f"`{key.name}`", key.words, key.allowed, f"`{key.example}`")
            for key in KEYS
            if key.table == table
        ]
        parts += [f"## {head}", _table(("key", "meaning", "allowed", "example"), rows)]
    found = [
        (f"`{kind.id}`", kind.title, kind.words, "yes" if kind.refuses else "")
        for kind in FINDINGS.values()
    ]
    parts += [
        "## What can be found",
        _table(("finding", "name", "what it is", "power must wait"), found),
    ]
    return _page(parts)


def hazards() -> str:
    """The cautions, in full."""
    parts = [MADE, "# Before you touch it", DEFER]
    for hazard in HAZARDS.values():
        parts += [f"## {hazard.title}", hazard.words]
    return _page(parts)


def priors() -> str:
    """What is believed before anything was read."""
    rows = [
        (
            f"`{one.name}`",
            one.unit,
            one.scale.value,
            _bell(one.sound),
            _bell(one.faulty),
            f"`{one.cause}`" if one.cause else "",
            str(one.trust),
        )
        for one in TABLE
    ]
    linear = [
        (f"`{one.cause}`", one.unit, f"{one.sound:g}", f"{one.faulty:g}") for one in LINEAR.values()
    ]
    signs = ("offset", "odds", "gap", "over", "misfit", "doubt")
    maps = [
        (name, *(f"{getattr(one, sign):g}" for sign in signs), f"{100 * one.most:.0f} %")
        for name, one in MAPS.items()
    ]
    offsets = [
        (f"`{cause}`", *(f"{one.of_cause.get(cause, 0.0):g}" for one in MAPS.values()))
        for cause in CAUSES
    ]
    return _page(
        [
            MADE,
            "# What is believed beforehand",
            "Middle and spread of each parameter, on the scale that stands beside it (a spread of "
            "0.5 of the logarithm is a factor of 1.6 either way). Judgement from common practice "
            "unless the trust says otherwise; what the machine file gives replaces it. Every cause "
            f"is there beforehand with {100 * CHANCE:.0f} %.",
            _table(("parameter", "unit", "scale", "sound", "faulty", "cause", "trust"), rows),
            "## Terms added to the reading",
            "Middle 0; the spread when sound and when the cause is there.",
            _table(("cause", "unit", "sound", "faulty"), linear),
            "## From computed to stated",
            "Stated log odds are the sum of an offset, that of the cause, and each sign times its "
            "weight: the computed log odds, the root of the gap in log evidence between the best "
            "set with the cause and the best without, the logarithm of what it takes over what "
            "would matter, the logarithm of what is left over by what was expected; doubt times "
            "that flattens the computed odds. Never more than the last column.",
            _table(
                ("session", "offset", "log odds", "gap", "size", "misfit", "doubt", "at most"), maps
            ),
            "Offsets of single causes:",
            _table(("cause", *MAPS), offsets),
        ]
    )


def _bell(bell: Bell | None) -> str:
    return "" if bell is None else f"{bell[0]:g} (spread {bell[1]:g})"


def results() -> str:
    """The JSON that commands print, from its schemas."""
    parts = [
        MADE,
        "# Results in JSON",
        "What `analyse --json`, `explain --json`, `foresee --json`, `size KIND --json`, "
        "`wiring --json`, `build --json`, `prove --json` and `shelf ... --json` print. "
        "`version` changes when a key changes its meaning or goes; new keys may come at any time. "
        'The schemas are shipped with the program: `plumbrise.files.schema("explanation")`. What '
        "is not known is null.",
    ]
    shelf = ("shelf-list", "shelf-import", "shelf-export", "shelf-backup")
    for name in (
        "explanation",
        "analysis",
        "forecast",
        "spacing",
        "wiring",
        "work-order",
        "proof",
        "sheet",
        *shelf,
    ):
        whole = schema(name)
        parts += [f"## {whole['title']}", whole.get("description", "")]
        parts.append(_table(("key", "type", "meaning"), _keys(whole, whole, "")))
    return _page(parts)


def _keys(node: dict[str, Any], whole: dict[str, Any], prefix: str) -> list[tuple[str, ...]]:
    """A line for each key, keys inside a list or an object under it."""
    rows: list[tuple[str, ...]] = []
    for key, value in node.get("properties", {}).items():
        found = _followed(value, whole)
        items = _followed(found.get("items", {}), whole)
        words = value.get("description", "") or found.get("description", "")
        rows.append((f"`{prefix}{key}`", _kind(found, items), words))
        rows += _keys(found, whole, f"{prefix}{key}.")
        rows += _keys(items, whole, f"{prefix}{key}[].")
    return rows


def _followed(node: dict[str, Any], whole: dict[str, Any]) -> dict[str, Any]:
    if "$ref" in node:
        found: dict[str, Any] = whole["$defs"][node["$ref"].rpartition("/")[2]]
        return found
    for one in node.get("anyOf", ()):
        if one.get("type") != "null":
            return _followed(one, whole)
    return node


def _kind(node: dict[str, Any], items: dict[str, Any]) -> str:
    if "const" in node:
        return str(node["const"])
    if "enum" in node:
        return _ticked(str(one) for one in node["enum"] if one is not None)
    named = node.get("type", "")
    if isinstance(named, list):
        named = " or ".join(named)
    if named == "array":
        return f"list of {items.get('type', 'values')}s".replace("ss", "s")
    return str(named)


PAGES: dict[str, Callable[[], str]] = {
    "commands.md": commands,
    "machine-file.md": machine_file,
    "harness-file.md": harness_file,
    "readings-table.md": columns,
    "test-kinds.md": test_kinds,
    "stations.md": stations,
    "causes.md": causes,
    "priors.md": priors,
    "hazards.md": hazards,
    "results.md": results,
}


def _page(parts: Iterable[str]) -> str:
    return "\n\n".join(parts) + "\n"


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def _ticked(words: Iterable[str]) -> str:
    return ", ".join(f"`{word}`" for word in words)


def _choices(words: str, choices: tuple[str, ...]) -> str:
    return f"{words} {_ticked(choices)}." if choices else words


def _part(hint: Any) -> type | None:
    """The dataclass behind `Screw`, `PerSide[Screw]` or `Drive | None`."""
    for inner in (hint, *get_args(hint)):
        if (
            is_dataclass(inner)
            and isinstance(inner, type)
            and inner.__module__ == "plumbrise.machine.description"
        ):
            return inner
    return None


def _allowed(hint: Any) -> str:
    """A field's type in words."""
    if get_origin(hint) in (typing.Union, types.UnionType):
        return " or ".join(_allowed(one) for one in get_args(hint) if one is not type(None))
    if get_origin(hint) is Literal:
        return _ticked(get_args(hint))
    if get_origin(hint) is Annotated:
        base, *limits = get_args(hint)
        return ", ".join([_allowed(base), *map(_limit, limits)])
    if get_origin(hint) is tuple:
        return "lines of text"
    return {float: "number", int: "whole number", bool: "true or false", str: "text"}[hint]


def _limit(limit: object) -> str:
    match limit:
        case annotated_types.Gt(gt=low):
            return f"above {low}"
        case annotated_types.Ge(ge=low):
            return f"{low} or more"
        case annotated_types.Le(le=high):
            return f"at most {high}"
    raise TypeError(limit)


if __name__ == "__main__":
    for name, make in PAGES.items():
        (REFERENCE / name).write_text(make(), encoding="utf-8", newline="\n")
