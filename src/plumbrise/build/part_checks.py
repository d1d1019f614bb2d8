"""What is measured on a part before the machine is opened for it: one record for every part."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.build import limits
from plumbrise.build.limits import fixed
from plumbrise.build.step import Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCheck:
    """How a part is tried against the machine as it stands. `part` is its name in the catalogue."""

    id: str
    part: str
    words: str
    accept: Measure | None = None
    unmeasured: str = ""
    fails: str = "Send it back or mend it."
    tools: tuple[str, ...] = ("calipers",)
    minutes: float = 5.0
    mark: str = ""


def _holes(what: str) -> Measure:
    return Measure(f"{what} of the new part less that of the old one", "caliper", "mm",
                   fixed(-0.2, 0.2))  # fmt: skip


_ALL = (
    PartCheck(
        id="fit-thrust-bearing", part="Thrust bearing", mark="motor-shaft",
        words="The washer with the smaller bore belongs on the screw, the other on the block. "
        "Measure the bore of the smaller one and the screw where it will sit.",
        accept=Measure("bore of the shaft washer less the screw's diameter", "caliper", "mm",
                       fixed(0.0, 0.2)),
    ),
    PartCheck(
        id="fit-clamp-collar", part="Clamp collar", mark="screw",
        words="It slides on by hand and grips when tightened.",
        accept=Measure("bore of the open collar less the screw's diameter", "caliper", "mm",
                       fixed(0.0, 0.2)),
    ),
    PartCheck(
        id="fit-radial-bearing", part="Radial bearing", mark="screw",
        words="It slides onto the screw's end by hand and does not tilt on it.",
        accept=Measure("bore of the bearing less the screw's diameter there", "caliper", "mm",
                       fixed(0.0, 0.05)),
    ),
    PartCheck(
        id="fit-bearing-block", part="Bearing block", mark="motor-shaft",
        words="The housing washer drops in, its face on the bottom of the bore; the block stands "
        "on a flat plate without rocking.",
        accept=Measure("bore of the block less the housing washer's diameter", "caliper", "mm",
                       fixed(0.0, 0.2)),
        fails="Ream or print it again with the bore corrected by what was found.",
    ),
    PartCheck(
        id="fit-shims", part="Shims", words="Count and measure them; no burr at the edges.",
        accept=Measure("thinnest one", "caliper", "mm", fixed(0.03, 0.12)),
        fails="Cut some from a drink can or a feeler leaf.",
    ),
    PartCheck(
        id="fit-lead-screw", part="Lead screw", mark="screw", minutes=8,
        tools=("flat plate", "feeler leaves", "calipers"),
        words="Length and diameter as ordered; roll it on a flat plate and try leaves where light "
        "shows. Chamfer the cut end and brush the thread.",
        accept=Measure("thickest leaf that goes under it on the plate", "feeler", "mm",
                       limits.straightness),
        fails="Send it back: a bent screw is not straightened by hand.",
    ),
    PartCheck(
        id="fit-nut", part="Nut", mark="nut",
        words="Run it over the whole new screw by hand, both ways; flange, body and hole circle as "
        "on the old nut.",
        accept=_holes("hole circle"),
        fails="Send it back, or drill the bracket before it is mounted.",
    ),
    PartCheck(
        id="fit-split-nut", part="Spring-split nut", mark="nut",
        words="Run it over a screw by hand; flange and hole circle as on the old nut; the height "
        "of both halves is free at the lowest place.",
        accept=_holes("hole circle"),
        fails="Send it back, or drill the bracket before it is mounted.",
    ),
    PartCheck(
        id="fit-ball", part="Steel ball", mark="motor-shaft",
        words="It drops through the coupling by itself.",
        accept=Measure("bore of the coupling less the ball", "caliper", "mm", fixed(0.1)),
        fails="Take a size smaller.",
    ),
    PartCheck(
        id="fit-rigid-coupling", part="Rigid clamp coupling", mark="motor-shaft",
        words="Both bores against motor shaft and screw; give the larger difference.",
        accept=Measure("bore less shaft, the larger of the two ends", "caliper", "mm",
                       fixed(0.0, 0.1)),
    ),
    PartCheck(
        id="fit-coupling", part="Coupling", mark="motor-shaft",
        words="Both bores against motor shaft and screw; give the larger difference.",
        accept=Measure("bore less shaft, the larger of the two ends", "caliper", "mm",
                       fixed(0.0, 0.1)),
    ),
    PartCheck(
        id="fit-bracket", part="Nut bracket", mark="nut",
        words="Hold it against the old bracket in its place: holes, and the height left below.",
        accept=_holes("hole spacing"),
        fails="Print it again with the holes corrected by what was found.",
    ),
    PartCheck(
        id="fit-floating-mount", part="Floating nut mount", mark="nut",
        words="Its height against what is free between nut and moving part at both ends of the "
        "travel; it holds together when it is pulled apart.",
        accept=Measure("height that stays free, lowest place", "caliper", "mm", fixed(1.0)),
        fails="Without height the travel gets shorter: choose a lower mount, or another nut.",
    ),
    PartCheck(
        id="fit-carriage-plates", part="Carriage plates", mark="ends",
        words="Measure the rollers' distance on old and new plate.",
        accept=Measure("distance of the rollers, new over old", "caliper", "times",
                       fixed(1.3, 1.6)),
        fails="Nearer brings little; wider may not pass at the ends of the travel.",
    ),
    PartCheck(
        id="fit-spring", part="Constant-force spring", mark="ends", tools=("spring balance",),
        words="Pull it out slowly by the length of the travel, face turned away.",
        accept=Measure("pull over the travel, the mean", "spring balance", "N",
                       limits.spring_pull),
        fails="Choose another; two alike side by side add up.",
    ),
    PartCheck(
        id="fit-pulleys", part="Timing pulley", mark="screw",
        words="Count the teeth of both, marked tooth to marked tooth, twice.",
        tools=("paint pen",),
        accept=Measure("difference of teeth between the two", "eye", "teeth", fixed(0.0, 0.0)),
        fails="Two that differ tilt the moving part with every turn: send one back.",
    ),
    PartCheck(
        id="fit-belt", part="Closed timing belt", mark="screw", tools=("tape",),
        words="Its teeth times its pitch against twice the distance of the screws and one turn of "
        "a pulley (pitch times teeth).",
        accept=Measure("length of the belt less the way it has to go", "tape", "mm",
                       fixed(-2.0, 15.0)),
        fails="Take the next stock length that the tensioner reaches.",
    ),
    PartCheck(
        id="fit-tensioner", part="Belt tensioner with idler", mark="screw",
        words="Where it sits, and how far its idler can be moved.",
        accept=Measure("reach of the idler", "caliper", "mm", fixed(8.0)),
        fails="Lengthen its slot and print it again.",
    ),
    PartCheck(
        id="fit-motor", part="Step motor", mark="motor-shaft", tools=("multimeter",),
        words="Cold, nothing plugged in: both coils; no contact joined to the case.",
        accept=Measure("larger coil's resistance over the smaller's", "multimeter",
                       "times", fixed(1.0, 1.1)),
    ),
    PartCheck(
        id="fit-motor-bracket", part="Motor bracket", mark="motor-shaft",
        words="The new motor on it: holes meet, the pilot ring sits.",
        accept=Measure("hole spacing of the bracket less the motor's", "caliper", "mm",
                       fixed(-0.2, 0.2)),
        fails="Print it again with the holes corrected by what was found.",
    ),
    PartCheck(
        id="fit-cable", part="Motor cable", mark="motor-shaft", tools=("tape", "multimeter"),
        words="Along its way with the moving part at both ends of the travel. Every wire from plug "
        "to plug by meter while the cable is bent.",
        accept=Measure("length to spare", "tape", "mm", fixed(100.0)),
        fails="A longer one. Nothing is spliced.",
    ),
    PartCheck(
        id="fit-gusset", part="Gusset plate or brace", mark="frame",
        words="Hold it in place and drive the moving part past it, by hand, slowly.",
        accept=Measure("room left where the moving part passes", "caliper", "mm", fixed(2.0)),
        fails="Another place for it, or a corner cut off.",
    ),
    PartCheck(
        id="fit-switch-bracket", part="Switch bracket", mark="frame",
        words="Holes against the switch, and the height at which it will be touched.",
        accept=_holes("height of the plunger"),
        fails="Slots instead of holes; the nozzle's height is set anew in any case.",
    ),
)  # fmt: skip
PART_CHECKS = {check.part: check for check in _ALL}
"""By the name that the part has in the catalogue."""
