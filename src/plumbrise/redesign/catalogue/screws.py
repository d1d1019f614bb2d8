"""Changes of the screw itself: clean it, free it, put in another."""

from __future__ import annotations

from plumbrise.redesign.catalogue.writing import (
    AT_MOST,
    ONE_SCREW,
    THREE_SCREW,
    TIMES,
    TWO_SCREW,
    effect,
)
from plumbrise.redesign.changes import Change, Part, Span

_ONE_LEAD = ("straight-screw", "short-lead-screw")
TOP_FREED = 0.4
"""What freeing the top of a screw leaves of what its bow does to the moving part. Between two
bearings it pushes L / (L - z) as hard as with a free end, 2 to 3 at middle heights."""
SCREW_PARTS = (
    Part(
        name="Lead screw",
        size="{screw_diameter_mm} mm, lead {lead_mm} mm, {screw_length_mm} mm long",
        note="Straight within 0.1 mm over 300 mm: roll it on a flat plate before it goes in.",
        lead_days=14,
        measure_first="Length of the screw that is there, and the free height above the nut at the "
        "top of the travel.",
    ),
    Part(
        name="Nut",
        size="for {screw_diameter_mm} mm, lead {lead_mm} mm",
        lead_days=14,
        measure_first="Diameter of flange, body and hole circle of the nut that is there: they "
        "differ between makes.",
    ),
)
"""A screw like the one that is there, and its nut."""

CLEAN_SCREW = Change(
    id="clean-screw",
    title="Clean and grease the screw",
    words="Wipe the thread, run the nut over it, remove burrs, and put a thin film of grease "
    "on the thread only.",
    effects=(
        effect("drag_n", TIMES, 0.88, 0.1, "guide-drag"),
        effect("spot_strength", TIMES, 0.5, 0.5, "tight-spot"),
        effect("stiction", TIMES, 0.5, 0.5, "stick-slip"),
        effect("thread_friction", TIMES, 0.75, 0.15),
    ),
    hours=Span(0.2, 0.3, 0.6),
    per_screw=True,
    tools=("lint-free cloth", "fine file or stone", "light grease"),
    side_effects=(
        "With less friction the moving part may run down by itself when the motors are off.",
        "Grease on rollers or belt makes them slip: keep it on the thread.",
    ),
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("screw",),
)
FREE_TOP = Change(
    id="free-top",
    title="Free the top of the screw",
    words="Take the bearing at the top of the screw out, so that the screw follows the nut.",
    effects=(
        effect("term:screw-bend", TIMES, TOP_FREED, 0.4, "screw-bend"),
        effect("misalignment_n", TIMES, 0.4, 0.5, "thread-misalignment"),
        effect("spot_strength", TIMES, 0.7, 0.3, "tight-spot"),
    ),
    hours=Span(0.1, 0.2, 0.4),
    machine=(("screw.top_end", "free"),),
    only_if=(
        ("screw.top_end", ("held",)),
        ("arrangement", (ONE_SCREW, TWO_SCREW, THREE_SCREW)),  # a tie belt would bend a free end
    ),
    tools=("hex keys",),
    side_effects=("A free end may whirl at fast lifts.",),
    hazards=("pinch",),
    sizing=("screw",),
    frees="the top of the screw sideways",
)
STRAIGHT_SCREW = Change(
    id="straight-screw",
    title="Straighter screw",
    words="Another screw of the same lead, rolled on a flat plate before it goes in.",
    effects=(
        effect("term:screw-bend", TIMES, 0.35, 0.4, "screw-bend"),
        effect("term:lead-error", TIMES, 0.6, 0.4, "lead-error"),
        effect("spot_strength", TIMES, 0.6, 0.4, "tight-spot"),
        effect("play_mm", AT_MOST, 0.04, 0.4, "nut-play"),
    ),
    cost=Span(10.0, 18.0, 40.0),
    hours=Span(1.0, 1.8, 3.0),
    per_screw=True,
    excludes=_ONE_LEAD,
    tools=("hex keys", "flat plate"),
    parts=SCREW_PARTS,
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("screw", "nut"),
    moves_zero=True,
)
SHORT_LEAD_SCREW = Change(
    id="short-lead-screw",
    title="Screw with a lead of 2 mm",
    words="A single-start screw and nut of 2 mm lead: finer steps, and it does not run down.",
    effects=(
        *(  # in the ratio of the leads
            effect("term:microstep-error", TIMES, factor, 0.15, "microstep-error", only_if=starts)
            for factor, starts in (
                (0.25, (("screw.starts", ("4",)),)),
                (0.5, (("screw.starts", ("2",)),)),
            )
        ),
        effect("term:lead-error", TIMES, 0.8, 0.4, "lead-error"),
        effect("play_mm", AT_MOST, 0.04, 0.4, "nut-play"),
    ),
    cost=Span(12.0, 22.0, 45.0),
    hours=Span(1.5, 2.2, 3.5),
    per_screw=True,
    machine=(("screw.lead_mm", 2.0), ("screw.starts", 1.0)),
    only_if=(("screw.starts", ("2", "4")),),
    excludes=_ONE_LEAD,
    tools=("hex keys", "calipers"),
    parts=SCREW_PARTS,
    side_effects=(
        "Lifts more slowly at the same motor speed, in the ratio of the leads.",
        "Steps per mm change: set and check them before the first print.",
    ),
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("screw", "motor"),
    moves_zero=True,
)
