"""The harness drawing: plugs, wires, what was read and what was found; a panel for each line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plumbrise.drawing import svg
from plumbrise.drawing.harness_panel import Panel, read_apart
from plumbrise.drawing.letters import wrapped
from plumbrise.drawing.tokens import NAME_PX, SMALL_PX, VALUE_PX, Theme, theme_named
from plumbrise.wiring import Harness, LineVerdict, Verdict, WiringVerdict

WIDE_PX, NARROW_PX = 836.0, 372.0
MARGIN_PX = 16.0
ROW_PX = 18.0
WORDS = {Verdict.GO: "Go", Verdict.NO_GO: "No go", Verdict.CANNOT_TELL: "Cannot tell yet"}
TAILS = {
    Verdict.GO: "One careful power-up.",
    Verdict.NO_GO: "Leave the power off.",
    Verdict.CANNOT_TELL: "Leave the power off.",
}
KEY = (
    "Plugs as seen from the wire side, latch up.",
    "Solid bracket: joined, you measured it. Dashed: the board needs it joined.",
)


def harness_drawing(
    harness: Harness,
    answer: WiringVerdict,
    *,
    theme: str = "light",
    prefix: str = "h-",
    narrow: bool = False,
) -> str:
    """The harness as one SVG document.

    Args:
        harness: what is drawn.
        answer: its verdict.
        theme: light, dark or print.
        prefix: begins every id, so that several drawings can stand on one page.
        narrow: for a phone: 372 px wide, nothing to scroll.
    """
    sheet = _Sheet(theme_named(theme), NARROW_PX if narrow else WIDE_PX)
    sheet.verdict(answer.verdict)
    for judged in answer.lines:
        sheet.line_head(judged)
        line = harness.line(judged.line)
        if line is None:  # a plug that only words stand for
            sheet.said(_found(judged))
            continue
        panel = Panel(line, judged, sheet.theme, sheet.width_px, sheet.y)
        sheet.made.append(panel.drawn())
        sheet.y = panel.bottom + 8
        sheet.said([(words, False) for words in read_apart(line)] + _found(judged))
    sheet.key()
    return svg.sheet(
        sheet.made,
        width_px=sheet.width_px,
        height_px=sheet.y + 8,
        prefix=prefix,
        title=f"Harness of {harness.name}" if harness.name else "Harness",
        description=described(answer),
        background=sheet.theme.sheet,
    )


def described(answer: WiringVerdict) -> str:
    """The drawing in words, for those who do not see it."""
    parts = [f"{WORDS[answer.verdict]}. {TAILS[answer.verdict]}"]
    for judged in answer.lines:
        parts.append(f"{judged.line}: {WORDS[judged.verdict].lower()}.")
        parts += [text for text, _ in _found(judged)]
    return " ".join(parts)


def _found(judged: LineVerdict) -> list[tuple[str, bool]]:
    """What is written under a panel, and whether it is wrong."""
    lines = [
        (f"{one.kind.title}{_at(one.contacts, one.at)}{_tail(one.detail)}", one.kind.refuses)
        for one in judged.findings
    ]
    for swap in judged.swaps:
        one, other = swap.contacts
        lines.append((f"Swap the wires in places {one} and {other} at the {swap.end} end.", True))
    asked = judged.next_reading
    if asked is not None and asked.between is not None:
        ends = ["the frame" if contact == 0 else str(contact) for contact in asked.between]
        lines.append((f"Measure next, {asked.at}: {' and '.join(ends)}.", False))
    return lines


def _at(contacts: Sequence[int], at: str) -> str:
    return f", {at} {', '.join(map(str, contacts))}" if contacts else ""


def _tail(detail: str) -> str:
    return f": {detail}" if detail else "."


class _Sheet:
    """The drawing as it grows downward."""

    def __init__(self, theme: Theme, width_px: float) -> None:
        self.theme, self.width_px = theme, width_px
        self.y = 10.0
        self.made: list[str] = []

    def verdict(self, verdict: Verdict) -> None:
        """The answer first, under a heavy rule."""
        theme, right = self.theme, self.width_px - MARGIN_PX
        colour = theme.ink if verdict is Verdict.GO else theme.stop
        self.made.append(svg.line(MARGIN_PX, self.y, right, self.y, stroke=colour, stroke_width=3))
        self.y += 24
        words = f"{WORDS[verdict]}. {TAILS[verdict]}"
        self._write(words, VALUE_PX, colour, bold=True)
        self.y += 14

    def line_head(self, judged: LineVerdict) -> None:
        """The name of a line and its own verdict."""
        self.y += 14
        words = f"{judged.line}: {WORDS[judged.verdict].lower()}"
        for part in wrapped(words, NAME_PX, self._room, bold=True):
            self._write(part, NAME_PX, self.theme.ink, bold=True)
            self.y += ROW_PX

    def said(self, lines: Iterable[tuple[str, bool]]) -> None:
        """What was found, line under line."""
        for text, wrong in lines:
            colour = self.theme.stop if wrong else self.theme.soft
            for part in wrapped(text, SMALL_PX, self._room):
                self.y += ROW_PX
                self._write(part, SMALL_PX, colour)
        self.y += 10

    def key(self) -> None:
        """What the signs mean."""
        theme, right = self.theme, self.width_px - MARGIN_PX
        self.y += 10
        self.made.append(svg.line(MARGIN_PX, self.y, right, self.y, stroke=theme.hair))
        self.said((text, False) for text in KEY)

    @property
    def _room(self) -> float:
        return self.width_px - 2 * MARGIN_PX

    def _write(self, text: str, size_px: float, fill: str, *, bold: bool = False) -> None:
        self.made.append(svg.text(text, MARGIN_PX, self.y, size_px, fill=fill, bold=bold))
