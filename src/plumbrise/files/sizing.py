"""A worked sheet as JSON."""

from __future__ import annotations

from math import isfinite
from typing import Any

from plumbrise.elements.doubt import doubt
from plumbrise.elements.worked import Sheet, Value

VERSION = 1


def sheet_dict(sheet: Sheet) -> dict[str, Any]:
    """What `size KIND --json` prints; the schema is "sheet"."""
    doubted = doubt(sheet)
    ranges = doubted.ranges
    return {
        "version": VERSION,
        "kind": sheet.calculator.kind,
        "title": sheet.calculator.title,
        "inputs": [
            {
                "name": one.asked.name,
                "words": one.asked.words,
                "value": _plain(one.value),
                "unit": one.asked.unit,
                "trust": None if one.value is None else one.trust.value,
                "used": one in sheet.used,
            }
            for one in sheet.inputs
        ],
        "sums": [
            {
                "name": one.name,
                "what": one.what,
                "symbol": one.symbol,
                "equation": one.equation,
                "uses": list(one.uses),
                "value": _finite(one.value),
                "low": _finite(ranges[one.name].low) if one.name in ranges else None,
                "high": _finite(ranges[one.name].high) if one.name in ranges else None,
                "unit": one.unit,
                "source": one.source,
            }
            for one in sheet.worked.sums
        ],
        "verdicts": [{"words": one.words, "holds": one.holds} for one in sheet.worked.verdicts],
        "hangs_on": [one.asked.name for one in doubted.hangs_on],
        "steps": list(sheet.worked.steps),
        "warnings": list(sheet.worked.warnings),
        "cautions": [
            {"hazard": one.id, "title": one.title, "words": one.words}
            for one in sheet.worked.cautions
        ],
    }


def _finite(value: float | str) -> float | str | None:
    """JSON has no infinity: no limit is null."""
    return value if isinstance(value, str) or isfinite(value) else None


def _plain(value: Value) -> Any:
    if isinstance(value, tuple):
        return [{name: _plain(field) for name, field in item.values.items()} for item in value]
    return value
