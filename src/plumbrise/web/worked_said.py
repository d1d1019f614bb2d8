"""A worked sheet as templates show it: verdicts, each sum with what went into it, what to mind."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from plumbrise.cautions import Hazard
from plumbrise.elements.asked import Asked, Given, Trust
from plumbrise.elements.doubt import doubt
from plumbrise.elements.worked import Sheet, Value
from plumbrise.report.names import listed
from plumbrise.report.sizing import amount, between, said


@dataclass(frozen=True, slots=True)
class Used:
    """One input of a sum, or an earlier sum: `trust` is how far to believe it."""

    words: str
    value: str
    trust: str


@dataclass(frozen=True, slots=True)
class SumSaid:
    """One sum that can be opened. `between` is from where to where it may lie for what is
    assumed, `mostly` the input that moves it most."""

    what: str
    amount: str
    between: str
    equation: str
    uses: tuple[Used, ...]
    source: str
    mostly: str


@dataclass(frozen=True, slots=True)
class SheetSaid:
    """A whole sheet. `holds` is False where a verdict is no; `hangs_on` names the assumed inputs
    that could turn a verdict round; `given` are the inputs as they stand in an address."""

    kind: str
    title: str
    verdicts: tuple[tuple[str, bool | None], ...]
    hangs_on: str
    sums: tuple[SumSaid, ...]
    assumed: tuple[Used, ...]
    steps: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[Hazard, ...]
    given: str

    @property
    def holds(self) -> bool:
        """Nothing speaks against it."""
        return all(holds is not False for _, holds in self.verdicts)


def sheet_said(sheet: Sheet) -> SheetSaid:
    """What a page says of a sheet."""
    doubted = doubt(sheet)
    known = {
        one.asked.name: Used(one.asked.words, said(one.value, one.asked.unit), str(one.trust))
        for one in sheet.inputs
    }
    sums = []
    for number, one in enumerate(sheet.worked.sums, start=1):
        moved = between(one, doubted)
        sums.append(
            SumSaid(
                what=one.what,
                amount=amount(one),
                between=moved,
                equation=f"{one.symbol} = {one.equation}",
                uses=tuple(known[name] for name in one.uses if name in known),
                source=one.source,
                mostly=doubted.ranges[one.name].mostly.asked.words if moved else "",
            )
        )
        known[one.name] = Used(one.what, amount(one), f"sum {number}")
    return SheetSaid(
        kind=sheet.calculator.kind,
        title=sheet.calculator.title,
        verdicts=tuple((one.words, one.holds) for one in sheet.worked.verdicts),
        hangs_on=listed([one.asked.words for one in doubted.hangs_on]),
        sums=tuple(sums),
        assumed=tuple(known[one.asked.name] for one in sheet.used if one.trust is not Trust.GIVEN),
        steps=sheet.worked.steps,
        warnings=sheet.worked.warnings,
        cautions=sheet.worked.cautions,
        given=urlencode(as_typed(sheet)),
    )


def as_typed(sheet: Sheet) -> list[tuple[str, str]]:
    """The inputs that were given or come from elsewhere, as a person would type them."""
    pairs = []
    for one in sheet.inputs:
        usual = one.trust is not Trust.GIVEN and one.value == one.asked.default
        if one.value is not None and not usual:
            pairs += [(one.asked.name, text) for text in texts_of(one.asked, one.value)]
    return pairs


def texts_of(asked: Asked, value: Value | object) -> list[str]:
    """A value as it is typed, one text for each item of a list.

    Example:
        >>> texts_of(Asked("span_mm", "span", "mm"), 342.9)
        ['342.9']
    """
    if isinstance(value, tuple | list):
        return [":".join(_cell(part, item) for part in asked.each) for item in value]
    return [_plainly(value)]


def _cell(part: Asked, item: object) -> str:
    values = item.values if isinstance(item, Given) else item
    found = values.get(part.name) if isinstance(values, dict) else None
    return "" if found is None else _plainly(found)


def _plainly(value: object) -> str:
    return f"{value:.10g}" if isinstance(value, int | float) else str(value)
