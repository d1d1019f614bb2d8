"""Which words a motion program may hold, and why others are refused: tables only.

Word meanings follow ISO 6983-1 and the RS-274 family of dialects, and what step motor controllers
make of them; all from memory, no standard was at hand.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Command:
    """A word that begins a line: what it does, and which words may follow it."""

    code: str
    does: str
    words: tuple[str, ...] = ()


_MOVE = ("X", "Y", "Z", "F")

COMMANDS = {
    one.code: one
    for one in (
        Command("G0", "go there at the controller's own rate", _MOVE),
        Command("G1", "go there at the feed", _MOVE),
        Command("G4", "wait a while", ("P",)),
        Command("G20", "inches"),
        Command("G21", "millimetres"),
        Command("G28", "home", ("X", "Y", "Z")),
        Command("G90", "targets count from zero"),
        Command("G91", "targets count from here"),
        Command("M0", "stop and wait for the person"),
    )
}
SPELLINGS = {"G00": "G0", "G01": "G1", "G04": "G4", "M00": "M0"}
"""Two-digit forms that mean the same."""
ALLOWED = ", ".join(COMMANDS)


@dataclass(frozen=True, slots=True)
class Refused:
    """A sort of word that has no place here. `id` names the finding."""

    id: str
    why: str
    codes: frozenset[str]


def _codes(letter: str, *numbers: int | str) -> frozenset[str]:
    return frozenset(f"{letter}{number}" for number in numbers)


_ARC, _PROBE, _SHIFT = (2, 3, 5, "5.1", 6, 12, 13), (29, 30, 31, 32, 33, 34, 35), (10, 52, 92)

REFUSED = (
    Refused(
        "heat",
        "it sets a heater, and the gauge is read cold",
        _codes("M", 104, 109, 140, 190, 141, 191, 143, 301, 303, 304, 306, 568, 570),
    ),
    Refused("fan", "it switches a fan", _codes("M", 106, 107, 710)),
    Refused("spindle", "it turns or stops a spindle or laser", _codes("M", 3, 4, 5, 19)),
    Refused("coolant", "it switches coolant", _codes("M", 7, 8, 9)),
    Refused("tool", "it changes tools", _codes("M", 6, 61, 600, 701, 702) | _codes("G", 43, 49)),
    Refused("arc", "it moves in an arc or curve", _codes("G", *_ARC, 17, 18, 19)),
    Refused(
        "probe",
        "it probes or levels, and moves by rules of its own",
        _codes(
            "G", *_PROBE, "38.2", "38.3", "38.4", "38.5", 80, 81, 82, 83, 84, 85, 86, 87, 88, 89
        ),
    ),
    Refused(
        "zero-shift",
        "it shifts the zero that heights count from",
        _codes("G", *_SHIFT, "92.1", "92.2", "92.3", 53, 54, 55, 56, 57, 58, 59, "28.1", "30.1")
        | _codes("M", 206, 290, 428, 851, 565),
    ),
    Refused(
        "feed-mode",
        "it changes what F means",
        _codes("G", 93, 95, 96, 97) | _codes("M", 48, 49, 50, 51, 52, 53, 220),
    ),
    Refused(
        "macro",
        "it calls other lines, which nobody has read here",
        _codes("M", 97, 98, 99, 810, 811, 812, 813, 814, 815, 816, 817, 818, 819) | {"G65", "G66"},
    ),
    Refused(
        "file",
        "it reads, writes or deletes files of the controller",
        _codes("M", 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 32, 33, 36, 37, 38, 928, 471),
    ),
    Refused(
        "setting",
        "it changes how the controller works",
        _codes("M", 92, *range(200, 206), 208, 211, 350, 425, *range(500, 505), 564, 569, 574, 584)
        | _codes("M", 593, 665, 666, 669, *range(900, 928)),
    ),
    Refused("other-move", "it moves by rules of its own", _codes("M", 125, 280, 401, 402, 422)),
    Refused(
        "motors-off",
        "it takes the hold from the motors, and what the screws carry can run down",
        _codes("M", 18, 84, 410, 112, 999),
    ),
    Refused("power", "it switches power or pins", _codes("M", 42, 62, 63, 64, 65, 80, 81)),
    Refused("program-end", "on some controllers it rewinds or deletes", _codes("M", 1, 2, 60)),
)
REASON = {code: sort for sort in REFUSED for code in sort.codes}
"""Code -> why it is refused. What is in neither table is refused as unknown."""

ODD_LETTERS = {
    "A": "a turning axis",
    "B": "a turning axis",
    "C": "a turning axis",
    "D": "a tool offset",
    "E": "the extruder",
    "H": "a tool offset",
    "I": "the middle of an arc",
    "J": "the middle of an arc",
    "K": "the middle of an arc",
    "L": "a count of repeats",
    "Q": "a cycle",
    "R": "a radius",
    "S": "a heat or a speed",
    "T": "a tool",
    "U": "a further axis",
    "V": "a further axis",
    "W": "a further axis",
}
"""Letters that may stand in no line, and what they would be."""

HARMLESS = frozenset(
    (
        *("G40", "G49", "G80", "G94"),
        *("M5", "M9", "M17", "M82", "M83", "M107", "M114", "M115", "M400"),
        *("M104 S0", "M140 S0", "M141 S0"),
    )
)
"""What a person's own lines may hold besides: cancels a mode, switches off, asks or holds."""
AT_THE_END = frozenset(("M2", "M18", "M84"))
"""What a person's own last lines may hold: the program is over, the motors may let go."""

ACTS_AT_ONCE = {
    "!": "stops some controllers at once",
    "~": "makes some controllers go on at once, through a stop",
    "?": "is taken out of the line and answered by some controllers",
}
"""Characters that some controllers obey wherever they stand, even in a comment."""
ACTIVE_COMMENTS = frozenset(
    (
        *("AXIS", "DEBUG", "LOG", "LOGAPPEND", "LOGCLOSE", "LOGOPEN", "MSG", "PRINT"),
        *("PROBECLOSE", "PROBEOPEN", "PY"),
    )
)
"""First words by which a comment becomes a command."""
TRICKS = {
    "*": ("checksum", "a checksum belongs to the sender"),
    "#": ("variable", "what a variable holds cannot be read here"),
    "[": ("variable", "what a formula gives cannot be read here"),
    "]": ("variable", "what a formula gives cannot be read here"),
    "=": ("variable", "what a variable holds cannot be read here"),
    "<": ("variable", "what a variable holds cannot be read here"),
    ">": ("variable", "what a variable holds cannot be read here"),
    "{": ("variable", "what a formula gives cannot be read here"),
    "}": ("variable", "what a formula gives cannot be read here"),
    "$": ("setting", "it changes how the controller works"),
    "/": ("skip-mark", "whether this line is done depends on a switch"),
    "%": ("tape-mark", "some controllers begin or end a program here"),
    "@": ("host-command", "a sending program may obey it"),
    '"': ("text", "text has no place outside a comment"),
    "'": ("text", "text has no place outside a comment"),
    "\\": ("text", "text has no place outside a comment"),
    "&": ("text", "text has no place outside a comment"),
    "|": ("text", "text has no place outside a comment"),
    "_": ("macro", "a name that the controller looks up can do anything"),
    "^": ("text", "text has no place outside a comment"),
    "`": ("text", "text has no place outside a comment"),
    ":": ("checksum", "a line number or packet mark belongs to the sender"),
}
"""A character outside comments -> finding, and why."""
