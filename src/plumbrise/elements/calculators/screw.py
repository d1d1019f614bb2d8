"""Screw: what turns it, whether its load runs down, how it gives way, buckles and whirls."""

from __future__ import annotations

from math import pi

from plumbrise.cautions import FALLING_GANTRY
from plumbrise.elements import screw, screw_column, screw_holding, screw_torque
from plumbrise.elements.calculators.carried import (
    ASKED_DRAG,
    ASKED_THREAD,
    ASKED_WEIGHT,
    THREAD,
    all_drag_n,
    drag_sum,
    standing_verdict,
    thread_of,
    weight_n,
    weight_sum,
)
from plumbrise.elements.screw import Ends
from plumbrise.elements.screw_holding import BackDrive, Standing
from plumbrise.elements.screw_thread import TrapezoidalThread
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_DRIVE = "What turns and holds it"
SHIGLEY = "Shigley's Mechanical Engineering Design"
TORQUE_SPARE = 2.0
BUCKLING_SPARE = 3.0

ASKED = (
    *ASKED_THREAD,
    Asked("length_mm", "free length", "mm", 330.0, _GUESS, low=20, high=3000, group=THREAD,
          field="screw.length_mm"),
    Asked("top_end", "its top end", "", "free", _CP, choices=("free", "held"), group=THREAD,
          field="screw.top_end"),
    *ASKED_WEIGHT,
    *ASKED_DRAG,
    Asked("thread_friction", "friction of the thread", "", 0.15, _CP, low=0.01, high=0.6,
          group=_DRIVE, factor=1.5),
    Asked("detent_nmm", "what the motor holds without current", "N·mm", 10.0, _CP, low=0,
          high=1000, group=_DRIVE, factor=2),
    Asked("spread", "how far friction, drag and detent may be off, as a share", "",
          screw_holding.SPREAD, _GUESS, low=0, high=0.9, group=_DRIVE, factor=1),
    Asked("motor_nmm", "torque of the motor at this speed", "N·mm", 200.0, _GUESS, low=1,
          high=20_000, group=_DRIVE, factor=2),
    Asked("lift_mm_per_s", "speed of lifting", "mm/s", 10.0, _CP, low=0.01, high=500,
          group=_DRIVE, factor=1),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Torques, holding, stiffness, buckling and whirling of one screw."""
    thread = thread_of(given)
    torques = _torque_sums(given, thread)
    lift_nmm = next(float(one.value) for one in torques if one.name == "lift_nmm")
    sums = (
        *_size_sums(thread),
        *torques,
        *_holding_sums(given, thread),
        *_stiffness_sums(given, thread, lift_nmm),
        *_column_sums(given, thread),
    )
    standing = screw_holding.standing(
        at_worst=_balance(given, thread, -1), at_best=_balance(given, thread, 1)
    )
    verdicts = (standing_verdict(standing, "spread"), *_number_verdicts(given, sums))
    cautions = () if standing is Standing.HOLDS else (FALLING_GANTRY,)
    return Worked(sums, verdicts, _warnings(given), cautions)


def _balance(given: Given, thread: TrapezoidalThread, way: int) -> BackDrive:
    """The balance with the motor off: likely (0), all against holding (-1), all for it (1)."""
    off = way * given.number("spread")
    return screw_holding.back_drive(
        weight_n=weight_n(given),
        guide_drag_n=all_drag_n(given) * (1 + off),
        lead_mm=thread.lead_mm,
        pitch_diameter_mm=thread.pitch_diameter_mm,
        thread_friction=given.number("thread_friction") * (1 + off),
        detent_torque_nmm=given.number("detent_nmm") * (1 + off),
    )


def _size_sums(thread: TrapezoidalThread) -> tuple[Sum, ...]:
    angle_deg = screw.lead_angle_deg(
        lead_mm=thread.lead_mm, pitch_diameter_mm=thread.pitch_diameter_mm
    )
    return (
        Sum("pitch_mm", "pitch", "P", "lead / starts", ("lead_mm", "starts"), thread.pitch_mm,
            "mm"),
        Sum("pitch_diameter_mm", "pitch diameter", "d2", "d - P / 2",
            ("diameter_mm", "pitch_mm"), thread.pitch_diameter_mm, "mm", 3, "ISO 2904"),
        Sum("core_mm", "core of the thread", "d3", "d - P - 2 a_c", ("diameter_mm", "pitch_mm"),
            thread.core_diameter_mm, "mm", 3, "ISO 2904"),
        Sum("lead_angle_deg", "lead angle", "λ", "atan(lead / (π d2))",
            ("lead_mm", "pitch_diameter_mm"), angle_deg, "°"),
    )  # fmt: skip


def _torque_sums(given: Given, thread: TrapezoidalThread) -> tuple[Sum, ...]:
    weight, drag = weight_n(given), all_drag_n(given)
    friction = given.number("thread_friction")
    shape = {"lead_mm": thread.lead_mm, "pitch_diameter_mm": thread.pitch_diameter_mm}
    lifting = screw_torque.lift_torque_nmm(
        axial_load_n=weight + drag, thread_friction=friction, **shape
    )
    # with more drag than weight the nut is pulled down, against the thread
    turning = screw_torque.lower_torque_nmm if weight >= drag else screw_torque.lift_torque_nmm
    lowering = turning(axial_load_n=abs(weight - drag), thread_friction=friction, **shape)
    return (
        weight_sum(given),
        drag_sum(given),
        Sum("lift_nmm", "torque that lifts", "T_up",
            "(F d2 / 2) (l + π f d2 sec α) / (π d2 - f l sec α), F = W + D",
            ("weight_n", "all_drag_n", "lead_mm", "pitch_diameter_mm", "thread_friction"),
            lifting, "N·mm", 3, f"{SHIGLEY}, eq. 8-5"),
        Sum("lower_nmm", "torque that lowers, below zero it brakes", "T_down",
            "(F d2 / 2) (π f d2 sec α - l) / (π d2 + f l sec α), F = W - D"
            if weight >= drag
            else "as for lifting, F = D - W: the guides hold the load and the nut pulls it",
            ("weight_n", "all_drag_n", "lead_mm", "pitch_diameter_mm", "thread_friction"),
            lowering, "N·mm", 3, f"{SHIGLEY}, eq. 8-2"),
        Sum("efficiency", "share of the work that lifts", "e",
            "tan λ (1 - f' tan λ) / (f' + tan λ), f' = f sec α",
            ("lead_angle_deg", "thread_friction"),
            screw_torque.thread_efficiency(thread_friction=friction, **shape), "", 2,
            f"{SHIGLEY}, eq. 8-4"),
    )  # fmt: skip


def _holding_sums(given: Given, thread: TrapezoidalThread) -> tuple[Sum, ...]:
    likely, worst, best = (_balance(given, thread, way) for way in (0, -1, 1))
    limit = screw_torque.holding_friction(
        lead_mm=thread.lead_mm, pitch_diameter_mm=thread.pitch_diameter_mm
    )
    uses = ("weight_n", "all_drag_n", "thread_friction", "detent_nmm")
    source = "statics, lowering torque of Shigley eq. 8-2"
    return (
        Sum("holding_friction", "friction below which a weight turns the bare screw", "f_h",
            "tan λ cos α", ("lead_angle_deg",), limit, "", 2, f"{SHIGLEY}, eq. 8-3"),
        Sum("margin_nmm", "torque to spare with the motor off, below zero it runs down", "M",
            "T_detent + T_down(W - D)", uses, likely.margin_nmm, "N·mm", 2, source),
        Sum("worst_margin_nmm", "the same, all as bad as may be", "M_low",
            "with friction, drag and detent less by the spread", (*uses, "spread"),
            worst.margin_nmm, "N·mm", 2, source),
        Sum("best_margin_nmm", "the same, all as good as may be", "M_high",
            "with friction, drag and detent more by the spread", (*uses, "spread"),
            best.margin_nmm, "N·mm", 2, source),
    )  # fmt: skip


def _stiffness_sums(given: Given, thread: TrapezoidalThread, lift_nmm: float) -> tuple[Sum, ...]:
    core = {"core_diameter_mm": thread.core_diameter_mm, "length_mm": given.number("length_mm")}
    torsional = screw.torsional_nmm_per_rad(**core)
    winding = screw.travel_mm(angle_rad=1 / torsional, lead_mm=thread.lead_mm)
    return (
        Sum("axial_n_per_mm", "stiffness along its axis, nut at the far end", "k",
            "E π d3² / (4 L)", ("core_mm", "length_mm"), screw.axial_n_per_mm(**core), "N/mm", 3,
            "Hooke's law"),
        Sum("torsional_nmm_per_rad", "stiffness in turning", "k_t", "G π d3⁴ / (32 L)",
            ("core_mm", "length_mm"), torsional, "N·mm/rad", 3, "Saint-Venant"),
        Sum("wind_up_mm", "height lost by winding it up with the lifting torque", "Δz",
            "lead T_up / (2π k_t)", ("lift_nmm", "lead_mm", "torsional_nmm_per_rad"),
            winding * lift_nmm, "mm", 2),
    )  # fmt: skip


def _column_sums(given: Given, thread: TrapezoidalThread) -> tuple[Sum, ...]:
    held = given.word("top_end") == "held"
    core = {"core_diameter_mm": thread.core_diameter_mm, "length_mm": given.number("length_mm")}
    buckling = screw_column.buckling_load_n(ends=Ends.HELD_FREE, **core)
    whirl = screw_column.whirl_hz(ends=Ends.PINNED_PINNED if held else Ends.HELD_FREE, **core)
    turns = given.number("lift_mm_per_s") / thread.lead_mm
    return (
        Sum("buckling_n", "force at which it buckles, its nut free sideways", "P",
            "π² E I / (2 L)², or Johnson's formula where it is short", ("core_mm", "length_mm"),
            buckling, "N", 3, f"{SHIGLEY}, sections 4-12 and 4-13"),
        Sum("turns_per_s", "turns a second at the speed asked", "n", "v / lead",
            ("lift_mm_per_s", "lead_mm"), turns, "/s", 2),
        Sum("whirl_per_s", "turns a second at which it whirls", "f",
            f"{'π²' if held else '1.875²'} / (2π L²) √(E I / (ρ A))",
            ("core_mm", "length_mm", "top_end"), whirl, "/s", 2,
            "Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1"),
        Sum("surface_mm_per_s", "speed of flank on flank", "v_s", "n √((π d2)² + lead²)",
            ("turns_per_s", "pitch_diameter_mm", "lead_mm"),
            turns * ((pi * thread.pitch_diameter_mm) ** 2 + thread.lead_mm**2) ** 0.5, "mm/s", 2),
    )  # fmt: skip


def _number_verdicts(given: Given, sums: tuple[Sum, ...]) -> tuple[Verdict, ...]:
    value = {one.name: float(one.value) for one in sums}
    load_n = value["weight_n"] + value["all_drag_n"]
    motor, lift = given.number("motor_nmm"), value["lift_nmm"]
    share = value["turns_per_s"] / value["whirl_per_s"]
    return (
        Verdict(
            f"Lifting takes {rounded(lift, 3)} of the motor's {rounded(motor, 3)} N·mm.",
            motor >= TORQUE_SPARE * lift,
            ("motor_nmm",),
        ),
        Verdict(
            f"It buckles at {rounded(value['buckling_n'], 3)} N; it carries "
            f"{rounded(load_n, 3)} N.",
            value["buckling_n"] >= BUCKLING_SPARE * load_n,
        ),
        Verdict(
            f"At this speed it turns at {rounded(100 * share, 2)} % of the speed at which it "
            "whirls.",
            share <= screw_column.WHIRL_SHARE,
        ),
    )


def _warnings(given: Given) -> tuple[str, ...]:
    told = [
        "Vibration lets a thread slip that holds at rest, and cleaning or easing the guides takes "
        "holding away: try it with blocks under every end."
    ]
    if given.word("top_end") == "held":
        told.append(
            "Whirling is reckoned with both ends free to tilt, which is the careful way. Held at "
            "the top a bent screw pushes the nut sideways over its whole travel: see bent-screw."
        )
    return tuple(told)


CALCULATOR = Calculator(
    kind="screw",
    title="Screw",
    purpose="What turns a screw, whether its load runs down, how it gives way and whirls.",
    asked=ASKED,
    work=work,
    example="--lead-mm 2 --starts 1 --mass-kg 1.2 --motor-nmm 200",
)
