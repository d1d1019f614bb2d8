"""The machine file: TOML to `Machine`, and back with a comment for every field."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from functools import cache
from typing import TYPE_CHECKING, Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.key_lines import key_lines
from plumbrise.files.machine_fields import FIELDS, PARTS, PER_SIDE, Field, stem_of
from plumbrise.files.machine_sense import impossible
from plumbrise.machine.arrangements import ARRANGEMENTS, SIDES, Arrangement
from plumbrise.machine.description import Machine, PerSide
from plumbrise.quantity import typed

if TYPE_CHECKING:
    from pydantic import TypeAdapter

FORMAT = 1
LARGEST_TEXT = 1_000_000
TOP = ("format", "name", "note", "arrangement", "invented")
"""Keys that stand before the first table."""

KeyPath = tuple[str, ...]


def read_machine(text: str, *, name: str) -> Machine:
    """The machine that a TOML text describes.

    Args:
        text: the file's text.
        name: the file's name, for errors.

    Raises:
        InputErrors: all that is wrong, each with its line where one can be told.

    Example:
        >>> read_machine('arrangement = "one-screw"\\nscrew = { lead_mm = 8.0 }',
        ...              name="m.toml").screw.common.lead_mm
        8.0
    """
    try:
        text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
        return _Reader(_parsed(text), key_lines(text)).machine()
    except InputError as problem:
        raise InputErrors([problem.within(name)]) from None
    except InputErrors as problems:
        raise problems.within(name) from None


def machine_from(given: dict[str, Any]) -> Machine:
    """The machine of a tree of tables, as TOML or JSON hold it.

    Raises:
        InputErrors: all that is wrong.
    """
    return _Reader(given, {}).machine()


class _Reader:
    """Collects what is wrong with one text, so that it is all told at once."""

    def __init__(self, given: dict[str, Any], lines: dict[KeyPath, int]) -> None:
        self.given = given
        self.lines = lines
        self.problems: list[InputError] = []

    def machine(self) -> Machine:
        """The machine, or all problems."""
        self._format()
        arrangement = self._arrangement()
        self._unknown_names(self.given, (), (*TOP, *PARTS))
        made: dict[str, Any] = {
            "name": self._text("name"),
            "note": self._text("note"),
            "invented": self._invented(),
        }
        for part in PARTS:
            if part in self.given:
                made[part] = self._part(part, arrangement)
        if self.problems or arrangement is None:
            raise InputErrors(self.problems)
        machine = Machine(arrangement=arrangement, **made)
        for key, problem in impossible(machine):
            self._wrong(key, problem)
        if self.problems:
            raise InputErrors(self.problems)
        return machine

    def _wrong(self, path: KeyPath, problem: InputError) -> None:
        """Keep a problem with its line: that of the key, or of the nearest table above it."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.lines:
                problem = problem.within(f"line {self.lines[path[:end]]}")
                break
        self.problems.append(problem)

    def _format(self) -> None:
        given = self.given.get("format", FORMAT)
        if given != FORMAT or isinstance(given, bool):
            self._wrong(
                ("format",),
                InputError(
                    place="format",
                    value=given,
                    allowed=str(FORMAT),
                    remedy=f"This version of the program reads format {FORMAT}.",
                ),
            )

    def _arrangement(self) -> Arrangement | None:
        given = self.given.get("arrangement")
        if isinstance(given, str) and _plain(given) in ARRANGEMENTS:
            return ARRANGEMENTS[_plain(given)]
        remedy = "Say how many screws carry the moving part."
        if isinstance(given, str):
            remedy = nearest(_plain(given), ARRANGEMENTS) or remedy
        self._wrong(
            ("arrangement",),
            InputError(
                place="arrangement",
                value="" if given is None else given,
                allowed=_or(ARRANGEMENTS),
                remedy=remedy,
            ),
        )
        return None

    def _text(self, key: str) -> str:
        given = self.given.get(key, "")
        if isinstance(given, str):
            return given
        self._wrong(
            (key,),
            InputError(
                place=key, value=given, allowed="text in quotes", remedy=f'Write {key} = "{given}".'
            ),
        )
        return ""

    def _invented(self) -> bool:
        given = self.given.get("invented", False)
        if isinstance(given, bool):
            return given
        self._wrong(
            ("invented",),
            InputError(
                place="invented",
                value=given,
                allowed="true or false",
                remedy="Write true, without quotes, for a machine that does not exist.",
            ),
        )
        return False

    def _unknown_names(self, table: Mapping[str, Any], path: KeyPath, names: Iterable[str]) -> None:
        names = tuple(names)
        for key in table:
            if key not in names:
                here = ".".join((*path, key))
                self._wrong(
                    (*path, key),
                    InputError(
                        place=here,
                        value=key,
                        allowed=_or(names),
                        remedy=nearest(key, names)
                        or "Take the key out, or give it its right name.",
                    ),
                )

    def _part(self, part: str, arrangement: Arrangement | None) -> Any:
        given = self.given[part]
        if not isinstance(given, dict):
            self._wrong(
                (part,),
                InputError(
                    place=part,
                    value=given,
                    allowed="a table",
                    remedy=f"Write a line [{part}] and its keys below it.",
                ),
            )
            return None
        if part not in PER_SIDE:
            return self._validated(part, given, (part,), given)
        common = {k: v for k, v in given.items() if not (k in SIDES and isinstance(v, dict))}
        made = self._validated(part, common, (part,), common)
        overrides = []
        for side in SIDES:
            own = given.get(side)
            if isinstance(own, dict):
                self._side(part, side, arrangement)
                whole = self._validated(part, {**common, **own}, (part, side), own)
                overrides.append((side, whole))
        if part == "screw" and arrangement and len(arrangement.sides) > 1 and "side" in common:
            self._wrong(
                ("screw", "side"),
                InputError(
                    place="screw.side",
                    value=common["side"],
                    allowed="nothing",
                    remedy="A machine with several screws has one on every side: leave it out.",
                ),
            )
        return PerSide(made, tuple(overrides))

    def _side(self, part: str, side: str, arrangement: Arrangement | None) -> None:
        if arrangement is None or (side in arrangement.sides and len(arrangement.sides) > 1):
            return
        one = len(arrangement.sides) == 1
        remedy = f"Move these keys into [{part}]." if one else "Name a side that has a screw."
        self._wrong(
            (part, side),
            InputError(
                place=f"{part}.{side}",
                value=side,
                allowed="no side" if one else _or(arrangement.sides),
                remedy=f"{arrangement.title}. {remedy}",
            ),
        )

    def _validated(
        self, part: str, table: Mapping[str, Any], path: KeyPath, own: Mapping[str, Any]
    ) -> Any:
        """The part; problems are told for the keys of `own` only, the rest is told elsewhere."""
        from pydantic import ValidationError

        try:
            return _adapter(part).validate_json(_as_json(part, table), strict=True)
        except ValidationError as refused:
            told = set()
            for detail in refused.errors(include_url=False):
                key = str(detail["loc"][0]) if detail["loc"] else ""
                if key in own and key not in told:
                    told.add(key)
                    self._wrong((*path, key), _sentence(part, path, key, own[key]))
            return None


def _parsed(text: str) -> dict[str, Any]:
    if len(text) > LARGEST_TEXT:
        raise InputError(
            place="size",
            value=f"{len(text)} characters",
            allowed=f"up to {LARGEST_TEXT} characters",
            remedy="A machine file has some fifty lines: this is another file.",
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise _bad_syntax(text, str(problem)) from None
    except (RecursionError, ValueError):
        raise InputError(
            place="file",
            value=text[:20],
            allowed="TOML",
            remedy="Tables and lists are nested too deep, or a number is too long, for a machine.",
        ) from None


def _bad_syntax(text: str, problem: str) -> InputError:
    """Where TOML ends to be TOML: line and column, and what stands there."""
    found = re.search(r"\(at line (\d+), column (\d+)\)", problem)
    lines = text.splitlines()
    line, column = (int(found[1]), int(found[2])) if found else (max(1, len(lines)), 1)
    what = re.sub(r"\s*\(at .*\)", "", problem).rstrip(".")
    shown = lines[line - 1].strip() if 0 < line <= len(lines) else ""
    remedy = f"{what}."
    if re.search(r"=\s*[-+]?\d+,\d", shown):
        remedy = "Write numbers with a point: 8.5."
    elif re.search(r"=\s*[A-Za-z]", shown) and "alue" in what:
        remedy = "Write words in quotes."
    elif re.search(r"=\s*[-+]?[\d.]+\s*[A-Za-z\"]", shown):
        remedy = "Write the number alone; its unit is part of the key."
    elif "overwrite" in what or "declare" in what:
        remedy = f"{what}: the same key or table stands twice. Keep one."
    return InputError(
        place=f"line {line}, column {column}", value=shown[:60], allowed="TOML", remedy=remedy
    )


@cache
def _adapter(part: str) -> TypeAdapter[Any]:
    from pydantic import ConfigDict, TypeAdapter

    kind = PARTS[part]
    config = ConfigDict(extra="forbid", allow_inf_nan=False)
    if not hasattr(kind, "__pydantic_config__"):
        setattr(kind, "__pydantic_config__", config)  # noqa: B010  (the core knows no pydantic)
    return TypeAdapter(kind)


def _as_json(part: str, table: Mapping[str, Any]) -> str:
    """The table for the strict check: 200.0 becomes a count, "Thrust bearing" a word of ours."""
    made: dict[str, Any] = {}
    for key, value in table.items():
        field = FIELDS.get(f"{part}.{key}")
        if field and field.takes == "count" and isinstance(value, float) and value.is_integer():
            value = int(value)
        elif field and field.takes == "choice" and isinstance(value, str):
            value = _plain(value)
        made[key] = value
    return json.dumps(made, default=str)


def _sentence(part: str, path: KeyPath, key: str, value: Any) -> InputError:
    """What is wrong with one key, in words."""
    place = ".".join((*path, key))
    field = FIELDS.get(f"{part}.{key}")
    if field is None:
        return _unknown_key(part, place, key, value)
    return InputError(
        place=place, value=value, allowed=field.allowed, remedy=_mending(field, value)
    )


def _mending(field: Field, value: Any) -> str:
    if field.takes == "choice":
        near = nearest(_plain(value), field.choices) if isinstance(value, str) else ""
        return near or "Use one of these words, or leave the key out if you do not know."
    if field.takes == "yes-no":
        return "Write true or false without quotes."
    if field.takes == "lines":
        return f"Write {field.name} = [{', '.join(map(_toml, field.example))}], or leave it out."
    if isinstance(value, str) and field.takes == "number" and field.measures:
        try:
            number = typed(value, field.measures, field.key)
        except InputError:
            return "Write a number without quotes, or leave the key out if you do not know."
        return f"Write {field.name} = {number:g}, without quotes."
    if isinstance(value, str):
        return "Write a number without quotes, or leave the key out if you do not know."
    return f"{field.words} Leave the key out if you do not know."


def _unknown_key(part: str, place: str, key: str, value: Any) -> InputError:
    names = [f.name for f in FIELDS.values() if f.part == part]
    remedy = nearest(key, names) or "Take the key out."
    for name in names:
        stem = stem_of(name)
        unit = key.removeprefix(stem).lstrip("_")
        field = FIELDS[f"{part}.{name}"]
        if field.measures and key.startswith(stem) and name != key and not unit.startswith("mm"):
            if not unit:
                remedy = f"Write {name}: the unit, {field.unit}, is part of the key."
                break
            try:
                number = typed(f"{value} {unit.replace('_per_', '/')}", field.measures, place)
                remedy = (
                    f"Write {name} = {number:g}: lengths and forces stand in {field.unit} here."
                )
                remedy = (
                    f"Write {name} = {number:g}; this {field.measures} is given in {field.unit}."
                )
            except InputError:
                continue
            break
    else:
        elsewhere = [f.key for f in FIELDS.values() if f.name == key]
        if elsewhere:
            remedy = f"It belongs to another part: {_or(elsewhere)}."
    return InputError(place=place, value=key, allowed=_or(names), remedy=remedy)


def nearest(given: str, names: Iterable[str]) -> str:
    """ "Did you mean ...?" for a word near to one that is known, else nothing."""
    found = get_close_matches(given, list(names), n=1, cutoff=0.6)
    return f"Did you mean {found[0]}?" if found else ""


def _plain(word: str) -> str:
    return re.sub(r"[\s_]+", "-", word.strip().lower())


def _or(names: Iterable[str]) -> str:
    listed = list(names)
    return listed[0] if len(listed) == 1 else ", ".join(listed[:-1]) + f" or {listed[-1]}"


def write_machine(machine: Machine, *, unknown_as_comments: bool = True) -> str:
    """The machine as TOML with a comment for every field.

    What is not known is left out; with `unknown_as_comments` it stands there as a comment with
    what is assumed instead and how far to trust that.
    """
    lines = [
        f"format = {FORMAT}",
        *([f"name = {_toml(machine.name)}"] if machine.name else []),
        *([f"note = {_toml(machine.note)}"] if machine.note else []),
        *(["invented = true  # this machine does not exist"] if machine.invented else []),
        f"arrangement = {_toml(machine.arrangement.id)}  # {_or(ARRANGEMENTS)}",
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
            rows.append(f"{field.name} = {_toml(value)}  # {_comment(field)}")
        elif unknown and described is not None and _applies(machine, field):
            rows.append(f"# {field.name} = {_unknown(field)}")
    if not rows and not (described is not None and part == "drive"):
        return []
    return ["", f"[{title}]", *rows]


def _override(part: str, side: str, common: Any, own: Any) -> list[str]:
    rows = [
        f"{field.name} = {_toml(getattr(own, field.name))}  # {_comment(field)}"
        for field in FIELDS.values()
        if field.part == part and getattr(own, field.name) != getattr(common, field.name)
    ]
    return ["", f"[{part}.{side}]", *rows]


def _applies(machine: Machine, field: Field) -> bool:
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
    default = field.default
    if default is None:
        return f"{_toml(field.example)}  # {_comment(field)} Not known; nothing is assumed."
    assumed = f"Not known; assumed ({default.trust})."
    return f"{_toml(default.value)}  # {_comment(field)} {assumed}"


def _toml(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return (
            '"'
            + "".join(_ESCAPES.get(c, c) if c >= " " and c != "\x7f" else _code(c) for c in value)
            + '"'
        )
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return repr(value)


_ESCAPES = {'"': '\\"', "\\": "\\\\"}


def _code(character: str) -> str:
    return {"\n": "\\n", "\t": "\\t", "\r": "\\r"}.get(character, f"\\u{ord(character):04x}")
