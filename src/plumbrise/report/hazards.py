"""Cautions in full, as a report sets them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from plumbrise.cautions import DEFER, Hazard


@dataclass(frozen=True, slots=True)
class Hazards:
    """Cautions in full: title and words of each, and what comes before anything said here."""

    titles_and_words: tuple[tuple[str, str], ...]
    last: str


def hazards(found: Iterable[Hazard]) -> Hazards:
    """These hazards in full."""
    return Hazards(tuple((one.title, one.words) for one in found), DEFER)
