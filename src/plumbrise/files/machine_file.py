"""The machine file: TOML to `Machine`, every fault told with its line."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.key_lines import key_lines
from plumbrise.files.machine_faults import listed, nearest, plain_word, sentence
from plumbrise.files.machine_fields import FIELDS, FORMAT, PARTS, PER_SIDE
from plumbrise.files.machine_sense import impossible
from plumbrise.files.toml_text import at_line, parsed, told_within, without_mark
from plumbrise.machine.arrangements import ARRANGEMENTS, SIDES, Arrangement
from plumbrise.machine.description import Machine, PerSide

if TYPE_CHECKING:
    from pydantic import TypeAdapter

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
    with told_within(name):
        text = without_mark(text)
        return _Reader(parsed(text, what="machine"), key_lines(text)).machine()


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
        self.problems.append(at_line(problem, path, self.lines))

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
        if isinstance(given, str) and plain_word(given) in ARRANGEMENTS:
            return ARRANGEMENTS[plain_word(given)]
        remedy = "Say how many screws carry the moving part."
        if isinstance(given, str):
            remedy = nearest(plain_word(given), ARRANGEMENTS) or remedy
        self._wrong(
            ("arrangement",),
            InputError(
                place="arrangement",
                value="" if given is None else given,
                allowed=listed(ARRANGEMENTS),
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
                        allowed=listed(names),
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
                allowed="no side" if one else listed(arrangement.sides),
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
                    self._wrong((*path, key), sentence(part, path, key, own[key]))
            return None


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
            value = plain_word(value)
        made[key] = value
    return json.dumps(made, default=str)
