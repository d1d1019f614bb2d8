"""One line of a harness drawn: plugs, wires, coils, and brackets for what was read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.letters import shortened
from plumbrise.drawing.tokens import DASHES, OUTLINE_PX, SMALL_PX, Theme
from plumbrise.drawing.tokens import Line as Known
from plumbrise.wiring import FRAME, Line, LineVerdict, Reading
from plumbrise.wiring.harness import BOARD_CONTACTS

ROW_PX = 40.0
PLUG_PX = 44.0
LEVEL_PX, MOST_LEVELS_PX = 13.0, 45.0
WORDS_PX = 16.0
WIRE_PX = 2.6
WIRE_DASHES = (None, "9 4", "2 4", "14 4 2 4")
"""Every wire has its own pattern, so that none hangs on colour alone."""
NARROW_UNDER_PX = 600.0


class Panel:
    """Where the parts of one line stand, and how they are drawn."""

    def __init__(
        self, line: Line, judged: LineVerdict, theme: Theme, width_px: float, top: float
    ) -> None:
        self._line, self._judged, self._theme = line, judged, theme
        self._narrow = narrow = width_px < NARROW_UNDER_PX
        self._board_x = 124.0 if narrow else 236.0
        self._motor_x = 252.0 if narrow else 560.0
        self._top = top + 26
        self._rows = max(BOARD_CONTACTS, line.motor.contacts)
        self.bottom = self._top + ROW_PX * self._rows + 8
        self._board = {c: self._y(c, BOARD_CONTACTS) for c in range(1, BOARD_CONTACTS + 1)}
        count = line.motor.contacts
        self._motor = {c: self._y(c, count) for c in range(1, count + 1)}

    def _y(self, contact: int, count: int) -> float:
        height = ROW_PX * self._rows
        return self._top + height * (contact - 0.5) / count

    def drawn(self) -> str:
        """The whole panel as one group."""
        return svg.group(
            (
                *self._wires(),
                *self._plug("board", self._board_x, self._board),
                *self._plug("motor", self._motor_x, self._motor),
                *self._coils(),
                *self._at_board(),
            ),
            data_line=self._line.name,
        )

    def _plug(self, end: str, left: float, rows: dict[int, float]) -> Iterator[str]:
        theme = self._theme
        yield svg.rect(
            left,
            self._top,
            left + PLUG_PX,
            self.bottom - 8,
            round_px=3,
            fill=theme.sheet,
            stroke=theme.ink,
            stroke_width=OUTLINE_PX,
        )
        middle = left + PLUG_PX / 2
        yield svg.text(end, middle, self._top - 8, SMALL_PX, fill=theme.soft, anchor="middle")
        used = self._used(end)
        for contact, y in rows.items():
            ink = theme.ink if contact in used else theme.soft
            if contact in self._wrong(end):
                yield svg.circle(middle, y, 12, fill="none", stroke=theme.stop, stroke_width=2)
            yield svg.text(
                str(contact),
                middle,
                y + 5,
                SMALL_PX,
                fill=ink,
                anchor="middle",
                bold=contact in used,
            )

    def _used(self, end: str) -> set[int]:
        if end == "board":
            return set(self._board)
        joined = {motor for _, motor in self._line.cable.joins}
        return joined | {contact for coil in self._line.motor.coils for contact in coil}

    def _wrong(self, end: str) -> set[int]:
        """Contacts that a refusing finding names at this end."""
        return {
            contact
            for found in self._judged.findings
            if found.kind.refuses and found.at == end
            for contact in found.contacts
        }

    def _wires(self) -> Iterator[str]:
        """Each wire with its dash pattern; a later wire hops over an earlier one."""
        theme, start, end = self._theme, self._board_x + PLUG_PX, self._motor_x
        bend = (end - start) / 2
        named = dict(zip(self._line.cable.joins, self._line.cable.colours, strict=False))
        for index, (board, motor) in enumerate(self._line.cable.joins):
            from_y, to_y = self._board[board], self._motor[motor]
            d = (
                f"M{svg.number(start)} {svg.number(from_y)}"
                f"C{svg.number(start + bend)} {svg.number(from_y)}"
                f" {svg.number(end - bend)} {svg.number(to_y)}"
                f" {svg.number(end)} {svg.number(to_y)}"
            )
            yield svg.element("path", d=d, fill="none", stroke=theme.sheet, stroke_width=9)
            yield svg.element(
                "path",
                d=d,
                fill="none",
                stroke=theme.ink,
                stroke_width=WIRE_PX,
                stroke_dasharray=WIRE_DASHES[index % len(WIRE_DASHES)],
            )
        for board, motor in self._line.cable.joins:
            yield svg.circle(start, self._board[board], 3.4, fill=theme.ink)
            yield svg.circle(end, self._motor[motor], 3.4, fill=theme.ink)
            yield self._wire_name(named.get((board, motor), ""), start, self._board[board])
        if not self._line.cable.joins:
            middle = (start + end) / 2
            yield svg.text(
                "not told", middle, self._top + 20, SMALL_PX, fill=theme.soft, anchor="middle"
            )

    def _wire_name(self, name: str, start: float, y: float) -> str:
        words = shortened(name, SMALL_PX, (self._motor_x - start) * 0.6)
        return svg.text(
            words, start + 8, y - 6, SMALL_PX, fill=self._theme.ink, halo=self._theme.sheet
        )

    def _coils(self) -> Iterator[str]:
        """Coils as told: a winding between the contacts of each, by letter."""
        left = self._motor_x + PLUG_PX
        for letter, coil in zip("AB", self._line.motor.coils, strict=False):
            one, other = sorted((self._motor[coil[0]], self._motor[coil[-1]]))
            turns = 4
            step = (other - one) / turns
            out = left + 14 + (26 if letter == "B" and self._nested() else 0)
            d = f"M{svg.number(left)} {svg.number(one)}H{svg.number(out)}"
            d += "".join(
                f"a{svg.number(step / 2)} {svg.number(step / 2)} 0 0 1 0 {svg.number(step)}"
                for _ in range(turns)
            )
            d += f"H{svg.number(left)}"
            ink = self._theme.ink
            yield svg.element("path", d=d, fill="none", stroke=ink, stroke_width=OUTLINE_PX)
            first = one + step / 2 if letter == "A" else other - step / 2
            yield svg.text(letter, out + step / 2 + 6, first + 5, SMALL_PX, fill=ink, bold=True)

    def _nested(self) -> bool:
        """True where the two coils' contacts do not lie one pair below the other."""
        spans = [(min(c), max(c)) for c in self._line.motor.coils]
        return len(spans) == 2 and spans[0][0] < spans[1][1] and spans[1][0] < spans[0][1]

    def _at_board(self) -> Iterator[str]:
        """Brackets left of the board plug: read joins solid, needed ones dashed."""
        read = self._readings("board")
        shown: list[tuple[int, int, str, bool]] = [
            (min(r.between), max(r.between), _ohms(r), True) for r in read.values() if not r.is_open
        ]
        joined = {frozenset(r.between) for r in read.values() if not r.is_open}
        for pair in self._line.board.phases or ():
            if frozenset(pair) not in joined:
                open_read = read.get(frozenset(pair))
                low, high = sorted(pair)
                shown.append((low, high, "open" if open_read else "not read", False))
        taken: list[float] = []
        step = min(LEVEL_PX, MOST_LEVELS_PX / max(1, len(shown)))
        words_x = self._board_x - 16 - step * max(0, len(shown) - 1)
        for level, (one, other, words, solid) in enumerate(sorted(shown)):
            out = self._board_x - 10 - step * level
            colour = self._theme.meas if solid else self._theme.lost
            yield from self._bracket(one, other, colour, solid, out)
            middle = self._board[other] if one == FRAME else self._between(one, other)
            while any(abs(middle - y) < WORDS_PX for y in taken):
                middle += WORDS_PX
            taken.append(middle)
            frame = "to frame" if self._narrow else f"frame {words}"
            said = frame if one == FRAME else words
            yield svg.text(
                shortened(said, SMALL_PX, words_x - 4),
                words_x,
                middle + 4,
                SMALL_PX,
                fill=colour,
                anchor="end",
                halo=self._theme.sheet,
            )

    def _between(self, one: int, other: int) -> float:
        return (self._board[one] + self._board[other]) / 2

    def _bracket(self, one: int, other: int, colour: str, solid: bool, out: float) -> Iterator[str]:
        edge = self._board_x
        style: dict[str, Any] = {
            "fill": "none",
            "stroke": colour,
            "stroke_width": 2,
            "stroke_dasharray": None if solid else DASHES[Known.COMPUTED],
        }
        if one == FRAME:
            y = self._board[other]
            yield svg.path([(edge, y), (out, y), (out, y + 12)], **style)
            yield svg.line(out - 7, y + 12, out + 7, y + 12, stroke=colour, stroke_width=2)
        else:
            top, bottom = self._board[one], self._board[other]
            yield svg.path([(edge, top), (out, top), (out, bottom), (edge, bottom)], **style)
            yield svg.circle(edge, top, 3, fill=colour)
            yield svg.circle(edge, bottom, 3, fill=colour)

    def _readings(self, at: str) -> dict[frozenset[int], Reading]:
        return {frozenset(r.between): r for r in self._line.measured if r.at == at}


def read_apart(line: Line) -> Iterator[str]:
    """What was read at the motor alone and at the cable alone, a line of words each."""
    for at in ("motor", "cable"):
        words = [
            f"{reading.between[0]}-{'frame' if FRAME in reading.between else reading.between[1]} "
            f"{_ohms(reading)}"
            for reading in line.measured
            if reading.at == at
        ]
        if words:
            yield f"Read at the {at} alone: {', '.join(words)}."


def _ohms(reading: Reading) -> str:
    if reading.is_open:
        return "open"
    return "joined" if reading.ohm is None else f"{reading.ohm:g} Ω"
