"""A worked sheet in words: the verdict, the figures, and on asking each sum with what it uses."""

from __future__ import annotations

from plumbrise.cautions import DEFER
from plumbrise.elements.doubt import Doubt, doubt
from plumbrise.elements.worked import Sheet, Sum, Trust, Value
from plumbrise.quantity import rounded
from plumbrise.report.layout import columns, folded
from plumbrise.report.names import listed


def sheet_text(sheet: Sheet, *, whole: bool = False) -> str:
    """What `size KIND` prints; with `whole` every input, equation and source too."""
    doubted = doubt(sheet)
    lines = [sheet.calculator.title, ""]
    for verdict in sheet.worked.verdicts:
        lines += folded(verdict.words)
    if doubted.hangs_on:
        named = listed([one.asked.words for one in doubted.hangs_on])
        first = "that" if len(doubted.hangs_on) == 1 else "these"
        lines += folded(f"The answer hangs on what is assumed: {named}. Measure {first} first.")
    lines.append("")
    if whole:
        lines += _inputs(sheet) + _sums(sheet, doubted)
    else:
        rows = [(f"  {one.what}", amount(one), between(one, doubted)) for one in sheet.worked.sums]
        lines += [*columns(rows), *_assumed(sheet)]
    if sheet.worked.steps:
        lines += ["", "In this order"]
    for number, step in enumerate(sheet.worked.steps, start=1):
        first, *others = folded(step)
        lines += [f"  {number}. {first}", *(f"     {line}" for line in others)]
    for warning in sheet.worked.warnings:
        lines += ["", *folded(warning)]
    for hazard in sheet.worked.cautions:
        lines += ["", *folded(f"{hazard.title}. {hazard.words}")]
    if sheet.worked.cautions:
        lines += ["", *folded(DEFER)]
    return "\n".join(lines)


def between(one: Sum, doubted: Doubt) -> str:
    """From where to where a figure may lie for what was assumed; empty where nothing moves it."""
    found = doubted.ranges.get(one.name)
    if found is None:
        return ""
    low, high = rounded(found.low, 2), rounded(found.high, 2)
    return "" if low == high else f"{low} to {high}"


def _assumed(sheet: Sheet) -> list[str]:
    rows = [
        (f"  {one.asked.words}", said(one.value, one.asked.unit), str(one.trust))
        for one in sheet.used
        if one.trust is not Trust.GIVEN
    ]
    return ["", "Assumed, until you say otherwise", *columns(rows)] if rows else []


def amount(one: Sum) -> str:
    """A sum's value with its unit."""
    said = one.value if isinstance(one.value, str) else rounded(one.value, one.digits)
    return _with_unit(said, one.unit)


def said(value: Value, unit: str) -> str:
    """An input's value with its unit; items one after the other."""
    if value is None:
        return "not known"
    if isinstance(value, tuple):
        return "; ".join(
            " ".join(said(field, "") for field in item.values.values() if field is not None)
            for item in value
        )
    return _with_unit(value if isinstance(value, str) else _plainly(value), unit)


def _plainly(number: float) -> str:
    """A number as a person would write it: no digits that say nothing."""
    digits, ten, power = rounded(number, 4).partition("·10")
    return f"{digits.rstrip('0').rstrip('.') if '.' in digits else digits}{ten}{power}"


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{'' if unit in ('', '°') else ' '}{unit}"


def _inputs(sheet: Sheet) -> list[str]:
    rows = [
        (f"  {one.asked.name}", said(one.value, one.asked.unit), str(one.trust), one.asked.words)
        for one in sheet.used
    ]
    return ["What goes in", *columns(rows), "", "What comes of it"]


def _sums(sheet: Sheet, doubted: Doubt) -> list[str]:
    lines = []
    for number, one in enumerate(sheet.worked.sums, start=1):
        lines.append(f"  {number}. {one.what}: {amount(one)}")
        lines.append(f"     {one.symbol} = {one.equation}")
        tail = [f"from {', '.join(one.uses)}"] if one.uses else []
        tail += [one.source] if one.source else []
        if between(one, doubted):
            mostly = doubted.ranges[one.name].mostly.asked.name
            tail.append(f"{between(one, doubted)} for what is assumed, mostly {mostly}")
        lines += [f"     {line}" for line in folded("; ".join(tail))]
    return lines
