"""What changes in the controller: old and new value, and how each is verified."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from plumbrise.build import limits
from plumbrise.build.step import On
from plumbrise.elements.motor_current import current_setting
from plumbrise.elements.screw import Ends
from plumbrise.elements.screw_column import fastest_lift_mm_per_s, whirl_hz
from plumbrise.machine import known, lead_mm
from plumbrise.quantity import rounded

READ_OFF = "as the controller has it"
SHORTENS = ("thrust-bearing", "floating-nut", "stiff-carriages", "stiff-bracket", "split-nut",
            "second-screw-tied", "second-screw-motor")  # fmt: skip
"""Changes that may take height of the travel."""
_COLD_OHM = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting of the controller. Values are words, since some are only told by the machine;
    `verify` says how, and what that can and cannot see."""

    id: str
    title: str
    old: str
    new: str
    unit: str
    why: str
    verify: str


def settings_of(on: On) -> tuple[Setting, ...]:
    """Every setting that this set of changes asks for, in the order of setting them.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import PerSide, blank
        >>> from plumbrise.machine.description import Screw
        >>> from plumbrise.redesign import CATALOGUE
        >>> from plumbrise.redesign.machine_changed import machine_changed
        >>> machine = replace(blank("one-screw"), screw=PerSide(Screw(lead_mm=8.0, starts=4)))
        >>> after = machine_changed(machine, [CATALOGUE["short-lead-screw"]])
        >>> on = On(before=machine, after=after, changes=frozenset({"short-lead-screw"}))
        >>> [(s.old, s.new) for s in settings_of(on) if s.id == "steps-per-mm"]
        [('400', '1600')]
    """
    return tuple(setting for make in _MAKERS for setting in make(on))


def _steps(on: On) -> Iterator[Setting]:
    new = limits.steps_per_mm_of(on.after)
    old = limits.steps_per_mm_of(on.before)
    if not on.changes & {"steps-per-mm", "short-lead-screw"}:
        return
    off = limits.verify_u_mm()
    lead_changes = "short-lead-screw" in on.changes
    yield Setting(
        id="steps-per-mm",
        title="Steps per mm",
        old=f"{old:g}" if old is not None and lead_changes else READ_OFF,
        new="cannot tell without the lead" if new is None else f"{new:g}",
        unit="steps/mm",
        why="Full steps times microsteps, over lead times turns of the screw for one of the motor.",
        verify=f"100 mm told, read with calipers: they and the screw's lead permit "
        f"{rounded(off, 2)} mm either way, {rounded(off, 2)} % of the value. It finds a wrong "
        "lead or microstep setting, not the last per mille.",
    )


def _speed(on: On) -> Iterator[Setting]:
    old, new = lead_mm(on.before), lead_mm(on.after)
    if "short-lead-screw" in on.changes:
        share = "in the ratio of the leads" if not old or not new else f"{new / old:g} of the old"
        yield Setting(
            id="lift-speed",
            title="Fastest lift and acceleration",
            old=READ_OFF,
            new=share,
            unit="mm/s",
            why="The same turns a second of the motor; more and it loses steps.",
            verify="Lift 50 mm at that speed ten times and home: the zero must come again within "
            "the range of ten homings.",
        )
    if "free-top" in on.changes and new:
        whirl = whirl_hz(
            core_diameter_mm=0.7 * float(known(on.after, "screw.diameter_mm").value),
            length_mm=float(known(on.after, "screw.length_mm").value),
            ends=Ends.HELD_FREE,
        )
        fastest = fastest_lift_mm_per_s(whirl_turns_per_s=whirl, lead_mm=new)
        yield Setting(
            id="whirl-speed",
            title="Fastest lift with a free top",
            old=READ_OFF,
            new=f"{rounded(fastest, 2)} mm/s at most",
            unit="",
            why="Four fifths of the speed at which the free screw begins to whip.",
            verify="Watch the free end at the fastest lift with the nut at its lowest: it must "
            "not whip. The sum knows the length to some per cent, the speed to twice that.",
        )


def _travel(on: On) -> Iterator[Setting]:
    taking = [change for change in SHORTENS if change in on.changes]
    if not taking:
        return
    given = on.before.travel.height_mm
    yield Setting(
        id="travel",
        title="Travel",
        old=f"{given:g}" if given is not None else READ_OFF,
        new="as measured afterwards",
        unit="mm",
        why="What was put in may take height. Write the measured one into the machine file too.",
        verify="By hand, motors unplugged, from touch to touch; a rule tells it to 1 mm, so set "
        "2 mm less.",
    )


def _current(on: On) -> Iterator[Setting]:
    if "second-screw-motor" not in on.changes:
        return
    rated = known(on.after, "motor.rated_current_a")
    made = current_setting(rated_current_a=float(rated.value), resistance_ohm=_COLD_OHM)
    assumed = ", of an assumed rated current: read it off the motor" if rated.assumed else ""
    yield Setting(
        id="current",
        title="Driver current, each motor",
        old=READ_OFF,
        new=f"{rounded(made.rms_a, 2)} A effective, {rounded(made.peak_a, 2)} A peak{assumed}",
        unit="",
        why="0.7 of the rated current. Two motors side by side on one driver get half each, one "
        "after the other the whole each at half the voltage.",
        verify="Motor warm after ten minutes of holding, below 60 °C by a thermometer on its case. "
        "A setting in software is told to a few per cent, a trimmer to a tenth.",
    )


def _direction(on: On) -> Iterator[Setting]:
    if "second-screw-motor" not in on.changes:
        return
    yield Setting(
        id="direction",
        title="Direction of the second motor",
        old="none",
        new="the same sense as the first",
        unit="",
        why="Screws that turn against each other rack what they carry.",
        verify="The first half millimetre: both screws the same way. A dial gauge at both ends "
        "tells 0.01 mm.",
    )


def _homing(on: On) -> Iterator[Setting]:
    if "slow-second-touch" not in on.changes:
        return
    yield Setting(
        id="homing",
        title="Homing",
        old=READ_OFF,
        new="touch, lift 2 mm, touch again at a tenth of the speed",
        unit="",
        why="The switch's way of answering counts with the speed.",
        verify="Range of ten homings; ten tell a range to about a quarter of itself.",
    )


def _compensation(on: On) -> Iterator[Setting]:
    if not on.changes - {"four-step-layers", "steps-per-mm"}:
        return
    yield Setting(
        id="compensation",
        title="Backlash compensation, height map",
        old=READ_OFF,
        new="off, cleared",
        unit="",
        why="They were made for the old axis and hide what the new one does.",
        verify="Read the settings back after power off. Make the map anew when all is done.",
    )


_MAKERS: tuple[Callable[[On], Iterator[Setting]], ...] = (
    _compensation, _current, _direction, _steps, _speed, _travel, _homing,
)  # fmt: skip
