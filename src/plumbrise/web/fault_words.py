"""English of what is wrong with what was typed or asked for, and what to do about it."""

from __future__ import annotations

PLAN_OF_MACHINE = "a plan that was made for this machine"
CHOOSE_PLAN = "Choose it from the machine's sheet, or make another."
AT_FIELD = '"{}" was given, {} can stand here. {}'
LETTERS, UP_TO, SHORTEN = "{} letters", "up to {}", "Shorten it."
CORRECT_IT = "Correct it."
WHOLE_NUMBER, WHOLE_LAYERS = "a whole number", "Count whole layers."
TIME_THERE_IS = "Give the time you have."
TIME_FOR_ONE, MORE_MINUTES = "time for one set-up at least", "Give it more minutes."
NOTHING, A_TABLE = "nothing", "a table of readings"
TWO_COLUMNS = "two columns or more, a row for each reading"
PASTE_IT = "Paste it, or choose its file."
NO_SET, PROPOSED_SET = "no set", "a set of changes that is proposed"
LOOK_AT_REDESIGN = "Look at the redesign sheet first."
NO_ANSWER, EXPLAINED_MACHINE = "no answer yet", "a machine with readings that are explained"
GET_ANSWER = "Take readings or paste a table, and let it be worked out."
SHELVED_MACHINE = "a machine on the shelf"
PROCESS_ENDED = "The working process ended."
PROCESS_UNREAD = "What the working process said could not be read."
NOT_KEPT = "The answer stands, but could not be kept: {}"
BROKE_OFF = (
    "This broke off by a fault in the program. Your readings are safe. What it stumbled over "
    "stands in the window in which the bench runs."
)
