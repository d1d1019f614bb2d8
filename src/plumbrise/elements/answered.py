"""What a person typed for a calculator's inputs, as values: numbers in any unit, words, items."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from plumbrise.elements.worked import Asked, either
from plumbrise.errors import InputError, InputErrors
from plumbrise.quantity import kind_of, typed


def answered(asked: Sequence[Asked], texts: Mapping[str, Sequence[str]]) -> dict[str, object]:
    """Values of the inputs that were typed, in the units of the inputs; the rest is left out.

    Args:
        asked: the inputs.
        texts: by name of the input; several where it is a list.

    Raises:
        InputErrors: each text that is no value of its input. Limits are not looked at here.

    Example:
        >>> answered([Asked("span_mm", "span", "mm")], {"span_mm": ["13.5 in"]})
        {'span_mm': 342.9}
    """
    found: dict[str, object] = {}
    problems: list[InputError] = []
    for one in asked:
        given = texts.get(one.name, ())
        if not given:
            continue
        try:
            if one.each:
                found[one.name] = [_item(one, number, t) for number, t in enumerate(given, 1)]
            else:
                found[one.name] = _value(one, given[-1], one.name)
        except InputError as problem:
            problems.append(problem)
        except InputErrors as several:
            problems += several.problems
    if problems:
        raise InputErrors(problems)
    return found


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
