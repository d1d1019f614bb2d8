"""What a person typed for a calculator's inputs, as values: numbers in any unit, words, items."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from plumbrise.elements.asked import Asked, checked, either
from plumbrise.errors import InputError, InputErrors
from plumbrise.quantity import kind_of, typed


def answered(
    asked: Sequence[Asked],
    texts: Mapping[str, Sequence[str]],
    known: Mapping[str, object] | None = None,
) -> dict[str, object]:
    """Values of the inputs that were typed, in the units of the inputs, beside those known.

    Args:
        asked: the inputs.
        texts: by name of the input; several where it is a list.
        known: values that hold where nothing was typed.

    Raises:
        InputErrors: each text that is no value of its input, and with it all that is wrong with
            the rest. Where every text can be read, limits are left to whoever works the sheet.

    Example:
        >>> answered([Asked("span_mm", "span", "mm")], {"span_mm": ["13.5 in"]})
        {'span_mm': 342.9}
    """
    found: dict[str, object] = dict(known or {})
    problems: list[InputError] = []
    readable = []
    for one in asked:
        try:
            found |= _typed(one, texts.get(one.name, ()))
            readable.append(one)
        except InputError as problem:
            problems.append(problem)
        except InputErrors as several:
            problems += several.problems
    if problems:
        try:
            checked(readable, {one.name: found.get(one.name) for one in readable})
        except InputErrors as several:
            problems += several.problems
        raise InputErrors(problems)
    return found


def _typed(asked: Asked, texts: Sequence[str]) -> dict[str, object]:
    """The value of one input under its name; nothing where nothing was typed."""
    if not texts:
        return {}
    if asked.each:
        return {asked.name: [_item(asked, number, text) for number, text in enumerate(texts, 1)]}
    return {asked.name: _value(asked, texts[-1], asked.name)}


def _item(asked: Asked, number: int, text: str) -> dict[str, object]:
    """The fields of one item, a:b:c; an empty one is left out."""
    place = f"{asked.name} {number}"
    cells = [cell.strip() for cell in text.split(":")]
    if len(cells) > len(asked.each):
        raise InputError(
            place=place, value=text, allowed=asked.shape, remedy="It has more parts than that."
        )
    return {
        one.name: _value(one, cell, f"{place}, {one.name}")
        for one, cell in zip(asked.each, cells, strict=False)
        if cell
    }


def _value(asked: Asked, text: str, place: str) -> float | int | str:
    cleaned = text.strip()
    if asked.free:
        return cleaned
    if asked.choices:
        word = cleaned.lower()
        if word not in asked.choices:
            raise InputError(
                place=place, value=text, allowed=either(asked.choices),
                remedy="Use one of these words.",
            )  # fmt: skip
        return word
    kind = kind_of(asked.unit)
    if kind is None:
        cleaned = cleaned.removesuffix(asked.unit)
    number = typed(cleaned, kind or "its own", place)
    return int(number) if asked.whole and number == int(number) else number
