"""All English that the foresee sheet and the one for the part to print say themselves."""

from __future__ import annotations

from plumbrise.report.band_words import ALIKE
from plumbrise.report.foresee_words import BEFORE_LINES, REMEDIES, TITLE
from plumbrise.report.printed_part import COARSE, PART, SAYS

__all__ = ["ALIKE", "BEFORE_LINES", "COARSE", "PART", "REMEDIES", "SAYS", "TITLE"]

FORESEE = "Foresee"
NOT_LOOKED = "what a print will show"
AS_TOLD = "layers as told"
LAYER_OFF = "layer {}: {} mm too {}"

NEEDS_READINGS = "A forecast needs readings"
NEEDS_READINGS_WORDS = (
    "How thick layers come out follows from what the axis loses. Take readings, or paste a table. "
    "What fits bands on a print can be told before, from their spacing alone."
)
WAITS_FOR_ANSWER = "The layers come once the readings are explained to the end."
CANNOT_TELL = "Cannot tell yet what a print will show"
PUT_RIGHT = "Put right what is marked; until then the usual value stands in."

ALL_WELL = "Every layer comes out as told"
WORST = "Layer {} comes out at {} mm where {} mm are told"
THIN = "thin"
THICK = "thick"

THE_PRINT = "The print"
LAYER = "Layer height"
LAYERS = "Layers"
WIDTH = "Line width"
FIRST = "Layer one"
OFFSET = "Offset of the whole"
DIP = "How low a dip goes"
LIFT_BY = "How high a lift goes"
PLACE = "The part, from the left guide"
PROBE = "Force when homing stops"
STARTS = "Last move before layer one"
LIFTS = "Lift between moves"
SPIRAL = "Without a seam: the nozzle rises all through a layer"
MORE = "Layer one, offset, dip, lift, homing"
AS_OTHERS = "Empty: as the others."
IN_THE_MIDDLE = "Empty: the middle."
AFTER_CHANGES = "As after a change"
NOT_AFTER = "the axis as it is"
AFTER_NEEDS = "Take the readings that the plan proposes: too few were read to foretell a change."
AFTER_WORDS = (
    "Tick what you mean to do: the print is foretold as after it, and as it is now beside."
)
SLIDER = "slider"
SHOW = "Foresee"
USUAL = "Back to the usual"

IN_THE_REPORT = "It stands in the report, as it was last foreseen."
NOT_IN_THE_REPORT = (
    "The report can say it too: layers, wall, bands, and remedies with their motion lines."
)
ADD_IT = "Put it into the report"
LEAVE_IT_OUT = "Leave it out of the report"
ANOTHER_PRINT = "Another print"
AS_THE_SHEET_ASKS = "what the foresee sheet takes"
SET_IT_THERE = "Set the print there, then come back to the report."

MEASURED_BANDS = "Bands on a print: what fits?"
SPACING = "Bands stand apart"
LAYER_TIME = "Time of a layer"
MEASURE_TEN = "Measure over ten bands and divide by ten. Takes the layer height above."
BANDS_WORDS = (
    "Measure over ten bands and divide by ten. Common screws, motors and rollers are tried; with a "
    "machine described, its own are."
)
WHAT_FITS = "What fits?"

WALL = "The first layers cut across, to scale"
LAYER_BY_LAYER = "Thickness, layer by layer; whiskers: 95 %"
BANDS_DRAWN = "How the wall swings over its height"
IN_WORDS = "The layers in words and figures"
LAYER_HEAD = "Layer"
TOLD_AT = "Told at, mm"
COMES_OUT = "Comes out, mm"
WIDE = "Line, mm"
SIDE = "Each side, mm"
TO_EXPECT = "To expect"

MOTION_LINES = "Motion lines"
KEEP_LINES = "Keep these lines"
TRY_IT = "Foresee it so"
BANDS = "Bands"
UNSURE = "What stays unsure"

PART_SHORT = "Print a part as a gauge"
PART_WORDS = (
    "Fifteen squares measured with calipers tell causes apart without a dial gauge, more coarsely."
)
PART_NEEDS = "A test part needs an explained axis"
WRITE_HERE = "Write what you measured below; leave out what you did not. Three squares or more."
HOW_TO_PRINT = "How to print and measure it"
BACK = "Back to the forecast"
STEPS_TABLE = "What the squares measure, mm"
SQUARE = "Square"
TOLD = "Told"
NOTHING_WRONG = "Nothing wrong"
EXPECTED = "Expected"
TELLS_MOST = "Where causes lie furthest apart"
NAMED = {"left": "Left", "middle": "Middle", "right": "Right"}
FROM_LEFT = "{}, {:g} mm from the left guide"
MEASURED = "What you measured, mm"
THICKNESS = "{}, {}"
WEIGH = "Weigh it"
KEEP_TABLE = "Keep the table, CSV"
KEEP_PART = "Keep it with the answer"
LEAVE_PART = "Leave it out of the answer"
PART_READ = "What was measured on the part"
PART_OLDER = (
    "Readings or machine have changed since this part was kept; after a change to the axis, print "
    "it anew."
)
PART_FITS_NO_MORE = "As the machine is described now, this part cannot be weighed. {}"
TOO_FEW = "Three squares or more say something."
CAUSE = "Cause"
BEFORE = "Before"
AFTER = "With the part"
