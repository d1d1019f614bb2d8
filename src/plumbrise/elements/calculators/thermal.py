"""Warmth: growth of screw and frame, room at the floating end, and how long to wait."""

from __future__ import annotations

from plumbrise.elements import screw, thermal
from plumbrise.elements.thermal import EXPANSION_PER_K
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_PARTS, _ENDS, _TIME = "The parts", "How the screw is held", "Waiting"
ALPHA = "general handbooks, to 5 %"

ASKED = (
    Asked("screw", "what the screw is made of", "", "steel", _CP, choices=tuple(EXPANSION_PER_K),
          group=_PARTS),
    Asked("frame", "what the uprights are made of", "", "aluminium", _CP,
          choices=tuple(EXPANSION_PER_K), group=_PARTS),
    Asked("length_mm", "length of both between the screw's ends", "mm", 330.0, _GUESS, low=1,
          high=5000, group=_PARTS, field="screw.length_mm"),
    Asked("screw_warming_k", "how much warmer the screw gets", "K", 10.0, _GUESS, low=-100,
          high=200, group=_PARTS),
    Asked("frame_warming_k", "how much warmer the uprights get", "K", 10.0, _GUESS, low=-100,
          high=200, group=_PARTS),
    Asked("fixed_ends", "ends of the screw that are fixed along its axis", "", 1, _CP, low=1,
          high=2, whole=True, group=_ENDS),
    Asked("room_mm", "room to move at the other end", "mm", 1.0, _GUESS, low=0, high=100,
          group=_ENDS),
    Asked("core_mm", "diameter of the screw at the root of the thread", "mm", 5.5, _CP, low=1,
          high=100, group=_ENDS, factor=1.1),
    Asked("mount_n_per_mm", "how stiffly both mounts hold it along its axis", "N/mm", 500.0, _GUESS,
          low=1, high=1e6, group=_ENDS, factor=3),
    Asked("allowed_n", "force that the bearings may be pressed with", "N", 50.0, _GUESS, low=0.1,
          high=1e5, group=_ENDS, factor=1),
    Asked("height_mm", "height of the nut above the fixed end", "mm", 100.0, _GUESS, low=0,
          high=5000, group=_TIME),
    Asked("time_constant_min", "time in which 63 % of the growth comes", "min", 25.0, _GUESS,
          low=0.1, high=1000, group=_TIME, factor=2.5),
    Asked("allowed_drift_mm", "drift that may still be to come", "mm", 0.005, _CP, low=1e-5,
          high=1, group=_TIME, factor=1),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Growth of both parts, what their difference does at the ends, drift at the nut."""
    sums = (*_growth_sums(given), *_drift_sums(given))
    value = {one.name: float(one.value) for one in sums}
    return Worked(sums, (_ends_verdict(given, value), _soak_verdict(value)), _warnings())


def _growth_sums(given: Given) -> tuple[Sum, ...]:
    length_mm = given.number("length_mm")
    alpha = {part: thermal.expansion_per_k(given.word(part)) for part in ("screw", "frame")}
    grown = {
        part: thermal.growth_mm(
            length_mm=length_mm,
            warming_k=given.number(f"{part}_warming_k"),
            expansion_per_k=alpha[part],
        )
        for part in alpha
    }
    apart_mm = grown["frame"] - grown["screw"]
    found = [
        Sum("screw_growth_mm", "growth of the screw", "ΔL_s", "α L ΔT",
            ("screw", "length_mm", "screw_warming_k"), grown["screw"], "mm", 2, ALPHA),
        Sum("frame_growth_mm", "growth of the uprights", "ΔL_f", "α L ΔT",
            ("frame", "length_mm", "frame_warming_k"), grown["frame"], "mm", 2, ALPHA),
        Sum("apart_mm", "uprights longer than the screw by", "Δ", "ΔL_f - ΔL_s",
            ("frame_growth_mm", "screw_growth_mm"), apart_mm, "mm", 2),
    ]  # fmt: skip
    if given.count("fixed_ends") == 2:
        core = screw.axial_n_per_mm(core_diameter_mm=given.number("core_mm"), length_mm=length_mm)
        force = thermal.held_at_both_ends_n(
            apart_mm=apart_mm, stiffnesses_n_per_mm=(core, given.number("mount_n_per_mm"))
        )
        found += [
            Sum("core_n_per_mm", "stiffness of the screw along its axis", "k",
                "E π d3² / (4 L)", ("core_mm", "length_mm"), core, "N/mm", 3, "Hooke's law"),
            Sum("held_n", "pull between the two fixed ends, below zero it presses", "F",
                "Δ / (1/k + 1/k_mount)", ("apart_mm", "core_n_per_mm", "mount_n_per_mm"), force,
                "N", 2, "springs in series"),
        ]  # fmt: skip
    return tuple(found)


def _drift_sums(given: Given) -> tuple[Sum, ...]:
    per_mm = thermal.expansion_per_k(given.word("screw")) * given.number("screw_warming_k")
    shift_mm = thermal.zero_shift_mm(
        fixed_below_the_bed=True,
        height_mm=given.number("height_mm"),
        screw_growth_per_mm=per_mm,
    )
    wait_s = thermal.soak_time_s(
        final_growth_mm=shift_mm,
        allowed_mm=given.number("allowed_drift_mm"),
        time_constant_s=60 * given.number("time_constant_min"),
    )
    return (
        Sum("shift_mm", "rise of the nut by the screw's growth, fixed end below", "z_t",
            "α ΔT z", ("screw", "screw_warming_k", "height_mm"), shift_mm, "mm", 2, ALPHA),
        Sum("wait_min", "time until no more than the allowed drift is to come", "t",
            "τ ln(z_t / allowed)", ("shift_mm", "allowed_drift_mm", "time_constant_min"),
            wait_s / 60, "min", 2, "first-order step response"),
    )  # fmt: skip


def _ends_verdict(given: Given, value: dict[str, float]) -> Verdict:
    if given.count("fixed_ends") == 1:
        apart, room = abs(value["apart_mm"]), given.number("room_mm")
        return Verdict(
            f"At the floating end {rounded(apart, 2)} mm are needed and {room:g} mm are there.",
            room >= apart,
            ("room_mm", "fixed_ends"),
        )
    force, allowed = abs(value["held_n"]), given.number("allowed_n")
    return Verdict(
        f"Fixed at both ends it is loaded with {rounded(force, 2)} N by warmth alone; "
        f"{allowed:g} N are allowed. One fixed end would be none.",
        force <= allowed,
        ("allowed_n", "fixed_ends"),
    )


def _soak_verdict(value: dict[str, float]) -> Verdict:
    if value["wait_min"] == 0:
        return Verdict("The drift to come is within what is allowed from the start.")
    return Verdict(f"Wait {rounded(value['wait_min'], 2)} minutes from the start of warming.")


def _warnings() -> tuple[str, ...]:
    return (
        "Growth is measured best: hold a height, read gauge and clock for half an hour from cold, "
        "and put in the time constant that comes of it. Bed and nozzle grow as well.",
    )


CALCULATOR = Calculator(
    kind="thermal",
    title="Warmth",
    purpose="How far screw and frame grow apart, what that loads, and how long to wait.",
    asked=ASKED,
    work=work,
    example="--length-mm 400 --screw-warming-k 15 --frame-warming-k 15",
)
