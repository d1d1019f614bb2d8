"""The record of a work order: what was entered, when, and with what result."""

from __future__ import annotations

from dataclasses import dataclass

WIRING = "wiring-go"
"""The step that only a verdict, or a person's own word, opens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One act: a value, or words where nothing is measured. `holds` is whether it was within its
    limit, or taken as it is for the reason in `accepted`. `handled` are the changes whose parts
    were in hand, () for none and where nobody wrote it down."""

    step: str
    when: str
    value: float | None
    words: str
    holds: bool
    accepted: str = ""
    handled: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """All acts in the order in which they were made, and the changes they were made for."""

    changes: tuple[str, ...] = ()
    entries: tuple[Entry, ...] = ()

    def last(self, step: str) -> Entry | None:
        """The latest entry of a step."""
        return next((e for e in reversed(self.entries) if e.step == step), None)

    def places(self) -> dict[str, int]:
        """Step -> where its latest entry stands."""
        return {entry.step: i for i, entry in enumerate(self.entries)}
