"""Worked sheets: what a calculator works out, from which inputs, and how sure each is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from plumbrise.cautions import Hazard
from plumbrise.elements.asked import Asked, Given, Trust, Value, checked, either

__all__ = [
    "Asked",
    "Calculator",
    "Given",
    "Input",
    "Sheet",
    "Sum",
    "Trust",
    "Value",
    "Verdict",
    "Worked",
    "either",
    "sheet",
]


@dataclass(frozen=True, slots=True)
class Sum:
    """One worked line: a figure, how it comes about, and from which inputs or earlier sums.

    `name` is its key (`sag_mm`), `digits` its significant digits for people; `value` may be a
    word ("yes", "608") where the figure is a choice.
    """

    name: str
    what: str
    symbol: str
    equation: str
    uses: tuple[str, ...]
    value: float | str
    unit: str = ""
    digits: int = 3
    source: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A sentence that answers what was asked. `holds` is None where nothing was at stake; `uses`
    names inputs that no sum uses, such as what was allowed, and those that decide it where they
    may be guesses."""

    words: str
    holds: bool | None = None
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Worked:
    """What a calculator found, in the order in which a person would work it out. `steps` is what
    to do with it, where the order matters."""

    sums: tuple[Sum, ...]
    verdicts: tuple[Verdict, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[Hazard, ...] = ()
    steps: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> float | str:
        """The value of the sum of this name."""
        return next(s.value for s in self.sums if s.name == name)


@dataclass(frozen=True, slots=True)
class Calculator:
    """A kind of part that can be sized.

    Attributes:
        kind: its word on the command line, such as "belt-loop".
        title: what it is called above a sheet.
        purpose: one line, what question it answers.
        asked: the inputs, in the order in which a person would look for them.
        work: the calculation.
        example: options that make a sensible sheet, as typed after the kind.
    """

    kind: str
    title: str
    purpose: str
    asked: tuple[Asked, ...]
    work: Callable[[Given], Worked]
    example: str


@dataclass(frozen=True, slots=True)
class Input:
    """An input as it went into the sums, and where it came from."""

    asked: Asked
    value: Value
    trust: Trust


@dataclass(frozen=True, slots=True)
class Sheet:
    """A calculator's inputs and what came of them."""

    calculator: Calculator
    inputs: tuple[Input, ...]
    worked: Worked

    @property
    def used(self) -> tuple[Input, ...]:
        """The inputs that went into a sum or a verdict, this time."""
        lines: tuple[Sum | Verdict, ...] = (*self.worked.sums, *self.worked.verdicts)
        names = {name for line in lines for name in line.uses}
        return tuple(
            one for one in self.inputs if one.asked.name in names and one.value is not None
        )

    @property
    def holds(self) -> bool:
        """False when a verdict is no."""
        return all(verdict.holds is not False for verdict in self.worked.verdicts)


def sheet(calculator: Calculator, values: Mapping[str, object]) -> Sheet:
    """Check the inputs, take defaults for those left out, and work the sheet.

    Args:
        calculator: the kind of part.
        values: by name of the input; a list as a sequence of mappings by field name. None means
            not known, and is the same as left out.

    Raises:
        InputErrors: all inputs that cannot be used.
        InputError: inputs that do not go together.

    Example:
        >>> from plumbrise.elements.calculators import calculator
        >>> made = sheet(calculator("beam"), {"span_mm": 340, "force_n": 6})
        >>> [i.trust.value for i in made.inputs if i.asked.name == "span_mm"]
        ['given']
    """
    given = checked(calculator.asked, values)
    inputs = tuple(
        Input(
            asked,
            given.values[asked.name],
            Trust.GIVEN if values.get(asked.name) is not None else asked.trust,
        )
        for asked in calculator.asked
    )
    return Sheet(calculator, inputs, calculator.work(given))
