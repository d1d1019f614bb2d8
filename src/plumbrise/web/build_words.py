"""All English that the build sheet itself says; what steps say comes from the work order."""

from __future__ import annotations

BUILD = "Build"
NOT_BEGUN = "not begun"
ALL_DONE = "all done"
DONE_OF = "{} of {} steps"
WIRING_IS = "wiring: {}"

TITLE = "Changes as ordered work"
NEEDS_SET = (
    "A work order is made of a chosen set of changes: what to prepare, every step with what "
    "accepts it, the wiring before the power, and the way back when a part does not fit."
)
CHOOSE = "Choose what to change"
FROM_SET = "Make the work order"
FROM_SET_WORDS = "Steps in their order, each with what accepts it; power last, after the wiring."
NOTHING_CHOSEN = "nothing chosen yet"
A_SET = "a set of changes that the redesign sheet proposes"
CHOOSE_FIRST = "Open that sheet; it may take some seconds until it has one."
HAVE_FILE = "I have a file"
FILE_ASKED = "A proposal, or a work order that was kept; ending in .json"
OPEN_FILE = "Open it"
WIRING_FIRST = "Prove the wiring"
WIRING_ALONE = "The wiring can be proved by itself, before or without any of this."

STEPS = "The steps"
STEP = "Step"
LIMIT = "Accepted"
ENTERED = "Entered"
PLACE_DRAWN = "The axis with the place of this step"
TOOLS = "Tools"
FAILS = "Otherwise"
LAST = "Entered {}"
VALUE = "What was measured"
SAID = "In a word or two"
ENTER = "Enter it"
ENTER_AGAIN = "Enter it anew"
ENTER_DONE = "It is done"
DONE_WORD = "done"
TURN = "Its turn comes after"
ACCEPT = "Take it as it is"
ACCEPT_WHY = "Why, in a sentence that is kept"
SKIP = "It cannot be measured: go on without"
FIRM = "Somebody can be hurt here: it cannot be taken as it is."
BACK_FROM = "It cannot be brought to that: the way back"
BACK_TO_STEP = "Back to the step"
CHOOSE_ANOTHER = "Choose another set"
NEXT_STEP = "Next"
CAUTION = "Before a hand goes near it"

GATE = "Power stays shut"
GATE_WORDS = (
    "Until the wiring is a go, or you take it on yourself in words, no power-up is entered."
)
TAKE_VERDICT = "Enter this verdict"
VERDICT_NOW = "The wiring sheet says:"
NO_VERDICT = "Nothing is measured on the wiring sheet yet."
TO_WIRING = "To the wiring sheet"
OWN_WORD = "Take it on yourself"
OWN_WORD_ASKED = "In a sentence that is kept: what you take on yourself, and why"

SETTINGS = "Settings of the controller that change"
VERIFY = "Verify"
MOVES = "The program of first moves"
MOVES_MISSING = "There is none. It needs {}."
KEEP_MOVES = "Keep the program"
KEEP = "Keep as files"
FILES = (
    ("work-order.html", "Work order, HTML", "every step, for screen and printer"),
    ("work-order.pdf", "Work order, PDF, A4", "with blanks for the values"),
    ("work-order.pdf?paper=letter", "Work order, PDF, letter", ""),
    ("work.json", "Progress, JSON", "for plumbrise build --progress"),
)
WAS = (
    "The machine's description changed since the work was begun. The steps and limits are still "
    "those of the machine as it was."
)
TAKE_DESCRIPTION = "Take the description as it is now"
BEFORE_WORK = "the machine before the work"
