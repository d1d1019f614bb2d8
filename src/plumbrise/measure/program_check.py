"""Re-read a motion program from its text and prove it safe on one machine, or say why not.

Nothing here knows how programs are written in this project: any program may come in.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import LABEL, fingerprint
from plumbrise.measure.program_lines import Finding, Split, read_line, split
from plumbrise.measure.program_reader import ProgramMove, ProgramReader
from plumbrise.measure.program_words import ALLOWED, AT_THE_END, HARMLESS, REASON

LONGEST_MINUTES = 480.0
"""A program of eight hours: more is a slip of units."""
MOST_LINES = 20_000
MOST_CHARACTERS = 1_000_000
MOST_FINDINGS = 50
"""After so many findings the rest is not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramCheck:
    """What re-reading a program found.

    Heights are those of the controller's axis word: on a gantry the height told, on a bed on
    screws the gap under the nozzle. `minutes` is what the machine takes, waits by dwell counted
    in; `stops` is how often it waits for the person, which no clock knows, `waits` how often it
    waits by dwell: dwells in a row with no comment between are one, so that each reading that is
    announced by a comment is one.
    """

    findings: tuple[Finding, ...]
    moves: tuple[ProgramMove, ...]
    lowest_mm: float | None
    highest_mm: float | None
    minutes: float
    stops: int
    waits: int
    fingerprint: str | None

    @property
    def safe(self) -> bool:
        """True where no finding refuses the program."""
        return not any(finding.refuses for finding in self.findings)


def check_program(machine: Machine, text: str, *, sender_waits: bool = False) -> ProgramCheck:
    """Prove a motion program safe on a machine, whoever wrote it.

    Safe means: only the standard words of a gauge set-up, read the same way by every controller;
    every move of the axis alone, homed first, between 0 and the declared height, at 300 mm/min
    at most; nothing heated, turned, called or set; an end within eight hours; and made for this
    machine, if it says for which. Homing and G0 go at the controller's own rates, which no
    program can see.

    Args:
        machine: the axis; its travel and controller are what is relied on.
        text: the whole program.
        sender_waits: whoever sends it keeps the stops itself, so that it does not matter whether
            the controller waits.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Travel
        >>> machine = replace(blank("one-screw"), travel=Travel(height_mm=250.0))
        >>> check_program(machine, "G21\\nG90\\nG28\\nG1 Z20 F120\\n").highest_mm
        20.0
        >>> found = check_program(machine, "G21\\nG90\\nG28\\nG1 Z251 F120\\n")
        >>> found.safe, [one.id for one in found.findings if one.refuses]
        (False, ['above-travel'])
    """
    too_large = _too_large(text)
    if too_large:
        return ProgramCheck(
            findings=(too_large,),
            moves=(),
            lowest_mm=None,
            highest_mm=None,
            minutes=0.0,
            stops=0,
            waits=0,
            fingerprint=None,
        )
    reader = ProgramReader(machine, sender_waits)
    lines = split(text)
    given = _made_for(lines)
    reader.findings += _belongs(given, fingerprint(machine))
    own = _own_lines(machine, lines)
    for one in lines:
        reader.findings += one.findings
        if one.comment.strip():
            reader.in_wait = False
        if one.findings or not one.code:
            continue
        if one.number in own and _passes_as_own(reader, one, own[one.number]):
            continue
        line, found = read_line(one.number, one.code)
        reader.findings += found
        if line is not None:
            reader.read(line, own=one.number in own)
    return _result(reader, given[0][1] if given else None)


def _too_large(text: str) -> Finding | None:
    if len(text) <= MOST_CHARACTERS and text.count("\n") <= MOST_LINES:
        return None
    return Finding(
        id="too-large",
        line=0,
        word=f"{len(text)} characters, {text.count(chr(10))} lines",
        what="no gauge set-up needs so long a program",
        allowed=f"{MOST_CHARACTERS} characters, {MOST_LINES} lines",
        remedy="Split it by set-up.",
    )


def _made_for(lines: list[Split]) -> list[tuple[int, str]]:
    """Every fingerprint that stands in a comment, with its line."""
    found = []
    for one in lines:
        said = re.fullmatch(rf"\s*{LABEL}\s+(\S+)\s*", one.comment, re.IGNORECASE)
        if said:
            found.append((one.number, said[1]))
    return found


def _belongs(given: list[tuple[int, str]], own: str) -> list[Finding]:
    if not given:
        return [
            Finding(
                id="no-fingerprint",
                line=0,
                word="no fingerprint",
                what="it does not say for which machine it was made",
                allowed=f"a comment: {LABEL} {own}",
                remedy="Make sure that it is for this machine, and write that comment in it.",
                refuses=False,
            )
        ]
    return [
        Finding(
            id="other-machine",
            line=number,
            word=said,
            what="it was made for another machine, or for this one before its travel or "
            "controller lines were changed",
            allowed=own,
            remedy="Write the program anew for this machine.",
        )
        for number, said in given
        if said != own
    ]


def _own_lines(machine: Machine, lines: list[Split]) -> dict[int, str]:
    """Numbers of the lines that are the person's own, declared in the machine file: the first
    ones of the program word for word, and the last ones."""
    coded = [one for one in lines if one.code]
    found: dict[int, str] = {}
    begin, end = _codes_of(machine.controller.begin), _codes_of(machine.controller.end)
    if begin and [one.code for one in coded[: len(begin)]] == begin:
        found |= {one.number: "begin" for one in coded[: len(begin)]}
    if (
        end
        and len(coded) >= len(found) + len(end)
        and [one.code for one in coded[-len(end) :]] == end
    ):
        found |= {one.number: "end" for one in coded[-len(end) :]}
    return found


def _codes_of(lines: tuple[str, ...]) -> list[str]:
    return [one.code for line in lines for one in split(line) if one.code]


def _passes_as_own(reader: ProgramReader, one: Split, place: str) -> bool:
    """Whether a person's own line is let through without being read as a standard one."""
    code = " ".join(one.code.split())
    if code in HARMLESS:
        return True
    if place == "end" and code in AT_THE_END:
        if code != "M2":
            reader.say(
                one.number,
                code,
                "motors-off",
                "the motors let go, and what the screws carry can run down by itself",
                "blocks under every end before this line",
                "Put the blocks under, or take the line out.",
                refuses=False,
            )
        return True
    first, *rest = code.split()
    if not re.fullmatch(r"M\d{1,4}", first):
        return False
    plain = f"M{int(first[1:])}"
    if plain in REASON or plain == "M0":
        return False
    if not all(re.fullmatch(r"[FLPQRSH][+-]?\d+(\.\d+)?", token) for token in rest):
        return False
    reader.say(
        one.number,
        code,
        "own-line",
        "your own line, not known here and not proved",
        "what you wrote in the machine file",
        "Make sure that it moves and heats nothing.",
        refuses=False,
    )
    return True


def _result(reader: ProgramReader, made_for: str | None) -> ProgramCheck:
    if not reader.did:
        what = "no line of it does anything"
        reader.say(0, "empty", "empty", what, ALLOWED, "Look whether the file is whole.")
    if reader.moves and reader.height is None:
        what = "how far the axis goes is not in the machine file, so nothing bounds its moves"
        remedy = "Measure the travel and write it in the machine file."
        reader.say(0, "travel.height_mm", "no-travel", what, "a height in mm", remedy)
    minutes = reader.seconds / 60.0
    if minutes > LONGEST_MINUTES:
        reader.say(
            0,
            f"{minutes:.0f} min",
            "too-long",
            "it would run too long to be watched",
            f"{LONGEST_MINUTES:g} min",
            "Look at feeds and waits.",
        )
    heights = [move.to_mm for move in reader.moves]
    return ProgramCheck(
        findings=_shortened(reader.findings),
        moves=tuple(reader.moves),
        lowest_mm=min(heights, default=None),
        highest_mm=max(heights, default=None),
        minutes=minutes,
        stops=reader.stops,
        waits=reader.waits,
        fingerprint=made_for,
    )


def _shortened(findings: list[Finding]) -> tuple[Finding, ...]:
    ordered = sorted(findings, key=lambda one: (not one.refuses, one.line))
    if len(ordered) <= MOST_FINDINGS:
        return tuple(ordered)
    more = replace(
        ordered[MOST_FINDINGS - 1],
        id="more",
        word="more",
        what=f"{len(ordered) - MOST_FINDINGS + 1} more findings are not told",
        allowed="none",
        remedy="Mend these first.",
    )
    return (*ordered[: MOST_FINDINGS - 1], more)
