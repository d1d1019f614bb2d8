"""English of the measure sheet; the page's script gets `SCRIPT` with the sheet."""

from __future__ import annotations

THE_PLAN = "the plan"
NOT_UNDERSTOOD = "The bench could not make out what this page sent. Load the page anew."
READ_ELSEWHERE = "This one was read or left on another page meanwhile."
NOT_THE_LAST = "Something else was done since, perhaps on another page. Nothing was taken back."
ANOTHER_PLAN = "This page was made for another plan. Load it anew."
LEAVE = "Leave"
WALK = "The walk"
CAPTURE = "Capture"
WHERE = "Where does the gauge go?"
NO_SCRIPT = (
    "Taking readings needs the page's script. Without it, fill in the worksheet and paste it, or "
    "use plumbrise capture."
)
GROWS = "How far it is behind so far"
LAST_READ = "Read so far in this set-up"
TARGET = "The axis is told to be at"
LEAF, NO_LEAF = "{mm} mm leaf", "no leaf"
TYPE = "Type what the long hand shows; two figures will do"
GAUGE_STANDS = "The gauge stands, go on"
WORKSHEET = "The worksheet as a file"
ON_DISK = (
    "Each reading is on disk before the next is asked. A foot switch that sends Enter works. "
    "Keep fingers clear of the screw while it turns."
)

SCRIPT = {
    "toldTo": TARGET,
    "hang": "Now",
    "stands": GAUGE_STANDS,
    "before": "Before a hand goes near",
    "pad": "Keypad",
    "read1": "gauge, mm",
    "stepGave": "the step gave",
    "off": "{off} mm outside what was expected ({low} to {high}). Keep it, or read again?",
    "movedOn": "Another page kept a reading while you typed, and this asks for the next one now. "
    "Keep it for this one, or read again?",
    "keep": "Keep",
    "keepIt": "Keep {value}",
    "undo": "Undo",
    "undoIt": "Undo {value}",
    "pass": "Cannot read",
    "note": "Note",
    "skip": "Leave the rest",
    "repeat": "Do it again",
    "rub": "Rub out",
    "last": "last {value}",
    "between": "expected {low} to {high}",
    "nothing": "nothing typed yet",
    "notReading": "not a reading: type 0.64 or 64",
    "read": "{done} of {all}",
    "keptCount": "{count} kept",
    "askSkip": "Leave the rest of this set-up, {left} readings? Enter leaves it, Escape goes on.",
    "askRepeat": "Do this set-up again from its start? What was read stays. Enter does it, Escape "
    "goes on.",
    "skipIt": "Leave the rest",
    "repeatIt": "Do it again",
    "again": "Read again",
    "kept": "{value} kept",
    "passed": "could not read",
    "takenBack": "{value} taken back",
    "noted": "noted",
    "mending": "Mending reading {number}, told {told}. It was {value}. Escape goes back.",
    "away": "The bench is not answering. {disk} readings are on disk, {waiting} wait in this "
    "browser. Go on: what waits is sent when it is back.",
    "back": "The bench is back. The {sent} that waited are on disk.",
    "sending": "{waiting} on their way",
    "waits": "This waits until the bench answers.",
    "unknownBrowser": "The bench asks for its code again. What waits stays in this browser: open "
    "the address that the terminal shows, and come back here.",
    "dark": "On this address the browser may let the screen go dark. Set the phone's screen to "
    "stay on longer. If it goes dark, nothing is lost: wake it and go on.",
    "storeFull": "This browser's store is full: what is typed now is held by this page alone until "
    "the bench has it. Leave the page open, or write it down.",
    "noStore": "This browser keeps nothing for a page: while the bench does not answer, write "
    "readings on paper.",
    "allRead": "All is read",
    "allReadMore": "Every set-up of this plan is read or left.",
    "seeAnswer": "See what they say",
    "told": "told, mm",
    "behind": "behind, mm",
    "moved": "moved, mm",
    "load": "load, N",
    "reading": "reading",
    "gave": "{gave} of {step}",
    "chart": "{y} against {x}, {count} readings so far",
    "noteAsked": "A note on the last reading; Enter keeps it",
    "moves": "Then let the axis go on.",
    "mm": "mm",
    "indicator": "From the indicator",
}


def taken_otherwise(value_mm: float) -> str:
    """A value that the page showed otherwise."""
    return f"The bench takes this for {value_mm:.2f} mm. Keep it, or read again?"


def same_elsewhere(number: int, value_mm: float) -> str:
    """Two pages kept the same value."""
    return f"Reading {number} was kept on another page too, the same {value_mm:.2f} mm."


def other_elsewhere(number: int, stands_mm: float | None, value_mm: float) -> str:
    """Two pages kept different values."""
    stands = "was left" if stands_mm is None else f"stands as {stands_mm:.2f} mm"
    return (
        f"Reading {number} {stands}, from another page. Your {value_mm:.2f} mm is noted beside it; "
        "mend the reading if yours is right."
    )
