"""From contents to what templates take: plain strings, numbers kept with their units."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

from plumbrise.report.contents import Contents

_NO_BREAK = "\N{NO-BREAK SPACE}"
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|N|µm|°C|min|h|kg|s|%)(?![\w]))")
_AS_THEY_ARE = {"svg", "narrow", "machine_text", "readings_text"}


def strings(made: Contents) -> dict[str, Any]:
    """The contents as dicts, lists and strings, with no line break between number and unit."""
    return {
        key: value if key in _AS_THEY_ARE else _held(value) for key, value in asdict(made).items()
    }


def held_together(words: str) -> str:
    """Words in which a number stays on the line of its unit and of its give or take.

    Example:
        >>> held_together("0.19 ± 0.02 mm of 3 steps").split(" ")
        ['0.19\\xa0±\\xa00.02\\xa0mm', 'of', '3', 'steps']
    """
    return _UNIT.sub(_NO_BREAK, words).replace(" ± ", f"{_NO_BREAK}±{_NO_BREAK}")


def _held(value: Any) -> Any:
    if isinstance(value, str):
        return held_together(value)
    if isinstance(value, dict):
        return {k: v if k in _AS_THEY_ARE else _held(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_held(inner) for inner in value]
    return value
