"""Beam: how far it sags and twists, and how stiffly it holds its far end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import degrees

from plumbrise.elements import beam, sections
from plumbrise.elements.beam_cases import CASES
from plumbrise.elements.materials import MATERIALS, Material
from plumbrise.elements.sections import EXTRUSIONS, Section
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import GRAVITY_M_PER_S2, rounded

ROARK = "Roark's Formulas for Stress and Strain, table 8.1"
OWN_WEIGHT = {
    "cantilever": "cantilever-spread",
    "cantilever-at": "cantilever-spread",
    "cantilever-spread": "cantilever-spread",
    "guided": "guided-spread",
    "guided-spread": "guided-spread",
    "supported": "supported-spread",
    "supported-at": "supported-spread",
    "supported-spread": "supported-spread",
    "clamped": "clamped-spread",
    "clamped-spread": "clamped-spread",
}
"""How the beam is held and loaded -> the case of its own weight, where a closed form is at hand."""

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_BEAM, _HOLD, _LOAD = "The beam", "How it is held", "What acts on it"

ASKED = (
    Asked("span_mm", "free length, or distance of the supports", "mm", 340.0, _GUESS,
          low=1, high=5000, group=_HOLD, field="guide.span_mm"),
    Asked("case", "how it is held and loaded", "", "supported", _GUESS,
          choices=tuple(CASES), group=_HOLD),
    Asked("at_mm", "where the force stands, for the cases that ask", "mm", low=0, high=50_000,
          optional=True, group=_HOLD),
    Asked("tilting_nmm_per_rad", "how stiffly the carriage holds it against tilting", "N·mm/rad",
          low=1e3, high=1e12, optional=True, group=_HOLD),
    Asked("section", "cross section", "", "extrusion-20x40", _CP,
          choices=("bar", "tube", "rod", "pipe", *EXTRUSIONS), group=_BEAM),
    Asked("way", "load along its height (tall) or its width (flat)", "", "tall", _CP,
          choices=("tall", "flat"), group=_BEAM),
    Asked("width_mm", "width of a bar or tube", "mm", 20.0, _GUESS, low=0.5, high=500,
          group=_BEAM),
    Asked("height_mm", "height of a bar or tube", "mm", 40.0, _GUESS, low=0.5, high=500,
          group=_BEAM),
    Asked("diameter_mm", "outer diameter of a rod or pipe", "mm", 8.0, _CP, low=0.5, high=500,
          group=_BEAM),
    Asked("wall_mm", "wall of a tube or pipe", "mm", 2.0, _GUESS, low=0.1, high=100,
          group=_BEAM),
    Asked("torsion_mm4", "torsion constant, from the maker's sheet", "mm⁴", low=1, high=1e9,
          optional=True, group=_BEAM),
    Asked("material", "material", "", "aluminium", _CP, choices=tuple(MATERIALS), group=_BEAM),
    Asked("force_n", "force on it, the whole load where it is spread", "N", 5.0, _CP,
          low=0, high=10_000, group=_LOAD),
    Asked("torque_nmm", "torque that twists it along its length", "N·mm", 0.0, _GUESS,
          low=0, high=1e6, group=_LOAD),
    Asked("allowed_sag_mm", "how far it may sag under the force", "mm", 0.02, _CP,
          low=0.0001, high=100, group=_LOAD),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shape:
    """A section made from dimensions: which inputs it takes, and how."""

    takes: tuple[str, ...]
    made: Callable[[Given], Section]


def _poisson(given: Given) -> float:
    return MATERIALS[given.word("material")].poisson


SHAPES = {
    "bar": Shape(
        ("width_mm", "height_mm"),
        lambda given: sections.bar(
            width_mm=given.number("width_mm"),
            height_mm=given.number("height_mm"),
            poisson=_poisson(given),
        ),
    ),
    "tube": Shape(
        ("width_mm", "height_mm", "wall_mm"),
        lambda given: sections.tube(
            width_mm=given.number("width_mm"),
            height_mm=given.number("height_mm"),
            wall_mm=given.number("wall_mm"),
        ),
    ),
    "rod": Shape(
        ("diameter_mm",),
        lambda given: sections.rod(
            diameter_mm=given.number("diameter_mm"), poisson=_poisson(given)
        ),
    ),
    "pipe": Shape(
        ("diameter_mm", "wall_mm"),
        lambda given: sections.pipe(
            diameter_mm=given.number("diameter_mm"),
            wall_mm=given.number("wall_mm"),
            poisson=_poisson(given),
        ),
    ),
}


def work(given: Given) -> Worked:
    """Sag by the force, by shear and by its own weight; twist; racking where it is held."""
    name, material = given.word("section"), MATERIALS[given.word("material")]
    section = EXTRUSIONS[name] if name in EXTRUSIONS else SHAPES[name].made(given)
    sums = [
        *_stiffness_sums(given, section, material),
        *_force_sums(given, section, material),
    ]
    stiffness = _bending_stiffness(given, section, material)
    sums += [
        *_weight_sums(given, section, material, stiffness),
        *_twist_sums(given, section, material),
        *_racking_sums(given, stiffness),
    ]
    sag_mm = next(float(one.value) for one in sums if one.name == "sag_mm")
    return Worked(tuple(sums), (_verdict(given, sag_mm),), _warnings(given))


def _bending_stiffness(given: Given, section: Section, material: Material) -> float:
    tall = given.word("way") == "tall"
    return material.modulus_n_per_mm2 * (section.tall_mm4 if tall else section.flat_mm4)


def _stiffness_sums(given: Given, section: Section, material: Material) -> list[Sum]:
    name = given.word("section")
    shape = SHAPES[name].takes if name in SHAPES else ()
    stiffness = _bending_stiffness(given, section, material)
    return [
        Sum("second_mm4", "second moment of the section", "I",
            "table of the section" if name in EXTRUSIONS else "closed form of the section",
            ("section", *shape, "way"), stiffness / material.modulus_n_per_mm2, "mm⁴", 3,
            "common practice, no source" if name in EXTRUSIONS else "Roark, table A.1"),
        Sum("bending_stiffness_nmm2", "bending stiffness", "E I", "E · I",
            ("material", "second_mm4"), stiffness, "N·mm²", 3),
    ]  # fmt: skip


def _force_sums(given: Given, section: Section, material: Material) -> list[Sum]:
    case = CASES[given.word("case")]
    force_n, span_mm = given.number("force_n"), given.number("span_mm")
    stiffness = _bending_stiffness(given, section, material)
    share = section.tall_shear if given.word("way") == "tall" else section.flat_shear
    shear_n = share * section.area_mm2 * material.shear_modulus_n_per_mm2
    at_mm = given.known("at_mm")

    def bends_mm(newtons: float) -> float:
        return beam.sag_mm(
            case.id, force_n=newtons, length_mm=span_mm, at_mm=at_mm,
            bending_stiffness_nmm2=stiffness,
        )  # fmt: skip

    def shears_mm(newtons: float) -> float:
        return beam.shear_sag_mm(
            case.id, force_n=newtons, length_mm=span_mm, at_mm=at_mm, shear_stiffness_n=shear_n
        )

    slope = beam.end_slope_rad(
        case.id, force_n=force_n, length_mm=span_mm, at_mm=at_mm,
        bending_stiffness_nmm2=stiffness,
    )  # fmt: skip
    held = ("case", "span_mm", "at_mm") if case.far else ("case", "span_mm")
    for_each_newton = bends_mm(1.0) + shears_mm(1.0)
    return [
        Sum("bending_sag_mm", "sag by bending", "x_b", case.equation,
            ("force_n", *held, "bending_stiffness_nmm2"), bends_mm(force_n), "mm", 2, ROARK),
        Sum("shear_sag_mm", "sag by shear", "x_s", "s F L / (κ G A)",
            ("force_n", *held, "section", "material"), shears_mm(force_n), "mm", 2,
            "Timoshenko's beam; Cowper, J. Appl. Mech. 33 (1966) 335"),
        Sum("sag_mm", "sag under the force", "x", "x_b + x_s",
            ("bending_sag_mm", "shear_sag_mm"), bends_mm(force_n) + shears_mm(force_n), "mm", 2),
        Sum("slope_deg", "how far its end turns", "θ", "g F L² / (E I)",
            ("force_n", *held, "bending_stiffness_nmm2"), degrees(slope), "°", 2, ROARK),
        Sum("stiffness_n_per_mm", "stiffness where the force acts", "k", "1 N / (its sag)",
            (*held, "bending_stiffness_nmm2", "section", "material"),
            1 / for_each_newton if for_each_newton > 0 else float("inf"), "N/mm", 2),
    ]  # fmt: skip


def _weight_sums(given: Given, section: Section, material: Material, stiffness: float) -> list[Sum]:
    span_mm, case = given.number("span_mm"), OWN_WEIGHT.get(given.word("case"))
    weight_n = section.area_mm2 * span_mm * material.density_kg_per_m3 * 1e-9 * GRAVITY_M_PER_S2
    found = [
        Sum("weight_n", "its own weight", "W", "A L ρ g", ("section", "span_mm", "material"),
            weight_n, "N", 2),
    ]  # fmt: skip
    if case is not None:
        sag_mm = beam.sag_mm(
            case, force_n=weight_n, length_mm=span_mm, bending_stiffness_nmm2=stiffness
        )
        equation = CASES[case].equation.replace("F", "W")
        found.append(
            Sum("own_sag_mm", "sag under its own weight", "x_w", equation,
                ("weight_n", "case", "span_mm", "bending_stiffness_nmm2"), sag_mm, "mm", 2, ROARK)
        )  # fmt: skip
    return found


def _twist_sums(given: Given, section: Section, material: Material) -> list[Sum]:
    constant = given.known("torsion_mm4") or section.torsion_mm4
    if constant is None or given.number("torque_nmm") == 0:
        return []
    twist = beam.twist_rad(
        torque_nmm=given.number("torque_nmm"),
        length_mm=given.number("span_mm"),
        torsion_stiffness_nmm2=material.shear_modulus_n_per_mm2 * constant,
    )
    source = "torsion_mm4" if given.known("torsion_mm4") else "section"
    return [
        Sum("twist_deg", "twist over the length", "φ", "T L / (G J)",
            ("torque_nmm", "span_mm", "material", source), degrees(twist), "°", 2,
            "Roark, table 10.1"),
    ]  # fmt: skip


def _racking_sums(given: Given, stiffness: float) -> list[Sum]:
    tilting = given.known("tilting_nmm_per_rad")
    if tilting is None:
        return []
    racking = beam.beam_racking_n_per_mm(
        tilting_nmm_per_rad=tilting,
        bending_stiffness_nmm2=stiffness,
        span_mm=given.number("span_mm"),
    )
    return [
        Sum("racking_n_per_mm", "racking stiffness at the far end", "k_r",
            "1 / (L² / K + L³ / (3 E I))",
            ("tilting_nmm_per_rad", "span_mm", "bending_stiffness_nmm2"), racking, "N/mm", 2,
            "statics, the carriage first and the beam after it"),
    ]  # fmt: skip


def _verdict(given: Given, sag_mm: float) -> Verdict:
    allowed_mm = given.number("allowed_sag_mm")
    holds = sag_mm <= allowed_mm
    words = (
        f"Under {given.number('force_n'):.4g} N it sags {rounded(sag_mm, 2)} mm; "
        f"{allowed_mm:g} mm are allowed."
    )
    if not holds:
        over = sag_mm / allowed_mm
        words += (
            f" A section {rounded(over, 2)} times as stiff would do, or a length of "
            f"{rounded(given.number('span_mm') / over ** (1 / 3), 2)} mm."
        )
    return Verdict(words, holds, ("allowed_sag_mm",))


def _warnings(given: Given) -> tuple[str, ...]:
    told = [
        "The beam's joints are left out. On a printer they give way more than the beam does: "
        "hang a mass on it and read before you buy a stiffer one."
    ]
    if given.word("section") in EXTRUSIONS:
        told.append(
            "Slotted profiles of one size differ by up to a quarter between makers: take the "
            "second moment from the maker's sheet where it matters."
        )
        if given.number("torque_nmm") > 0 and given.known("torsion_mm4") is None:
            told.append(
                "How far it twists cannot be told: an open slotted profile twists far more than a "
                "tube, and only the maker's torsion constant says how far."
            )
    return tuple(told)


CALCULATOR = Calculator(
    kind="beam",
    title="Beam",
    purpose="How far a beam sags and twists, and how stiffly it holds its far end.",
    asked=ASKED,
    work=work,
    example="--span-mm 340 --force-n 6 --section tube --wall-mm 2",
)
