"""The text twin of the load path drawing: the same facts, a line each."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.drawing.figures import Span, in_a_line, spoken
from plumbrise.drawing.marking import Drag, End, Marking, Row
from plumbrise.drawing.tokens import Line

END = "end-"
"""Begins the keys of rows that tell what an end loses."""


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One line: its number on the drawing, what it is, its value with give or take and unit, how
    that is known, and the same said aloud. `key` tells rows apart ("left-seat-coupling")."""

    number: int
    key: str
    name: str
    value: str
    known: str
    spoken: str
    span: Span
    line: Line

    @property
    def written(self) -> str:
        """The name as it is written where nothing beside it says how it is known."""
        return end_said(self.name, self.line) if self.key.startswith(END) else self.name


KNOWN_WORDS = {
    Line.MEASURED: "measured",
    Line.SHARED: "shared, cannot tell yet which",
    Line.COMPUTED: "computed",
    Line.ASSUMED: "assumed",
}


def ledger(marking: Marking) -> tuple[LedgerRow, ...]:
    """All that the drawing says in figures: dimensions, then ends, then drag.

    Example:
        >>> rows = ledger(Marking(rows=(
        ...     Row(("seat", "coupling"), "left", Span(0.19, 0.17, 0.21), Line.SHARED),)))
        >>> rows[0].name, rows[0].value
        ('Seat + coupling', '0.19 ± 0.02 mm')
    """
    several = len({row.side for row in marking.rows}) > 1
    rows: list[LedgerRow] = []
    for row in marking.all_rows:
        side = f", {row.side}" if several and row is not marking.racking else ""
        rows.append(
            _line(
                len(rows) + 1,
                key_of(row),
                row.name + side,
                row.loss,
                row.known,
                spoken_row(row, side),
            )
        )
    for end in marking.ends:
        rows.append(
            _line(
                len(rows) + 1,
                f"{END}{end.end}",
                end_name(end),
                end.loss,
                end.known,
                spoken_end(end),
            )
        )
    for drag in marking.drags:
        rows.append(
            _line(
                len(rows) + 1,
                f"drag-{drag.end}",
                drag_name(drag),
                drag.force,
                drag.known,
                spoken_drag(drag),
            )
        )
    return tuple(rows)


def _line(number: int, key: str, name: str, span: Span, line: Line, said: str) -> LedgerRow:
    return LedgerRow(number, key, name, in_a_line(span), KNOWN_WORDS[line], said, span, line)


def key_of(row: Row) -> str:
    """A name for a row that no other row of the drawing has."""
    return "-".join((row.side, *row.links))


def end_name(end: End) -> str:
    """What an end's figure is called."""
    return f"{end.end.capitalize()} loses"


def end_said(name: str, known: Line) -> str:
    """The same as it is written on a drawing, where no column beside it says how it is known.

    Example:
        >>> end_said("Left loses", Line.COMPUTED)
        'Left loses, computed'
    """
    return f"{name}, computed" if known is Line.COMPUTED else name


def drag_name(drag: Drag) -> str:
    """What a force is called."""
    return f"Drag, {drag.end}"


def spoken_row(row: Row, side: str = "") -> str:
    """A dimension said aloud, all of it."""
    doubt = {
        Line.SHARED: ", cannot tell yet which",
        Line.COMPUTED: ", computed",
        Line.ASSUMED: ", assumed",
        Line.MEASURED: "",
    }[row.known]
    return f"{row.spoken_name}{side}, loses {spoken(row.loss)}{doubt}"


def spoken_end(end: End) -> str:
    """What an end loses, said aloud."""
    return end_said(f"{end.end.capitalize()} end loses {spoken(end.loss)} in all", end.known)


def spoken_drag(drag: Drag) -> str:
    """A force said aloud."""
    return f"Drag at the {drag.end} guide, {spoken(drag.force)}"
