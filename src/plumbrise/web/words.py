"""All English that the page itself says. What results say comes from `report`."""

from __future__ import annotations

PROGRAM = "Plumbrise"

WRONG_HOST = "This address is not the bench's. Use the address that the terminal printed."
TOO_LONG_AN_ADDRESS = "This address is too long."
NO_SUCH_METHOD = "This cannot be done here."
TOO_OFTEN = "Too many requests at once. Wait a moment and load the page again."
FROM_ELSEWHERE = "This was sent by another page than the bench's own, and nothing was done."
NOT_KNOWN = (
    "This browser is not known here. Open the address that the terminal printed, or type its code "
    "at /in."
)
BAD_LENGTH = "The request does not say how long it is."
TOO_LARGE = "This is larger than a session's table. Nothing was kept."
TOO_SLOW = "This came too slowly. Nothing was kept; send it again."

NOT_HERE = "There is nothing at this address"
CANNOT_USE = "This cannot be used as it is"
SHELF_TROUBLE = "The shelf cannot be read or written"
BUSY = "Much is being worked out already. Load the page again in a few seconds"
OUR_FAULT = "This is a fault of the program, and what was on disk is still there"

DOOR_SHUT = "Five wrong codes. Wait a minute, then type the code that the terminal shows."
WRONG_CODE = (
    "This code is not open: it was used, or is older than a quarter of an hour. The terminal shows "
    "the one that is."
)

THE_TABLE = "the table"

MACHINE = "Machine"
PLAN = "Plan"
MEASURE = "Measure"
READINGS = "Readings"
EXPLAIN = "Explain"
PLAN_ANSWER = "what to read in the time there is"
LEAD = "lead"
NO_LEAD = "lead not given"
NONE_YET = "none yet"
WORKING = "working it out"
NEEDS_READINGS = "needs readings"
CANNOT_TELL = "cannot tell yet"
TOO_FEW = "Too little was read for it so far. Fine or coarse steps at each end are what it takes."
PLACES_OPEN = "places, open which"

SKIP = "Skip to the notes"
OTHER_SHEETS = "Other sheets"
LIGHT = "Light"
DARK = "Dark"
INVENTED = "invented"
SHELF = "Shelf"
REPORT = "Report"
THE_DRAWING = "The drawing"
ANSWERS_SO_FAR = "The answers so far"
ALL_ANSWERS = "All answers"
CLOSE = "Close"
DRAWING_IN_FIGURES = "The drawing in figures"
WORKING_OUT = "Working it out: a few seconds, with hundreds of readings up to a minute."
WORKING_ON = "A first answer. The whole one follows, with hundreds of readings within a minute."
STOP = "Stop"
WAS_STOPPED = "Stopped before the whole answer was there."
DID_NOT_END = "It could not be worked out to the end."
GO_ON = "Work it out again"
CAUSES = "Causes"
NO_CAUSE = "No cause takes enough to be named."
WHAT_IS_LOST = "What is lost"
LEFT_OVER = "What is left over"
UNSURE = "What stays unsure"
TAKEN_AS = "What was assumed of the table"
WORKING_TITLE = "Working it out"
NO_READINGS = "No readings yet"

START = "Start"
START_TITLE = "What does your axis lose, and where?"
PUT_RIGHT = "Put this right, the rest is kept"
ARRANGEMENT = "How many screws carry it"
TABLE_ASKED = "Paste a table: told and read, a row for each reading"
TABLE_LIKE = "told\tread\n0\t0\n1\t0.62\n2\t1.58"
FILE_ASKED = "Or choose its file"
STATION_ASKED = "Where the gauge's tip rested"
STATION_UNSAID = "As the table says, else the left end"
READ_TABLE = "Read this table"
OPEN_EXAMPLE = "Open the invented example"
NOTHING_LEAVES = "Nothing leaves this computer."
TO_START = "Back to the start"
COME_IN = "Come in"
CODE_ASKED = "The code that the terminal shows"
OPEN_BENCH = "Open the bench"
LOST = "The bench is not answering. What was kept is on disk. Trying again."
SHELF_TITLE = "What has been kept"
SHELF_EMPTY = "Nothing yet. Paste a table, or describe a machine."
SET_UPS = "Set-ups"
ADDED = "Since"

LOSES, TOGETHER_LOSE, AT_LEAST = "{} loses {}", "{} together lose {}", "at least {}"
NOTHING_READ, NOT_READ_YET = "{}: nothing read yet", "not read yet"
UNKNOWN_TAKEN = ("If unknown", "Taken as")
"""How a field says what stands in for it, and how a sheet says that it does."""
READ_BESIDE = "What was read beside it"
STATION = "Station"
TEST = "Test"
LOST_WORD = "lost"
NOT_READ = "not read"
WHAT_THEY_SAY = "What they say"
TAKE_IT = "Take these readings now"
PLAN_IT = "Plan an evening"
TAKES_NO_HEIGHT = "takes no lost motion"
TAKEN_UNSAID = "What nobody gave"
DESCRIBE_IT = "Give it:"
BACK_TO_ANSWER = "Back to the answer"
SEEN_HERE = "Here the gauge sees:"
READ_HERE = "What was read here"
WORTH_READING = "Worth reading here"
HOW_IT_STANDS = "How the gauge stands"
DESCRIBE_PARTS = "Describe the machine part by part"
PLAN_READINGS = "Plan readings"
CANNOT_BE_SEEN = "Nothing read so far could show it. It takes"
WHAT_RETURNS = "What returns when this alone is put right"
FOR_IT = "For it"
AGAINST_IT = "Against it"
IN_NUMBERS = "In numbers"
WHAT_TO_DO = "What to do about it"
PART_NAMES = {
    "travel": "travel",
    "screw": "screw",
    "nut": "nut",
    "coupling": "coupling",
    "bearing": "bearing",
    "motor": "motor",
    "drive": "belt",
    "guide": "guides",
    "gantry": "moving part",
    "frame": "frame",
    "gauge": "gauge",
    "controller": "controller",
}

REPORT_TITLE = "The report"
REPORT_WORDS = (
    "Answer, drawing, readings by set-up, doubts and the data. Each file stands alone and can be "
    "sent to someone else."
)
REPORT_WAITS = "The report waits for an answer; the data can be kept now."
REPORT_FILES = (
    ("report.pdf", "Report, PDF on A4", "for paper"),
    ("report.pdf?paper=letter", "Report, PDF on letter", "for paper"),
    ("report.html", "Report, one page", "for a browser, light and dark"),
    ("load-path.svg", "The drawing", "SVG"),
)
DATA_FILES = (
    ("machine.toml", "The machine", "as every command reads it"),
    ("readings.csv", "The readings", "as every command reads them"),
)

NOT_WORKED_OUT = "Not worked out yet"
NO_READINGS_WORDS = "The drawing is dotted where a usual size stands in. Readings fill it in."
PASTE_READINGS = "Paste readings"
READINGS_BY_SET_UP = "Readings by set-up"
READINGS_WORD = "readings"
REPORT_KEEP = "Keep the report"

MACHINE_TITLE = "What the machine is made of"
MACHINE_WORDS = (
    "Give what you know. What you do not know gets a usual value, drawn dotted, and the answer "
    "is a little less sure."
)
NOTHING_GIVEN = "nothing given"
NOT_GIVEN = "not given"
ALL_GIVEN = "all given"
THE_WHOLE = "The whole machine"
NAME = "What you call it"
NOTE = "A note"
KEEP = "Keep"
UNDO_CHANGE = "Undo the last change"
ALL_PARTS = "All parts"
DO_NOT_KNOW = "don't know"
AS_ALL = "as on all"
EMPTY_MEANS = "Empty: not known."
EMPTY_MEANS_ALL = "Empty: as on all screws."
LEAVE_IT = "Leave it as it was"
SIDE_NAMES = {
    "all": "All screws",
    "left": "Left alone",
    "right": "Right alone",
    "back": "Back alone",
}

PLAN_TITLE = "What to read in the time there is"
MINUTES = "minutes"
WHAT_DO_YOU_SEE = "What do you see? It shapes the plan, not the answer"
MINUTES_ASKED = "Time there is"
GAUGES = "Gauges"
BALANCE = "Spring balance"
BLOCKS = "Blocks of known thickness"
YES = "yes"
NO = "no"
PLAN_ANEW = "Plan"
THE_PLAN = "The plan"
TAKE_THESE = "Take these readings"
BEFORE_A_HAND = "Before a hand goes near the machine"
FIRST_LOOKS = "By eye and hand"
THE_WALK = "The walk"
WATCH = "Watch:"
KEEP_PROGRAM = "Keep the motion program"
ON_PAPER = "On paper, or in a spreadsheet"
PLAN_FILES = (
    ("plan.pdf", "The plan, PDF", "to take to the machine"),
    ("worksheet.xlsx", "Worksheet, spreadsheet", "to fill in"),
    ("worksheet.csv", "Worksheet, CSV", "to fill in"),
)
NO_TRAVEL = (
    "No lines that move the axis: its travel is not given, and nothing is moved within a guessed "
    "one."
)
GIVE_TRAVEL = "Give the travel"
NO_PLAN = "No plan could be made."
LOOK_AGAIN = "Look again"
BEGUN = "Begun, not read to the end"
GO_ON_READING = "Go on reading"
READ_OF = "{} of {} readings, since {}"
NO_PROGRAM = "There is no motion program for this set-up"

READINGS_TITLE = "The readings"
SET_UP = "Set-up"
NOT_ENDED = "not ended"
TAKEN_BACK = "taken back"
MORE_READINGS, FIRST_READINGS = "More readings", "Bring readings in"
ADD_TABLE = "Add this table"
STATION_IN_TABLE = "As the table says"
ALL_SET_UPS = "All set-ups"
ODD = "Odd things found"
MEND = "Mend reading"
MEND_WORD = "Mend"
TOLD = "told"
READ_WORD = "read"
STRIKE = "Strike it out"
UNDO_LAST = "Take back reading"
CANNOT_READ = "could not be read"
PASSED_OVER = "passed over"
NO_WORD = "no."
FROM = "from"
APPROACH = {"up": "below", "down": "above"}
NOTE_WORD = "note"
WAS_MENDED = "mended"
WAS_ASSUMED = "assumed"
WHAT_HAPPENED = "What happened"
NOT_A_READING = '"{}" is not a reading. Type a number such as 0.35, up to 1000.'

NEW_SHEET = "new sheet"
WHAT_MADE_YOU_LOOK = "What made you look?"
IT_ORDERS = "Tick what you see, or nothing. It shapes the plan, not the answer."
GO_ON_WITH = "Go on with"
HAVE_READINGS = "I have readings: an answer in a minute"
ANY_TABLE = "From anywhere: told height, then what the dial showed. Commas, tabs, decimal commas."
SCREWS = "Screws"
LEAD_SHORT = "Lead"
MM_A_TURN = "mm a turn"
LEAD_UNKNOWN = "Leave the lead empty if you do not know it; what needs it then stays open."
MORE_OF_TABLE = "A file, another place of the gauge, inches"
TEST_ASKED = "What was done"
TEST_UNSAID = "As the table says, else steps up from home"
UNIT_ASKED = "Lengths in"
RESOLUTION_ASKED = "Smallest division of the gauge"
HAVE_MACHINE = "I have the machine here: measure it properly"
DRAW_AND_PLAN = "Draw it and plan"
ON_THE_SHELF = "On the shelf"
DO_NOW = "What can be done now"

PACK = "Pack"
HAVE_PACK = "I have a pack: look at another person's story"
PACK_ASKED = "Its file, ending in .zip"
OPEN_PACK = "Open this pack"
PACK_REFUSED = "This pack is not whole. Nothing of it was kept."
PACK_WHOLE = "The pack is whole"
PACK_FROM = "It was packed on {} by version {}."
PACK_UNTOLD = "(not told)"
PACK_ON_SHELF = (
    "Its readings are on your shelf now, with what was promised, what was measured on prints and "
    "the harness; nothing else of it was kept."
)
PACK_AGREES = "analysed again, the same numbers"
PACK_OTHER = "analysed again, other numbers"
PACK_MADE_AGAIN = "made again, the same numbers"
PACK_PROOF = "The proof"
PACK_BUILD = "The work order"
PACK_PROMISE = "Promised"
PACK_HARNESS = "The harness, judged here"
PACK_SEE_PROOF = "See before against after"
PACK_EXPLAINED_ANEW = (
    "Causes are worked out anew here, from the readings. A whole pack shows that nothing was "
    "changed on the way, not who took the readings."
)
TO_THE_ANSWER = "See the answer"
PACK_TITLE = "A pack to publish"
PACK_WORDS = (
    "One file with machine, readings, results, drawing and report, which another person can open "
    "and work out again. Name and notes are in it."
)
PACK_AFTERS = "With what was read after a change, in this order"
KEEP_PACK = "Keep the pack"
CAME_IN_A_PACK = "Where this came from"
PACK_NO_ANSWER = "no whole answer yet"
PACK_NEEDS = "machines with readings that are explained to the end"
PACK_WORK_IT_OUT = "Take readings or paste a table, and let it be worked out."
