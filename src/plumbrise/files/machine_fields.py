"""The fields of the machine file: one record each, from which the reader's errors, the comments of
a written file, the questions of `describe` and the schema draw."""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from types import UnionType
from typing import Annotated, Any, Literal, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Le

from plumbrise.machine.defaults import DEFAULTS, Default
from plumbrise.machine.description import (
    Bearing,
    Controller,
    Coupling,
    Drive,
    Frame,
    Gantry,
    Gauge,
    Guide,
    Motor,
    Nut,
    Screw,
    Travel,
)

FORMAT = 1
"""Version of the machine file."""

PARTS: dict[str, type[Any]] = {
    "travel": Travel,
    "screw": Screw,
    "nut": Nut,
    "coupling": Coupling,
    "bearing": Bearing,
    "motor": Motor,
    "drive": Drive,
    "guide": Guide,
    "gantry": Gantry,
    "frame": Frame,
    "gauge": Gauge,
    "controller": Controller,
}
PER_SIDE = ("screw", "nut", "coupling", "bearing", "motor")
"""Parts that every screw has: `[screw]` speaks for all, `[screw.right]` for one."""

UNITS = {
    "_n_per_mm": ("N/mm", "stiffness"),
    "_nmm": ("N·mm", "torque"),
    "_mm": ("mm", "length"),
    "_kg": ("kg", "mass"),
    "_n": ("N", "force"),
    "_a": ("A", "current"),
}
"""Ending of a key -> its unit, and what it measures. Longer endings stand first."""

_WORDS: dict[str, tuple[str, Any]] = {
    "travel.height_mm": ("How far the axis goes, lowest to highest.", 250.0),
    "screw.lead_mm": ("Travel for one turn: pitch times starts.", 8.0),
    "screw.starts": ("Threads side by side, counted at the end face.", 4),
    "screw.diameter_mm": ("Outside diameter of the thread.", 8.0),
    "screw.length_mm": ("Length from coupling to top end.", 330.0),
    "screw.side": ("Where the only screw stands, seen from the front.", "left"),
    "screw.top_end": ("Top end of the screw: free, or held by a bearing.", "free"),
    "screw.lead_u": (
        "How far off the lead may be, as a share of it: 0.0005 is 0.5 mm in a metre.",
        0.0005,
    ),
    "nut.kind": ("Kind of nut: plain, split with a spring, or floating in its mount.", "plain"),
    "nut.mount": ("How the nut is fixed: standing on its bracket or hanging under it.", "standing"),
    "nut.play_mm": ("Axial play between nut and screw, as measured by itself.", 0.04),
    "nut.bracket_stiffness_n_per_mm": ("Stiffness of the plate that carries the nut.", 400.0),
    "coupling.kind": ("What joins motor shaft and screw.", "helical"),
    "coupling.axial_stiffness_n_per_mm": ("Stiffness along its axis, from its data sheet.", 60.0),
    "coupling.length_mm": ("Length of the coupling.", 25.0),
    "coupling.diameter_mm": ("Outside diameter of the coupling.", 19.0),
    "bearing.carries_weight": (
        "What holds the screw up: the motor's own bearings or a thrust bearing.",
        "motor",
    ),
    "motor.full_steps_per_turn": ("Full steps of the motor for one turn: 200 is 1.8 degrees.", 200),
    "motor.microsteps": ("Microsteps to a full step.", 16),
    "motor.holding_torque_nmm": ("Holding torque from the data sheet.", 400.0),
    "motor.rated_current_a": ("Rated current of a phase.", 1.0),
    "motor.end_float_mm": ("How far the shaft can be lifted by hand.", 0.05),
    "motor.frame_size_mm": ("Width of the motor's square face.", 42.0),
    "drive.motor_teeth": ("Teeth of the pulley on the motor.", 20),
    "drive.screw_teeth": ("Teeth of the pulley on the screw.", 20),
    "drive.belt_pitch_mm": ("Distance from tooth to tooth of the belt.", 2.0),
    "guide.kind": ("What the carriages run on.", "rollers"),
    "guide.span_mm": ("Distance from left guide to right guide.", 340.0),
    "guide.depth_mm": ("Distance from the front screws to the back screw.", 260.0),
    "guide.carriage_height_mm": ("Distance from upper to lower roller of a carriage.", 60.0),
    "guide.drag_n": ("Drag of one guide, as measured with a spring balance.", 2.0),
    "gantry.mass_kg": ("Mass that the screws carry.", 1.2),
    "gantry.centre_of_mass_mm": ("Where its centre of mass lies, from the left guide.", 150.0),
    "gantry.beam_height_mm": ("Height of the beam's section.", 20.0),
    "frame.upright_height_mm": ("Height of the uprights.", 400.0),
    "frame.upright_width_mm": ("Width of an upright, seen from the front.", 20.0),
    "frame.base_width_mm": ("Width of the base, seen from the front.", 400.0),
    "frame.base_height_mm": ("Height of the base.", 40.0),
    "gauge.resolution_mm": ("Smallest division or digit of the gauge.", 0.01),
    "gauge.wrap_mm": ("One turn of a dial that has no turns counter.", 1.0),
    "gauge.range_mm": ("Stroke of the gauge's plunger.", 10.0),
    "controller.dwell_unit": (
        "What the controller counts a wait in: G4 P500 is half a second in milliseconds.",
        "milliseconds",
    ),
    "controller.stop_waits": ("Whether a stop (M0) waits until you let it go on.", True),
    "controller.home": ("Direction in which the axis homes.", "down"),
    "controller.begin": ("Lines your controller needs before a program.", ("G21",)),
    "controller.end": ("Lines your controller needs after a program.", ("G28",)),
}

_TAKEN_INSTEAD = {
    "gantry.centre_of_mass_mm": "the middle of the span (guess)",
    "screw.lead_mm": "what needs it cannot be told yet",
    "gauge.wrap_mm": "the gauge is taken to count its turns",
    "gauge.range_mm": "the 10 mm of a common dial (guess)",
}
"""Where no default value stands in, but something is done all the same."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of one table: what it is, and what may stand there.

    `takes` is "number", "count", "choice", "yes-no" or "lines"; `measures` names the quantity of
    a number ("length", ...), empty for a ratio.
    """

    part: str
    name: str
    words: str
    example: Any
    takes: str
    unit: str = ""
    measures: str = ""
    choices: tuple[str, ...] = ()
    above: float | None = None
    at_least: float | None = None

    @property
    def key(self) -> str:
        """As people write it: screw.lead_mm."""
        return f"{self.part}.{self.name}"

    @property
    def stem(self) -> str:
        """The name without its unit."""
        return stem_of(self.name)

    @property
    def default(self) -> Default | None:
        """What is taken where the person gave nothing."""
        return DEFAULTS.get(self.key)

    @property
    def if_unknown(self) -> str:
        """What is taken where the person does not know, and how far to trust it."""
        default = self.default
        if self.key in _TAKEN_INSTEAD:
            return f"If unknown: {_TAKEN_INSTEAD[self.key]}."
        if default is None:
            return "If unknown: nothing is assumed."
        value = f"{default.value:g}" if isinstance(default.value, float) else str(default.value)
        return f"If unknown: {value} {default.unit}".rstrip() + f" ({default.trust})."

    @property
    def allowed(self) -> str:
        """What may stand there, in words."""
        if self.takes == "choice":
            return ", ".join(self.choices[:-1]) + f" or {self.choices[-1]}"
        if self.takes == "yes-no":
            return "true or false"
        if self.takes == "lines":
            return "a list of lines in quotes"
        noun = "a whole number" if self.takes == "count" else "a number"
        if self.measures:
            noun = f"a {self.measures} in {self.unit}"
        if self.above is not None:
            return f"{noun} above {self.above:g}"
        return noun if self.at_least is None else f"{noun} of {self.at_least:g} or more"


def stem_of(name: str) -> str:
    """A key without the unit at its end.

    Example:
        >>> stem_of("bracket_stiffness_n_per_mm"), stem_of("starts")
        ('bracket_stiffness', 'starts')
    """
    for ending in UNITS:
        if name.endswith(ending):
            return name.removesuffix(ending)
    return name


def _field(part: str, name: str, hint: Any) -> Field:
    words, example = _WORDS[f"{part}.{name}"]
    unit, measures = next((UNITS[e] for e in UNITS if name.endswith(e)), ("", ""))
    bounds: list[Any] = []
    if get_origin(hint) is UnionType or type(None) in get_args(hint):
        hint = next(a for a in get_args(hint) if a is not type(None))
    if get_origin(hint) is Annotated:
        hint, *bounds = get_args(hint)
    above = next((b.gt for b in bounds if isinstance(b, Gt)), None)
    at_least = next((b.ge for b in bounds if isinstance(b, Ge)), None)
    assert not any(isinstance(b, Le) for b in bounds)
    choices: tuple[str, ...] = ()
    if get_origin(hint) is Literal:
        takes, choices = "choice", get_args(hint)
    else:
        takes = {float: "number", int: "count", bool: "yes-no"}.get(hint, "lines")
    return Field(
        part,
        name,
        words,
        example,
        takes,
        unit,
        measures,
        choices,
        _number(above),
        _number(at_least),
    )


def _number(bound: Any) -> float | None:
    return None if bound is None else float(bound)


def _all() -> dict[str, Field]:
    found = {}
    for part, kind in PARTS.items():
        hints = get_type_hints(kind, include_extras=True)
        for entry in fields(kind):
            assert entry.default is not MISSING
            made = _field(part, entry.name, hints[entry.name])
            found[made.key] = made
    return found


FIELDS: dict[str, Field] = _all()
"""Every field of every part, by "part.field", in the order of the file."""
