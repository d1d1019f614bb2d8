"""What a calculator asks, and the check of what it is given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from math import isfinite

from plumbrise.errors import InputError, InputErrors

Value = float | int | str | tuple["Given", ...] | None
"""A number, a word of a choice, items of a list, or nothing (asked for, but not known)."""


class Trust(Enum):
    """Where a value comes from, best first."""

    GIVEN = "given"
    MEASURED = "measured"
    HANDBOOK = "handbook"
    COMMON_PRACTICE = "common practice"
    GUESS = "guess"

    def __str__(self) -> str:
        return self.value


@dataclass(frozen=True, slots=True)
class Asked:
    """One input of a calculator.

    `name` holds the unit as Python writes it (`span_mm`); the option is made from it. Without a
    default it must be given, unless it is `optional`: then it is None to the calculator. Exactly
    one of these kinds: a number (`low` to `high`, both allowed; `whole` for counts), a word
    (`choices`), items of a list (`each`: the fields of one item, typed as a:b:c in this order,
    the last ones left out where they have defaults; at least `fewest` items), or, without any of
    unit, limits, choices and fields, a free name.
    """

    name: str
    words: str
    unit: str = ""
    default: float | int | str | None = None
    trust: Trust = Trust.GUESS
    low: float | None = None
    high: float | None = None
    whole: bool = False
    choices: tuple[str, ...] = ()
    each: tuple[Asked, ...] = ()
    fewest: int = 0
    optional: bool = False
    group: str = ""
    """Heading in the help, the same for inputs that belong together."""
    field: str = ""
    """Field of the machine file that answers it, such as guide.span_mm."""
    factor: float | None = None
    """How far the default may be off either way, where its trust does not tell well enough; 1 for
    what a person chooses, which is not off at all. So is what is allowed (`allowed_sag_mm`)."""

    @property
    def free(self) -> bool:
        """True for a name that may be any text."""
        numeric = self.unit or self.low is not None or self.high is not None
        return not (numeric or self.choices or self.each)

    @property
    def allowed(self) -> str:
        """What may be given, in words: "1 to 500 mm", "left or right"."""
        if self.free:
            return "a name"
        if self.choices:
            return either(self.choices)
        if self.each:
            return f"{self.shape}, {self.fewest} or more of them,"
        unit = f" {self.unit}" if self.unit else ""
        noun = "a whole number" if self.whole else "a number"
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}{unit}"
        if self.low is not None:
            return f"{noun} of {self.low:g}{unit} or more"
        if self.high is not None:
            return f"{noun} up to {self.high:g}{unit}"
        return f"{noun}{f' in {self.unit}' if self.unit else ''}"

    @property
    def shape(self) -> str:
        """How one item of a list is typed: "name:length_mm[:plus_mm]"."""
        first, *others = self.each
        return first.name + "".join(
            f":{a.name}" if a.default is None and not a.optional else f"[:{a.name}]" for a in others
        )


@dataclass(frozen=True, slots=True)
class Given:
    """Inputs that have been checked, by name. The readers say what type is meant."""

    values: Mapping[str, Value]

    def number(self, name: str) -> float:
        """A number that is known."""
        value = self.values[name]
        assert isinstance(value, int | float), name
        return value

    def count(self, name: str) -> int:
        """A whole number that is known."""
        return int(self.number(name))

    def known(self, name: str) -> float | None:
        """A number, or None where an optional one was left out."""
        return None if self.values[name] is None else self.number(name)

    def word(self, name: str) -> str:
        """The word chosen, or free text."""
        value = self.values[name]
        assert isinstance(value, str), name
        return value

    def items(self, name: str) -> tuple[Given, ...]:
        """The items of a list, each with its fields."""
        value = self.values[name]
        assert isinstance(value, tuple), name
        return value


def checked(asked: Sequence[Asked], values: Mapping[str, object], place: str = "") -> Given:
    """Values that are all allowed, defaults filled in.

    Raises:
        InputErrors: each that is not, or is not known here, or is missing.
    """
    names = {a.name for a in asked}
    problems: list[InputError] = [
        InputError(place=place + name, value=value, allowed=either(sorted(names)),
                   remedy="Correct the name.")
        for name, value in values.items()
        if name not in names
    ]  # fmt: skip
    found: dict[str, Value] = {}
    for one in asked:
        try:
            found[one.name] = _one(one, values.get(one.name), place)
        except InputError as problem:
            problems.append(problem)
        except InputErrors as several:
            problems += several.problems
    if problems:
        raise InputErrors(problems)
    return Given(found)


def _one(asked: Asked, value: object, place: str) -> Value:
    """One value, allowed, or its default."""
    if asked.each:
        return _items(asked, () if value is None else value, place)
    if value is None:
        if asked.default is None and not asked.optional:
            raise _refusal(asked, "nothing", place, f"Give it: {asked.words}.")
        return asked.default
    if asked.choices:
        if value not in asked.choices:
            raise _refusal(asked, value, place, "Use one of these words.")
        return str(value)
    if asked.free and isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise _refusal(asked, value, place, "Give a number.")
    below = asked.low is not None and value < asked.low
    above = asked.high is not None and value > asked.high
    if below or above or (asked.whole and value != int(value)):
        raise _refusal(asked, value, place, f"It is {asked.words}.")
    return int(value) if asked.whole else value


def _items(asked: Asked, value: object, place: str) -> tuple[Given, ...]:
    if not isinstance(value, list | tuple) or len(value) < asked.fewest:
        raise _refusal(asked, value, place, f"It is {asked.words}.")
    return tuple(
        checked(asked.each, item, f"{place}{asked.name} {number}, ")
        for number, item in enumerate(value, start=1)
    )


def _refusal(asked: Asked, value: object, place: str, remedy: str) -> InputError:
    return InputError(place=place + asked.name, value=value, allowed=asked.allowed, remedy=remedy)


def either(words: tuple[str, ...] | list[str]) -> str:
    """Words as a choice: "a, b or c".

    Example:
        >>> either(("left", "right"))
        'left or right'
    """
    return f"{', '.join(words[:-1])} or {words[-1]}" if len(words) > 1 else "".join(words)
