"""The lines that a digital indicator sends: their pattern learnt from samples, and one line read.

A line either fits the pattern whole or holds no value: nothing is guessed from a damaged line.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Literal

from plumbrise.errors import InputError
from plumbrise.quantity import INCH_MM

LengthUnit = Literal["mm", "inch"]

FEWEST_SAMPLES = 3
ODD_SHARE = 0.2
"""Of the samples so many may be damaged: a capture often starts in the middle of a line."""
MOST_STATE_LETTERS = 4
MOST_WHOLE_DIGITS = 6
_UNITS: dict[str, LengthUnit] = {"mm": "mm", "in": "inch", "inch": "inch", '"': "inch"}
_TEMPLATE = re.compile(r"\{\{|\}\}|\{([^{}]*)\}|[{}]")
_SPACES = re.compile(r"[ \t]+")


class PartKind(Enum):
    """What one part of a line is."""

    TEXT = "text"
    VALUE = "value"
    NUMBER = "number"
    UNIT = "unit"
    STATE = "state"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a line. `text` is for TEXT; for VALUE there are `decimals`, the decimal `mark`,
    and `bare` where the value may begin with that mark, as in -.125."""

    kind: PartKind
    text: str = ""
    decimals: int = 0
    mark: str = "."
    bare: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePattern:
    """How one indicator writes its lines.

    `unit` counts where the line does not name one. `sign` is -1 where the indicator counts down
    when the part it stands on goes up. `count_mm` is the size of one count of an indicator that
    sends whole numbers. `length` is held where every line has the same number of characters.
    """

    parts: tuple[Part, ...]
    unit: LengthUnit = "mm"
    sign: Literal[1, -1] = 1
    count_mm: float | None = None
    length: int | None = None

    @property
    def template(self) -> str:
        """The pattern as a person may write it; `from_template` reads it back."""
        return "".join(_written(part) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Value:
    """One value read from a line, mm; `resolution_mm` is one count of its last digit."""

    mm: float
    resolution_mm: float
    state: str = ""


def parse(pattern: LinePattern, line: str) -> Value | None:
    """The value that a line holds, or None when the line does not fit the pattern whole.

    Example:
        >>> pattern = from_template("1A{value:3} {unit} {state}")
        >>> parse(pattern, "1A-0.125 mm H")
        Value(mm=-0.125, resolution_mm=0.001, state='H')
        >>> parse(pattern, "1A-0.12") is None
        True
    """
    line = line.rstrip("\r\n")
    if pattern.length is not None and len(line) != pattern.length:
        return None
    found = _expression(pattern.parts).fullmatch(line)
    if found is None:
        return None
    held = found.groupdict()
    decimals = next(part.decimals for part in pattern.parts if part.kind is PartKind.VALUE)
    number = float(f"{held['sign']}{held['whole'] or '0'}.{held.get('after') or '0'}")
    unit = _UNITS[held["unit"].lower()] if held.get("unit") else pattern.unit
    factor = pattern.count_mm or (INCH_MM if unit == "inch" else 1.0)
    places = decimals + 6  # what a product with 25.4 leaves over is not the indicator's
    mm = round(pattern.sign * number * factor, places)
    return Value(mm + 0.0, round(factor * 10.0**-decimals, places), held.get("state") or "")


def learn(
    samples: Sequence[str],
    *,
    unit: LengthUnit | None = None,
    sign: Literal[1, -1] = 1,
    count_mm: float | None = None,
) -> LinePattern:
    """The pattern behind some lines, taken while the plunger stood at different places.

    Args:
        samples: three lines or more with at least two different values.
        unit: mm or inch where the lines do not name one; mm if left out.
        sign: -1 where the indicator counts down when its part goes up.
        count_mm: size of one count, for an indicator that sends whole numbers.

    Raises:
        InputError: too few lines; no number, or none that varies; more than one that varies; whole
            numbers without `count_mm`; lines too unlike each other; a unit that contradicts.

    Example:
        >>> learn(["+01,250 mm", "+01,300 mm", "-00,005 mm"]).template
        '{value:,3} {unit}'
    """
    lines = [cleaned for sample in samples if (cleaned := sample.replace("\0", "").strip("\r\n"))]
    lines = [line for line in lines if line.strip()]
    if len(lines) < FEWEST_SAMPLES:
        raise _cannot(len(lines), f"{FEWEST_SAMPLES} lines or more", "Send a few more values.")
    mark = "." if any(re.search(r"\.\d", line) for line in lines) else ","
    cut = [_cut(line, mark) for line in lines]
    shapes = Counter(_shape(pieces) for pieces in cut)
    shape, fitting = shapes.most_common(1)[0]
    if fitting < FEWEST_SAMPLES or len(lines) - fitting > ODD_SHARE * len(lines):
        raise _cannot(
            lines[:3],
            "lines that all look alike",
            "Check the baud rate and that one thing only is sent, and take the samples again.",
        )
    kept = [pieces for pieces in cut if _shape(pieces) == shape]
    place = _the_one_that_varies(kept, shape, count_mm)
    parts = tuple(
        part
        for index in range(len(shape))
        for part in _part(index, place, kept, decimals=max(shape[index], 0), mark=mark)
    )
    found = LinePattern(parts=parts, unit=unit or "mm", sign=sign, count_mm=count_mm)
    whole = [line for line, pieces in zip(lines, cut, strict=True) if _shape(pieces) == shape]
    found = _held_to_length(_in_one_unit(found, unit, count_mm), whole, place)
    first = parse(found, whole[0])
    said = {_unit_of(found, line) for line in whole} - {None}
    if unit is not None and said - {unit}:
        raise _cannot(whole[0], f"lines in {unit}", "Leave the unit out: the lines name it.")
    if first is None:
        raise _cannot(whole[0], "lines with one clear value", "Give the pattern yourself.")
    return found


def _unit_of(pattern: LinePattern, line: str) -> LengthUnit | None:
    found = _expression(pattern.parts).fullmatch(line)
    word = found.groupdict().get("unit") if found else None
    return _UNITS[word.lower()] if word else None


def from_template(
    template: str,
    *,
    unit: LengthUnit = "mm",
    sign: Literal[1, -1] = 1,
    count_mm: float | None = None,
    length: int | None = None,
) -> LinePattern:
    """A pattern that a person gives: text as it stands, and names in braces for what changes.

    {value:3} is the value with three decimals, {value:,3} with a decimal comma, {value:-3} where
    it may begin with its decimal mark, {value} a whole number of counts; {unit} is mm or in;
    {state} is up to four letters; {number} is a whole number that does not matter; {{ and }} are
    braces.

    Raises:
        InputError: no value or more than one, an unknown name, or a value without decimals for
            which `count_mm` is not given.

    Example:
        >>> parse(from_template("{number};{value:,2}"), "7;-1,25").mm
        -1.25
    """
    parts: list[Part] = []
    start = 0
    for mark in _TEMPLATE.finditer(template):
        parts += _texts(template[start : mark.start()])
        parts.append(_named(mark, template))
        start = mark.end()
    parts += _texts(template[start:])
    values = [part for part in parts if part.kind is PartKind.VALUE]
    if len(values) != 1:
        raise _bad_template(template, "exactly one {value:...}")
    kinds = Counter(part.kind for part in parts)
    if max(kinds[PartKind.UNIT], kinds[PartKind.STATE]) > 1:
        raise _bad_template(template, "{unit} and {state} once each")
    if values[0].decimals == 0 and count_mm is None:
        raise _bad_template(template, "{value:3} for three decimals, or the size of one count")
    return LinePattern(parts=_joined(parts), unit=unit, sign=sign, count_mm=count_mm, length=length)


# A line cut into pieces: texts at even places, numbers at odd ones.


def _cut(line: str, mark: str) -> tuple[str, ...]:
    number = rf"(?:[+-][ \t]*)?(?:\d*{re.escape(mark)}\d+|\d+)"
    return tuple(re.split(f"({number})", line))


def _shape(pieces: tuple[str, ...]) -> tuple[int, ...]:
    """Decimals of each number, -1 for each text."""
    return tuple(
        len(re.split(r"[.,]", piece)[1]) if re.search(r"[.,]\d", piece) else 0 if index % 2 else -1
        for index, piece in enumerate(pieces)
    )


def _the_one_that_varies(
    kept: list[tuple[str, ...]], shape: tuple[int, ...], count_mm: float | None
) -> int:
    numbers = range(1, len(shape), 2)
    if not numbers:
        raise _cannot(kept[0][0], "lines with a number", "Switch the indicator's output on.")
    varying = [i for i in numbers if len({_SPACES.sub("", pieces[i]) for pieces in kept}) > 1]
    if not varying:
        raise _cannot(
            "".join(kept[0]),
            "samples with different values",
            "Move the plunger between the samples, so that the value can be told from the rest.",
        )
    if len(varying) > 1:
        shown = " and ".join(kept[-1][i].strip() for i in varying[:3])
        raise _cannot(
            shown,
            "one number that varies",
            "Switch off counter or clock at the indicator, or give the pattern yourself.",
        )
    place = varying[0]
    if shape[place] == 0 and count_mm is None:
        raise _cannot(
            kept[0][place].strip(),
            "a value with decimals, or the size of one count",
            "Say how many mm one count is.",
        )
    return place


def _part(
    index: int, place: int, kept: list[tuple[str, ...]], decimals: int, mark: str
) -> list[Part]:
    if index == place:
        starts_bare = any(re.match(r"[+-]?[ \t]*[.,]", pieces[index]) for pieces in kept)
        return [Part(PartKind.VALUE, decimals=decimals, mark=mark, bare=starts_bare)]
    texts = {_SPACES.sub(" ", pieces[index]) for pieces in kept}
    if index % 2 == 0 and index in (0, len(kept[0]) - 1):
        texts = {text.strip() if text.strip() == "" else text for text in texts}
    if len(texts) == 1:
        return _texts_with_unit(texts.pop())
    bare = {text.strip() for text in texts}
    if len(bare) == 1:
        return _texts_with_unit(f" {bare.pop()} ")
    if all(text.lower() in _UNITS for text in bare):
        return [Part(PartKind.TEXT, " "), Part(PartKind.UNIT)]
    return _text_that_varies(bare)


def _text_that_varies(bare: set[str]) -> list[Part]:
    """A unit that is always there may stand before letters that change."""
    words = [text.split(" ") for text in bare]
    if all(word[0].lower() in _UNITS for word in words):
        states = {" ".join(word[1:]) for word in words}
        lead = [Part(PartKind.TEXT, " "), Part(PartKind.UNIT), Part(PartKind.TEXT, " ")]
    else:
        states, lead = bare, [Part(PartKind.TEXT, " ")]
    if not all(re.fullmatch(rf"[A-Za-z*#!?]{{0,{MOST_STATE_LETTERS}}}", text) for text in states):
        raise _cannot(
            sorted(states)[:3],
            f"text that stays the same, or up to {MOST_STATE_LETTERS} letters of state",
            "Check the baud rate and take the samples again, or give the pattern yourself.",
        )
    return [*lead, Part(PartKind.STATE), Part(PartKind.TEXT, " ")]


def _texts(text: str) -> list[Part]:
    return [Part(PartKind.TEXT, _SPACES.sub(" ", text))] if text else []


def _texts_with_unit(text: str) -> list[Part]:
    """A text, with a unit that stands alone in it as its own part."""
    found = re.search(r'(?<![A-Za-z])(mm|inch|in|")(?![A-Za-z])', text, re.IGNORECASE)
    if found is None:
        return _texts(text)
    before, after = text[: found.start()], text[found.end() :]
    return [*_texts(before), Part(PartKind.UNIT), *_texts(after)]


def _in_one_unit(
    found: LinePattern, unit: LengthUnit | None, count_mm: float | None
) -> LinePattern:
    units = [part for part in found.parts if part.kind is PartKind.UNIT]
    if units and count_mm is not None:
        raise _cannot(
            count_mm, "no size of a count where the lines name a unit", "Leave the size out."
        )
    if len(units) > 1:
        raise _cannot(found.template, "one unit in a line", "Give the pattern yourself.")
    return LinePattern(
        parts=_joined(list(found.parts)), unit=unit or "mm", sign=found.sign, count_mm=count_mm
    )


def _held_to_length(found: LinePattern, lines: list[str], place: int) -> LinePattern:
    """Hold the length where the value is padded to a width: a lost character then shows."""
    lengths = {len(line) for line in lines}
    mark = next(part.mark for part in found.parts if part.kind is PartKind.VALUE)
    values = [_cut(line, mark)[place].lstrip("+- \t") for line in lines]
    zeros = any(re.match(r"0\d", value) for value in values)
    spaces = len({len(value) for value in values}) > 1
    if len(lengths) > 1 or not (zeros or spaces):
        return found
    return LinePattern(
        parts=found.parts,
        unit=found.unit,
        sign=found.sign,
        count_mm=found.count_mm,
        length=lengths.pop(),
    )


# The template, and the expression that a line must fit.


def _named(mark: re.Match[str], template: str) -> Part:
    if mark[0] in ("{{", "}}"):
        return Part(PartKind.TEXT, mark[0][0])
    name, _, rest = (mark[1] or "").partition(":")
    if name == "value" and (not rest or re.fullmatch(r"-?[.,]?[1-6]", rest)):
        return Part(
            PartKind.VALUE,
            decimals=int(rest[-1]) if rest else 0,
            mark="," if "," in rest else ".",
            bare="-" in rest,
        )
    kinds = {"number": PartKind.NUMBER, "unit": PartKind.UNIT, "state": PartKind.STATE}
    if name not in kinds or rest or mark[1] is None:
        raise _bad_template(template, "{value:3}, {value:,3}, {unit}, {state} and {number}")
    return Part(kinds[name])


def _joined(parts: list[Part]) -> tuple[Part, ...]:
    """Neighbouring texts as one, so that two ways to the same pattern are equal."""
    made: list[Part] = []
    for part in parts:
        if made and part.kind is PartKind.TEXT is made[-1].kind:
            made[-1] = Part(PartKind.TEXT, _SPACES.sub(" ", made[-1].text + part.text))
        else:
            made.append(part)
    if made and made[0].kind is PartKind.TEXT:
        made[0] = Part(PartKind.TEXT, made[0].text.lstrip())
    if made and made[-1].kind is PartKind.TEXT:
        made[-1] = Part(PartKind.TEXT, made[-1].text.rstrip())
    return tuple(part for part in made if part.kind is not PartKind.TEXT or part.text)


def _written(part: Part) -> str:
    if part.kind is PartKind.TEXT:
        return part.text.replace("{", "{{").replace("}", "}}")
    if part.kind is PartKind.VALUE and part.decimals:
        mark = "," if part.mark == "," else ""
        return f"{{value:{'-' if part.bare else ''}{mark}{part.decimals}}}"
    return f"{{{part.kind.value}}}"


_NUMBERS = (PartKind.VALUE, PartKind.NUMBER)
_FIXED = {
    PartKind.NUMBER: r"[+-]?\d+",
    PartKind.UNIT: r'(?P<unit>mm|inch|in|")',
    PartKind.STATE: rf"(?P<state>[A-Za-z*#!?]{{0,{MOST_STATE_LETTERS}}})",
}


@lru_cache(maxsize=64)
def _expression(parts: tuple[Part, ...]) -> re.Pattern[str]:
    made = [r"[ \t]*"]
    after_digit = False
    for index, part in enumerate(parts):
        number_next = index + 1 < len(parts) and parts[index + 1].kind in _NUMBERS
        if part.kind is PartKind.TEXT:
            words = [re.escape(word) for word in part.text.split(" ")]
            glued = part.text.endswith(" ") and number_next
            if glued and (part.text.rstrip()[-1:].isdigit() or (part.text == " " and after_digit)):
                # two numbers need a gap or a sign between them: else one loses digits to the other
                made.append(r"[ \t]*".join(words[:-1]) + r"(?:[ \t]+|(?=[+-]))")
            else:
                made.append(r"[ \t]*".join(words))
        elif part.kind is PartKind.VALUE:
            fewest = 0 if part.bare else 1
            made.append(rf"(?P<sign>[+-]?)[ \t]*(?P<whole>\d{{{fewest},{MOST_WHOLE_DIGITS}}})")
            if part.decimals:
                made.append(rf"{re.escape(part.mark)}(?P<after>\d{{{part.decimals}}})")
        else:
            made.append(_FIXED[part.kind])
        after_digit = part.kind in _NUMBERS
    made.append(r"[ \t]*")
    return re.compile("".join(made), re.IGNORECASE | re.ASCII)


def _cannot(value: object, allowed: str, remedy: str) -> InputError:
    return InputError(place="samples", value=value, allowed=allowed, remedy=remedy)


def _bad_template(template: str, allowed: str) -> InputError:
    return InputError(
        place="pattern",
        value=template,
        allowed=allowed,
        remedy="Write the line as the indicator sends it, with {value:3} for the value.",
    )
