"""Beam: how far it sags and twists, and what that does to the height."""

from __future__ import annotations

from collections.abc import Callable
from math import degrees

from plumbrise.elements import beam, sections
from plumbrise.elements.beam_cases import CASES
from plumbrise.elements.materials import MATERIALS, Material
from plumbrise.elements.sections import EXTRUSIONS, Section
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked

ROARK = "Roark, Formulas for Stress and Strain, table 8.1"
SPREAD = {
    "cantilever": "cantilever-spread",
    "cantilever-at": "cantilever-spread",
    "guided": "guided-spread",
    "supported": "supported-spread",
    "supported-at": "supported-spread",
    "clamped": "clamped-spread",
}
"""How the beam is held -> the case of its own weight, where there is a closed form for it."""

_CP, _HB, _GUESS = Trust.COMMON_PRACTICE, Trust.HANDBOOK, Trust.GUESS
_SECTION, _HOLD, _LOAD = "The beam", "How it is held", "What acts on it"

ASKED = (
    Asked("span_mm", "free length, or distance between the supports", "mm", 340.0, _GUESS,
          low=1, high=5000, group=_HOLD, field="guide.span_mm"),
    Asked("case", "how it is held and loaded", "", "supported", _GUESS,
          choices=tuple(CASES), group=_HOLD),
    Asked("at_mm", "where the force stands, for the cases that ask", "mm", low=0, high=5000,
          optional=True, group=_HOLD),
    Asked("section", "its cross section", "", "extrusion-20x40", _CP,
          choices=("bar", "tube", "rod", "pipe", *EXTRUSIONS), group=_SECTION),
    Asked("way", "which way the load goes: along the height or along the width", "", "tall", _CP,
          choices=("tall", "flat"), group=_SECTION),
    Asked("width_mm", "width of a bar or tube", "mm", 20.0, _GUESS, low=0.5, high=500,
          group=_SECTION),
    Asked("height_mm", "height of a bar or tube", "mm", 40.0, _GUESS, low=0.5, high=500,
          group=_SECTION),
    Asked("diameter_mm", "outer diameter of a rod or pipe", "mm", 8.0, _CP, low=0.5, high=500,
          group=_SECTION),
    Asked("wall_mm", "wall of a tube or pipe", "mm", 2.0, _GUESS, low=0.1, high=100,
          group=_SECTION),
    Asked("material", "what it is made of", "", "aluminium", _CP, choices=tuple(MATERIALS),
          group=_SECTION),
    Asked("force_n", "force on it; the whole load where it is spread", "N", 5.0, _CP,
          low=0, high=10_000, group=_LOAD),
    Asked("torque_nmm", "torque that twists it along its length", "N·mm", 0.0, _GUESS,
          low=0, high=1e6, group=_LOAD),
    Asked("allowed_sag_mm", "how far it may sag under the force", "mm", 0.02, _CP,
          low=0.0001, high=100, group=_LOAD),
)  # fmt: skip


def _material(given: Given) -> Material:
    return MATERIALS[given.word("material")]


def _bar(given: Given) -> Section:
    return sections.bar(
        width_mm=given.number("width_mm"),
        height_mm=given.number("height_mm"),
        poisson=_material(given).poisson,
    )


def _tube(given: Given) -> Section:
    return sections.tube(
        width_mm=given.number("width_mm"),
        height_mm=given.number("height_mm"),
        wall_mm=given.number("wall_mm"),
    )


def _rod(given: Given) -> Section:
    return sections.rod(diameter_mm=given.number("diameter_mm"), poisson=_material(given).poisson)


def _pipe(given: Given) -> Section:
    return sections.pipe(
        diameter_mm=given.number("diameter_mm"),
        wall_mm=given.number("wall_mm"),
        poisson=_material(given).poisson,
    )


SHAPES: dict[str, Callable[[Given], Section]] = {
    "bar": _bar,
    "tube": _tube,
    "rod": _rod,
    "pipe": _pipe,
}


def section_of(given: Given) -> Section:
    """The cross section that the inputs describe."""
    name = given.word("section")
    if name in EXTRUSIONS:
        return EXTRUSIONS[name]
    return SHAPES[name](given)


def work(given: Given) -> Worked:
    """Sag by the force, by shear and by its own weight, and twist."""
    section, material = section_of(given), _material(given)
    case, force_n, span_mm = given.word("case"), given.number("force_n"), given.number("span_mm")
    second = section.tall_mm4 if given.word("way") == "tall" else section.flat_mm4
    stiffness = material.modulus_n_per_mm2 * second
    shear_stiffness = section.shear_share * section.area_mm2 * material.shear_modulus_n_per_mm2
    at_mm = given.known("at_mm")
    bending = beam.sag_mm(case, force_n=force_n, length_mm=span_mm, at_mm=at_mm,
                          bending_stiffness_nmm2=stiffness)  # fmt: skip
    shear = beam.shear_sag_mm(case, force_n=force_n, length_mm=span_mm, at_mm=at_mm,
                              shear_stiffness_n=shear_stiffness)  # fmt: skip
    slope = beam.end_slope_rad(case, force_n=force_n, length_mm=span_mm, at_mm=at_mm,
                               bending_stiffness_nmm2=stiffness)  # fmt: skip
    shape = ("section", "width_mm", "height_mm", "diameter_mm", "wall_mm", "way")
    load = ("case", "force_n", "span_mm", "at_mm")
    sums = [
        Sum("second_mm4", "second moment of the section", "I", "from the section", shape, second,
            "mm⁴", 4, "maker's or handbook's section tables"),
        Sum("bending_stiffness_nmm2", "bending stiffness", "E I", "E · I",
            ("material", "second_mm4"), stiffness, "N·mm²", 3),
        Sum("bending_sag_mm", "sag by bending", "x_b", CASES[case].equation,
            (*load, "bending_stiffness_nmm2"), bending, "mm", 3, ROARK),
        Sum("shear_sag_mm", "sag by shear", "x_s", "s F L / (κ G A)",
            (*load, "section", "material"), shear, "mm", 2, "Timoshenko's beam"),
        Sum("sag_mm", "sag under the force", "x", "x_b + x_s",
            ("bending_sag_mm", "shear_sag_mm"), bending + shear, "mm", 3),
        Sum("slope_deg", "how far its end turns", "θ", "g F L² / (E I)",
            (*load, "bending_stiffness_nmm2"), degrees(slope), "°", 2, ROARK),
    ]  # fmt: skip
    return Worked(tuple(sums), (_verdict(bending + shear, given.number("allowed_sag_mm")),))


def _verdict(sag_mm: float, allowed_mm: float) -> Verdict:
    return Verdict(
        f"It sags {sag_mm:.3f} mm; {allowed_mm:g} mm were allowed.", sag_mm <= allowed_mm
    )


CALCULATOR = Calculator(
    kind="beam",
    title="Beam",
    purpose="How far a beam sags and twists under a force and its own weight.",
    asked=ASKED,
    work=work,
    example="--span-mm 340 --force-n 6 --section tube --wall-mm 2",
)
