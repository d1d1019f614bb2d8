"""Fields with a slider beside them: what may be typed, and what was."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.quantity import typed
from plumbrise.web import fault_words

KINDS = {"mm": "length", "N": "force", "s": "time"}


@dataclass(frozen=True, slots=True)
class Slide:
    """A field with a slider beside it: what may be typed, and where the slider ends."""

    name: str
    title: str
    unit: str
    least: float
    most: float
    low: float
    high: float
    step: float


def fault(title: str, problem: InputError) -> str:
    """What is wrong, as the field of this title says it: a number as a person types one.

    Example:
        >>> many = InputError(place="n", value=99.0, allowed="up to 60", remedy="Lay fewer.")
        >>> fault("Layers", many)
        'Layers: 99 given, up to 60 allowed. Lay fewer.'
    """
    value = problem.value
    given = f"{value:.9g}" if isinstance(value, float) else repr(value)
    said = f"{given} given, {problem.allowed} allowed. {problem.remedy}"
    return f"{title}: {said}" if title else said


def number_in(slide: Slide, said: str) -> float:
    """What was typed into a field, in its own unit.

    Raises:
        InputError: no number, one of another kind, or outside what the field takes.

    Example:
        >>> number_in(Slide("bands", "Bands", "mm", 0.0, 10.0, 0.0, 1.0, 0.1), "0.5 thou")
        0.0127
    """
    plain = said.removesuffix("%") if slide.unit == "%" else said
    value = typed(plain, KINDS.get(slide.unit, "its own"), slide.title)
    if not slide.least <= value <= slide.most:
        unit = f" {slide.unit}" if slide.unit else ""
        raise InputError(
            place=slide.title,
            value=said,
            allowed=f"{slide.least:g} to {slide.most:g}{unit}",
            remedy=fault_words.CORRECT_IT,
        )
    return value
