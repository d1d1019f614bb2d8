"""Coupling: what it gives way along its axis and in turning, and whether it suits the shafts."""

from __future__ import annotations

from math import inf

from plumbrise.elements import coupling
from plumbrise.elements.calculators.carried import ASKED_DRAG, LOAD, all_drag_n, drag_sum
from plumbrise.elements.coupling import AXIAL_STIFFNESS_N_PER_MM, KINDS
from plumbrise.elements.screw import Ends, bending_stiffness_nmm2
from plumbrise.elements.screw_bow import sideways_n_per_mm
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_COUPLING, _SHAFTS = "The coupling", "How the shafts stand"
PRACTICE = "common practice, no source"

TOO_MUCH = (
    ": too much. Line shaft and screw up better, or let a bearing carry the weight and take a "
    "coupling that yields sideways."
)
ASKED = (
    Asked("kind", "kind of coupling", "", "helical", _GUESS, choices=tuple(KINDS),
          group=_COUPLING, field="coupling.kind"),
    Asked("axial_n_per_mm", "stiffness along its axis, if it was measured", "N/mm", low=0.1,
          high=1e6, optional=True, group=_COUPLING, field="coupling.axial_stiffness_n_per_mm"),
    Asked("torsional_nmm_per_rad", "stiffness in turning, if it is known", "N·mm/rad", low=10,
          high=1e9, optional=True, group=_COUPLING),
    Asked("carries", "what carries the weight; a ball stands inside the coupling", "", "motor", _CP,
          choices=("motor", "ball", "thrust-bearing"), group=LOAD, field="bearing.carries_weight"),
    *ASKED_DRAG,
    Asked("torque_nmm", "change of torque from down to up", "N·mm", 20.0, _CP, low=0, high=10_000,
          group=LOAD, factor=1.5),
    Asked("lead_mm", "travel in a turn", "mm", low=0.5, high=100, group=LOAD,
          field="screw.lead_mm"),
    Asked("allowed_mm", "height that it may take at a reversal", "mm", 0.02, _CP, low=0.0001,
          high=10, group=LOAD, factor=1),
    Asked("offset_mm", "side step between motor shaft and screw", "mm", 0.1, _GUESS, low=0,
          high=10, group=_SHAFTS),
    Asked("tilt_deg", "angle between them", "°", 0.2, _GUESS, low=0, high=20, group=_SHAFTS),
    Asked("core_mm", "diameter of the screw at the root of the thread", "mm", 5.5, _CP, low=1,
          high=100, group=_SHAFTS, factor=1.1),
    Asked("nut_mm", "lowest place of the nut above the coupling", "mm", 50.0, _GUESS, low=5,
          high=3000, group=_SHAFTS),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Height lost by stretch and wind-up, misalignment against capacity, side force at the nut."""
    sums = (*_height_sums(given), *_shaft_sums(given))
    value = {one.name: float(one.value) for one in sums}
    return Worked(sums, _verdicts(given, value), _warnings(given))


def _height_sums(given: Given) -> tuple[Sum, ...]:
    kind = coupling.of_kind(given.word("kind"))
    axial = given.known("axial_n_per_mm")
    torsional = given.known("torsional_nmm_per_rad") or kind.torsional_nmm_per_rad
    stiffness = axial or AXIAL_STIFFNESS_N_PER_MM[kind.id]
    carried = given.word("carries") == "motor"
    stretch = coupling.axial_stretch_mm(
        force_n=2 * all_drag_n(given) if carried else 0.0, axial_n_per_mm=stiffness
    )
    wind_up = coupling.torque_wind_up_mm(
        torque_nmm=given.number("torque_nmm"),
        torsional_nmm_per_rad=torsional,
        lead_mm=given.number("lead_mm"),
    )
    return (
        drag_sum(given),
        Sum("stiffness_n_per_mm", "stiffness along its axis", "k",
            "as measured" if axial else "table of kinds",
            ("axial_n_per_mm",) if axial else ("kind",), stiffness, "N/mm", 2,
            "" if axial else PRACTICE),
        Sum("stretch_mm", "height lost at a reversal by stretching", "Δz",
            "2 D / k" if carried else "none: it carries nothing",
            ("all_drag_n", "stiffness_n_per_mm", "carries"), stretch, "mm", 2, "Hooke's law"),
        Sum("turning_nmm_per_rad", "stiffness in turning", "k_t",
            "as given" if given.known("torsional_nmm_per_rad") else "table of kinds",
            ("torsional_nmm_per_rad",) if given.known("torsional_nmm_per_rad") else ("kind",),
            torsional, "N·mm/rad", 2, PRACTICE),
        Sum("wind_up_mm", "height lost by winding up", "Δz_t", "lead ΔT / (2π k_t)",
            ("lead_mm", "torque_nmm", "turning_nmm_per_rad"), wind_up, "mm", 2,
            "geometry of the thread"),
        Sum("lost_mm", "both together", "Δ", "Δz + Δz_t", ("stretch_mm", "wind_up_mm"),
            stretch + wind_up, "mm", 2),
    )  # fmt: skip


def _shaft_sums(given: Given) -> tuple[Sum, ...]:
    kind = coupling.of_kind(given.word("kind"))
    offset_mm = given.number("offset_mm")
    nut_mm = given.number("nut_mm")
    shaft = sideways_n_per_mm(
        bending_stiffness_nmm2=bending_stiffness_nmm2(core_diameter_mm=given.number("core_mm")),
        length_mm=2 * nut_mm,
        height_mm=nut_mm,
        ends=Ends.HELD_FREE,
    )
    force = coupling.side_force_n(
        offset_mm=offset_mm, sideways_n_per_mm=kind.sideways_n_per_mm, shaft_n_per_mm=shaft
    )
    rigid = kind.sideways_n_per_mm == inf
    return (
        Sum("capacity_used", "share of what it puts up with", "c",
            "offset / allowed + tilt / allowed", ("offset_mm", "tilt_deg", "kind"),
            coupling.capacity_used(
                kind=kind, offset_mm=offset_mm, tilt_deg=given.number("tilt_deg")
            ), "", 2, PRACTICE),
        Sum("shaft_n_per_mm", "stiffness of the screw sideways at the nut", "k_s", "3 E I / z³",
            ("core_mm", "nut_mm"), shaft, "N/mm", 2,
            "Roark's Formulas for Stress and Strain, table 8.1"),
        Sum("side_n", "side force at the nut, turning with the screw", "F",
            "offset k_s" if rigid else "offset / (1/k_c + 1/k_s)",
            ("offset_mm", "kind", "shaft_n_per_mm"), force, "N", 2, "springs in series"),
    )  # fmt: skip


def _verdicts(given: Given, value: dict[str, float]) -> tuple[Verdict, ...]:
    kind = coupling.of_kind(given.word("kind"))
    allowed = given.number("allowed_mm")
    carried = given.word("carries") == "motor"
    found = [
        Verdict(
            f"It takes {rounded(value['lost_mm'], 2)} mm of height at a reversal; {allowed:g} mm "
            "are allowed.",
            value["lost_mm"] <= allowed,
            ("allowed_mm",),
        ),
        Verdict(
            f"Offset and tilt take {rounded(100 * value['capacity_used'], 2)} % of what it puts "
            f"up with{TOO_MUCH if value['capacity_used'] > 1 else '.'}",
            value["capacity_used"] <= 1,
            ("offset_mm", "tilt_deg"),
        ),
    ]
    if carried and not kind.carries_weight:
        found.append(
            Verdict(
                "It is not made to carry: give the screw a thrust bearing, and let it only turn.",
                False,
                ("carries", "kind"),
            )
        )
    return tuple(found)


def _warnings(given: Given) -> tuple[str, ...]:
    told = [coupling.of_kind(given.word("kind")).words]
    if given.known("axial_n_per_mm") is None:
        told.append(
            "Couplings of one kind and size differ tenfold along their axis: hang a mass on the "
            "nut and read above and below the coupling."
        )
    return tuple(told)


CALCULATOR = Calculator(
    kind="coupling",
    title="Coupling",
    purpose="What height a coupling takes, and whether it suits how the shafts stand.",
    asked=ASKED,
    work=work,
    example="--lead-mm 8 --kind slotted-disc --carries thrust-bearing --offset-mm 0.2",
)
