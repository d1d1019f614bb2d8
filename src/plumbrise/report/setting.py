"""From contents to what templates take: plain strings, numbers kept with their units."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from plumbrise.report.contents import Contents
from plumbrise.report.layout import held_together
from plumbrise.report.proof_section import ProofSection

_AS_THEY_ARE = {"svg", "narrow", "motion_lines", "machine_text", "readings_text"}


def strings(made: Contents | ProofSection) -> dict[str, Any]:
    """The contents as dicts, lists and strings, with no line break between number and unit."""
    return {
        key: value if key in _AS_THEY_ARE else _held(value) for key, value in asdict(made).items()
    }


def _held(value: Any) -> Any:
    if isinstance(value, str):
        return held_together(value)
    if isinstance(value, dict):
        return {k: v if k in _AS_THEY_ARE else _held(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_held(inner) for inner in value]
    return value
