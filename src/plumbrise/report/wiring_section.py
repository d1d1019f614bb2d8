"""The verdict on a harness as a section of the report: strings and a picture."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.report.hazards import Hazards, hazards
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.wiring import CAUTIONS, OUTSIDE, wiring_said
from plumbrise.wiring import Harness, WiringVerdict


@dataclass(frozen=True, slots=True)
class Wired:
    """A harness and its verdict."""

    harness: Harness
    answer: WiringVerdict


@dataclass(frozen=True, slots=True)
class WiringSection:
    """The verdict: heads with their lines, the drawing, cautions in full."""

    title: str
    head: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    drawing: Picture
    outside: str
    hazards: Hazards


def wiring_section(wired: Wired, pictures: Pictures) -> WiringSection:
    """The section.

    Args:
        wired: the harness and its verdict.
        pictures: who draws.
    """
    said = wiring_said(wired.harness, wired.answer)
    return WiringSection(
        said.title,
        said.head,
        said.parts,
        pictures.harness(wired.harness, wired.answer),
        OUTSIDE,
        hazards(CAUTIONS),
    )
