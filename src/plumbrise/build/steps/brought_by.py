"""Which changes bring a step, in groups, and words that several steps share."""

from __future__ import annotations

from plumbrise.redesign import CATALOGUE

TIED, MOTOR2 = "second-screw-tied", "second-screw-motor"
SECOND = (TIED, MOTOR2)
SETTINGS_ONLY = ("steps-per-mm", "four-step-layers", "slow-second-touch")
"""Changes that take nothing apart."""
EVERY = tuple(CATALOGUE)
OPENS = tuple(change for change in CATALOGUE if change not in SETTINGS_ONLY)
"""Changes for which the machine is held up and opened."""
NUTS = ("new-nut", "split-nut", "floating-nut")
SCREWS = ("straight-screw", "short-lead-screw")
SCREW_OUT = (*NUTS, *SCREWS, "thrust-bearing", TIED)
"""Changes for which a screw that is there comes out."""
COUPLED = ("ball-in-coupling", "rigid-coupling", *SCREW_OUT)
"""Changes for which a coupling is opened."""
CARRIED = ("thrust-bearing", TIED)
LINED_UP = ("align-nut", "square-frame", "brace-frame", "stiff-bracket", "stiff-carriages",
            "set-rollers", *COUPLED, MOTOR2)  # fmt: skip
"""Changes after which a screw and its nut must find their line again."""
SQUARED = ("square-frame", "brace-frame", "align-nut", *CARRIED, MOTOR2)
BELTED = ("tension-belt", "larger-pulleys", TIED)
LEVELLED = ("level-screws", MOTOR2)
CLAMPED = ("tighten-clamps", *COUPLED, "larger-pulleys", MOTOR2)
COUPLING = (("coupling.kind", ("rigid", "helical", "jaw", "slotted-disc")),)
HOMED = ("slow-second-touch", "stiff-switch")
FELT = "Felt by hand and looked at; what came of it is measured in a later step."
KEPT = "Kept to be looked up and compared later; there is no limit to it."
LOOKED = "Looked at: it is so, or it is not."
PINCH, FALL, PLUG, HOT = "pinch", "falling-gantry", "plugging", "hot-parts"
