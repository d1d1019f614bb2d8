"""The verdict on a harness in words, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbrise.cautions import DEFER, FALLING_GANTRY, MAINS, PLUGGING, STORED_CHARGE
from plumbrise.wiring import (
    FRAME,
    PLACES,
    Bridged,
    Finding,
    Harness,
    Line,
    NextReading,
    Reading,
    Swap,
    Verdict,
    WiringVerdict,
)

HEADS = {
    Verdict.GO: "Go. One careful power-up: first move half a millimetre, hand on the switch.",
    Verdict.NO_GO: "No go. Leave the power off.",
    Verdict.CANNOT_TELL: "Cannot tell yet. Leave the power off.",
}
PLUGS = {"board": "at the board end", "motor": "at the motor end", "cable": "in the cable",
         "driver": "at the driver"}  # fmt: skip
CAUTIONS = (PLUGGING, FALLING_GANTRY, STORED_CHARGE, MAINS)
FIRST = (
    "First blocks under every end, then switch off, pull the mains plug and wait a minute until "
    "the lamps on the board are out. Only then touch a plug."
)
"""What comes before anything is unplugged or measured."""
OUTSIDE = "Mains wiring and the wiring of heaters are outside this check."


@dataclass(frozen=True, slots=True)
class WiringSaid:
    """A verdict in words: what it is of, the verdict itself, and under heads what it rests on and
    asks for. Terminal, page and report say these."""

    title: str
    head: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]

    def part(self, head: str) -> tuple[str, ...]:
        """The lines under a head; () where it has none."""
        return dict(self.parts).get(head, ())


WRONG, MEND, WHY, NEXT, ALSO = "What is wrong", "To mend it", "Why", "Measure next", "Also"


def wiring_said(harness: Harness, answer: WiringVerdict) -> WiringSaid:
    """The verdict, what is wrong and how to mend it, what to measure next, what it rests on."""
    refusing = [one for one in answer.findings if one.kind.refuses]
    others = [one for one in answer.findings if not one.kind.refuses]
    unsure = answer.verdict is Verdict.CANNOT_TELL
    asked = answer.next_reading
    several = len(answer.lines) > 1
    parts: tuple[tuple[str, Sequence[str]], ...] = (
        (WRONG, _each(refusing)),
        (MEND, mending(harness, answer)),
        (WHY, answer.reasons if unsure else ()),
        (NEXT, () if asked is None else [next_words(asked)]),
        (ALSO, _each(others)),
        ("Line by line", [f"{o.line}: {o.verdict}." for o in answer.lines] if several else ()),
        ("Taken on your word, not measured", answer.on_word),
        ("What no meter sees", answer.unseen if answer.verdict is Verdict.GO else ()),
    )
    return WiringSaid(
        f"Wiring of {harness.name or 'this harness'}",
        HEADS[answer.verdict],
        tuple((head, tuple(lines)) for head, lines in parts if lines),
    )


def wiring_text(harness: Harness, answer: WiringVerdict) -> str:
    """The verdict in words as text, with the cautions."""
    return "\n".join(_lines(wiring_said(harness, answer))) + "\n"


def _lines(said: WiringSaid) -> Iterator[str]:
    yield said.title
    yield said.head
    yield FIRST
    for head, lines in said.parts:
        yield ""
        yield head
        yield from (f"  {line}" for line in lines)
    yield ""
    for caution in CAUTIONS:
        yield f"{caution.title}. {caution.words}"
    yield OUTSIDE
    yield DEFER


def _each(findings: Sequence[Finding]) -> list[str]:
    """Findings in words; what a kind means is said once."""
    said, seen = [], set()
    for found in findings:
        said.append(finding_words(found, meaning=found.kind.id not in seen))
        seen.add(found.kind.id)
    return said


def finding_words(found: Finding, *, meaning: bool = True) -> str:
    """One finding: whose, what, where, how it is known, and if asked what it means.

    Example:
        >>> from plumbrise.wiring import FINDINGS
        >>> found = Finding(FINDINGS["pair-split"], "left", contacts=(1, 3))
        >>> finding_words(found).partition(".")[0]
        'left: coil pair split across phases, contacts 1 and 3 at the board end'
    """
    title = found.kind.title[0].lower() + found.kind.title[1:]
    where = f", {contacts_words(found.contacts)} {PLUGS[found.at]}" if found.contacts else ""
    whose = f"{found.line}: " if found.line else ""
    known = (
        " As described, not measured." if found.known == "described" and found.kind.refuses else ""
    )
    detail = f" {found.detail}" if found.detail else ""
    words = f" {found.kind.words}" if meaning else ""
    return f"{whose}{title}{where}.{detail}{words}{known}"


def contacts_words(contacts: Sequence[int]) -> str:
    """Contacts in a row.

    Example:
        >>> contacts_words((1,)), contacts_words((1, 2, 4))
        ('contact 1', 'contacts 1, 2 and 4')
    """
    if len(contacts) == 1:
        return f"contact {contacts[0]}"
    *most, last = map(str, contacts)
    return f"contacts {', '.join(most)} and {last}"


def mending(harness: Harness, answer: WiringVerdict) -> list[str]:
    """What to do about what is wrong: swaps by place, then what else each fault asks for."""
    steps = [swap_words(harness, swap) for swap in answer.swaps]
    if steps:
        steps.append("Then measure again at the board end.")
    swapped = {swap.line for swap in answer.swaps}
    for found in answer.findings:
        remedy = REMEDIES.get(found.kind.id)
        if remedy and found.kind.refuses and found.line not in swapped:
            whose = f"{found.line}: " if found.line else ""
            steps.append(f"{whose}{remedy}")
    return list(dict.fromkeys(steps))


REMEDIES = {
    "contact-open": "Seat or renew this contact, then measure again.",
    "coil-open": "Seat or renew both contacts; if the motor alone is open too, change the motor.",
    "coils-joined": "Look for a strand that touches at the plugs, then measure the motor alone.",
    "frame-joined": "Look for a pinched wire; if the motor alone is joined, change the motor.",
    "coil-resistance": "Measure the motor alone, cold. If it is right there, a contact is bad.",
    "coils-unlike": "Measure the motor alone, cold. If they are alike there, a contact is bad.",
    "wire-resistance": "Renew the contact at the worse end of this wire.",
    "comes-and-goes": "Renew the contact and relieve the cable of strain.",
    "exchanged": "Plug each cable into its own socket, and label both ends.",
    "over-current": "Set the driver to the motor's rating or less.",
    "not-as-told": "Follow each wire from plug to plug, then mend the description or the reading.",
    "drive-not-as-told": "Follow the wires between the motors, then mend the description.",
    "contradiction": "Measure again, tips clean and hands off the metal.",
    "no-sound-wiring": "Measure cable and motor apart.",
}
"""Kind of finding -> what to do, where no swap says it."""


def swap_words(harness: Harness, swap: Swap) -> str:
    """One swap by its place and, where they are told, the colours of the wires."""
    line = harness.line(swap.line)
    used = set(range(1, 5)) if line is None or swap.end == "board" else _used(line)
    one, other = swap.contacts
    if swap.end == "motor" and used and not {one, other} <= used:
        full, empty = (one, other) if one in used else (other, one)
        words = f"move the wire from place {full} to the empty place {empty}"
    else:
        words = f"swap the wires in places {one} and {other}"
    colours = _colours(line, swap) if line is not None else ""
    return f"{swap.line}, {swap.end} end: {words}{colours}."


def _used(line: Line) -> set[int]:
    return {motor for _, motor in line.cable.joins}


def _colours(line: Line, swap: Swap) -> str:
    end = 0 if swap.end == "board" else 1
    at = dict(zip((join[end] for join in line.cable.joins), line.cable.colours, strict=False))
    named = [at[contact] for contact in swap.contacts if contact in at]
    return f" ({' and '.join(named)})" if named else ""


def next_words(asked: NextReading) -> str:
    """What to measure next, how, what it settles, and what each answer would mean."""
    settles = ""
    if asked.settles is not None:
        settles = f" It settles about {100 * asked.settles:.0f} % of what is open."
    return f"{asked.line}: {_way(asked)}.{settles} {asked.why}"


def _way(asked: NextReading) -> str:
    if asked.way == "look-up":
        return "look it up" if asked.at == "board" else "look at the cable"
    if asked.way == "leads":
        return "hold the meter's tips together and give what it shows as leads_ohm"
    one, other = asked.between or (0, 0)
    ends = _ends(asked.at, one, other)
    if asked.way == "bridge":
        return f"bridge {ends} at the cable's board end, everything unplugged from the board"
    return f"{ends}, {PLACES[asked.at]}"


def reading_words(reading: Reading | Bridged) -> tuple[str, str]:
    """Where something was measured, and what it said.

    Example:
        >>> reading_words(Reading("board", (1, FRAME), is_open=True))
        ('contact 1 and the frame, board', 'no way through')
    """
    if isinstance(reading, Bridged):
        one, other = reading.between
        stiff = f"{reading.stiff} turned stiffly" if reading.stiff else "no shaft turned stiffly"
        return f"contacts {one} and {other} bridged", stiff
    one, other = reading.between
    place = f"{_ends(reading.at, one, other)}, {reading.at}"
    if reading.ohm is not None:
        return place, f"{reading.ohm:g} Ω"
    return place, "no way through" if reading.is_open else "joined"


def _ends(at: str, one: int, other: int) -> str:
    """Two contacts by name."""
    if other == FRAME:
        return f"contact {one} and the frame"
    if at == "cable":
        return f"board contact {one} and motor contact {other}"
    return f"contact {one} and contact {other}"
