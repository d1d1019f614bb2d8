"""English of the measure sheet; the page's script gets `SCRIPT` with the sheet."""

from __future__ import annotations

THE_PLAN = "the plan"
NOT_UNDERSTOOD = "The bench could not make out what this page sent. Load the page anew."
READ_ELSEWHERE = "This one was read or left on another page meanwhile."
NOT_THE_LAST = "Something else was done since, perhaps on another page. Nothing was taken back."
ANOTHER_PLAN = "This page was made for another plan. Load it anew."
LEAVE = "Leave"
WALK = "The walk"
WHERE = "Where does the gauge go?"
NO_SCRIPT = (
    "Taking readings needs the page's script. Without it, fill in the worksheet and paste it, or "
    "use plumbrise capture."
)
TARGET = "The axis is told to be at"
COMING, BY_HAND = "coming {way}", "by hand {way}"
"""From which side the axis comes to a target, and over which heights whoever moves it goes."""
TYPE = "Type what the long hand shows; two figures will do"
STEP_AT_HAND, STROKE_AT_HAND = "Gauge step", "Gauge stroke"
"""Of the gauge at hand, where it is not the one that was described."""
GAUGE_STANDS = "The gauge stands, go on"
WORKSHEET = "The worksheet as a file"
ON_DISK = (
    "Each reading is on disk before the next is asked. A foot switch that sends Enter works. "
    "Keep fingers clear of the screw while it turns."
)

STOPPED = "Stopped by hand."
BENCH_CLOSES = "The bench was closed."
NOBODY_LOOKS_ON = "No page looks on any more, so nothing more is sent."
STOPPED_MEANWHILE = (
    "It was stopped meanwhile, perhaps on another page. Say it again if it may move."
)
ASKED_MEANWHILE = (
    "The axis followed another word meanwhile, perhaps of another page. Say it again if it is to "
    "go on."
)
CAME_LATE = (
    "This came to the bench too late to be done: the network or the bench held it up. Nothing was "
    "moved. Say it again if it may move."
)
MOVES_ALREADY = "It moves already."
ANOTHER_MACHINE = (
    "This bench moves another machine since its first move. Close the bench and open it anew to "
    "move this one."
)
ANOTHER_DESCRIPTION = (
    "What moves, travel or homing, was described anew after this plan was made. Make the plan "
    "anew, then move."
)
BEGIN_FIRST = "It does not stand in this set-up. Begin the set-up first."
NOT_FROM_HERE = (
    "This device may stop the axis, not move it. Move it from the computer that runs the bench, or "
    "open the bench with --move-from-anywhere."
)
NOT_ASKED_NOW = "Another reading is asked for now, perhaps since another page kept one."
NOT_MOVED_HERE = "Nothing of the machine is moved by the controller in this set-up."
HOMES = "It homes, then goes to where the gauge is set. Keep gauge and hands away."
WAITS_FOR_SENT = "It waits until what was sent before is done. {bound}"
STOPPING = "The stop is on its way."
FAULT_OF_OURS = "Something broke in the bench, so nothing more is sent."
NOT_MARKED = "The set-up could not be marked."
STOP_AXIS = "Stop the axis"
THE_AXIS = "the axis"
STOP_NOT_REACHED = (
    "The stop did not reach the bench. Use the machine's own switch. A moving axis stops by itself "
    "within a few seconds when no page is heard of."
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
    "leaveOut": "Leave this set-up out",
    "leaveOutSure": "Yes, leave it out: {left} readings",
    "repeat": "Do it again",
    "rub": "Rub out",
    "last": "last {value}",
    "between": "expected {low} to {high}",
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
    "away": "The bench is not answering. On disk: {disk}; {waiting} wait in this "
    "browser. Go on: what waits is sent when it is back.",
    "back": "The bench is back. The {sent} that waited are on disk.",
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
    "toldWith": "with",
    "behind": "behind, mm",
    "moved": "moved, mm",
    "load": "load, N",
    "reading": "reading",
    "gave": "{gave} of {step}",
    "chart": "{y} against {x}, {count} readings so far",
    "noteAsked": "A note on the last reading; Enter keeps it",
    "mm": "mm",
    "typeOver": "What the indicator shows; type to take another value",
    "still": "indicator at rest",
    "notStill": "indicator moves",
    "keepStill": "Keep when still",
    "keepNow": "Keep {value} now",
    "keepsWhenStill": "Kept as soon as it is still. Press once more to keep it as it is.",
    "keepAndMove": "Keep {value}, move on",
    "moveTo": "Move to {target}",
    "movesNow": "It moves",
    "movesStill": "The axis still moves. Keep it when it stands.",
    "moveLost": "The bench did not answer. See above whether it moves; nothing is sent again by "
    "itself.",
    "moveIt": "All is clear: move {machine}",
    "without": "Read this set-up without moving it from here",
    "homesFirst": "It homes first, and then waits until the gauge is set: keep gauge and hands "
    "away from it until then.",
    "and": "and",
    "whoseNow": "{said}; now {place}",
    "forgotten": "What was said for this target is forgotten.",
    "turn": "It counts the other way",
    "countsDown": "its gauge counts down",
    "halfReadAgo": "Some of this set-up was read a while ago",
    "touchedMore": "What was read stays on the shelf either way.",
    "untouched": "No, go on",
    "wasTouched": "Yes, read this set-up again",
    "halfRead": "Some of this set-up is read. A new home gives the gauge another zero, so it is "
    "done again from its start; what was read stays.",
    "switchAtHand": "The stop above sends nothing more, but what was sent is still moved: at most "
    "one move ahead. The machine's own switch is the only sure stop: keep a hand at it.",
    "waitsNow": "It waits for you",
    "handsOff": "While hands are near it, it stays where it is. Take them off before you go on.",
    "goOn": "Hands off: move to the first reading",
    "moving": "It moves",
    "handsAway": "Keep gauge and hands away. Stop is above.",
    "passedBy": "the axis has passed this one and stays",
    "programLeft": "The axis holds where it is. Its program can be run to its end.",
    "endProgram": "Hands off: run it to its end",
}

DOES = {
    "idle": "Nothing moves.",
    "moves": "It moves.",
    "waits": "It waits for you.",
    "stands": "At rest.",
    "stopped": "Stopped.",
    "held": "Stopped. It stays where it is until you say otherwise.",
}
"""What the axis does, beside the stop, where there is nothing else to say."""
BY_ITSELF = "Keep once still"
ON_BY_ITSELF = "Move on once kept"


def taken_otherwise(value_mm: float) -> str:
    """A value that the page showed otherwise."""
    return f"The bench takes this for {value_mm:.2f} mm. Keep it, or read again?"


def same_elsewhere(number: int, value_mm: float) -> str:
    """Two pages kept the same value."""
    return f"Reading {number} was kept on another page too, the same {value_mm:.2f} mm."


def set_up_gone(name: str, typed: str) -> str:
    """Something came for a set-up that is no more."""
    kept = f" {typed} was kept nowhere." if typed else ""
    return f"{name} is no more: that it is done again was taken back on another page.{kept}"


def turned(count: int) -> str:
    """What was read with a gauge that is found to count the other way."""
    one = "1 reading of this set-up is" if count == 1 else f"{count} readings of this set-up are"
    return f"{one} turned round with it."


def other_elsewhere(number: int, stands_mm: float | None, value_mm: float) -> str:
    """Two pages kept different values."""
    stands = "was left" if stands_mm is None else f"stands as {stands_mm:.2f} mm"
    return (
        f"Reading {number} {stands}, from another page. Your {value_mm:.2f} mm is noted beside it; "
        "mend the reading if yours is right."
    )
