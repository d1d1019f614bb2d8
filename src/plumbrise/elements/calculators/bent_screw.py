"""Bent screw: what it reads on blocks, and how it pushes what moves, top end free or held."""

from __future__ import annotations

from plumbrise.elements import screw_bow
from plumbrise.elements.screw import Ends, bending_stiffness_nmm2
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.errors import InputError
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_SCREW, _AXIS = "The screw", "Where it runs"
ROARK = "Roark's Formulas for Stress and Strain, table 8.1"
ARC = "geometry of a flat arc"

ASKED = (
    Asked("swing_mm", "full swing of a gauge in the middle between the blocks, over a turn", "mm",
          0.3, _GUESS, low=0, high=10, group=_SCREW, factor=1.5),
    Asked("blocks_mm", "distance of the blocks it was rolled on", "mm", 300.0, _GUESS, low=20,
          high=3000, group=_SCREW, factor=1),
    Asked("core_mm", "diameter at the root of the thread", "mm", 5.5, _CP, low=1, high=100,
          group=_SCREW, factor=1.1),
    Asked("length_mm", "length from the motor to its top end", "mm", 330.0, _GUESS, low=20,
          high=3000, group=_SCREW, field="screw.length_mm"),
    Asked("top_end", "its top end", "", "free", _CP, choices=("free", "held"), group=_AXIS,
          field="screw.top_end"),
    Asked("lowest_mm", "lowest place of the nut above the motor's end", "mm", 50.0, _GUESS, low=1,
          high=3000, group=_AXIS),
    Asked("highest_mm", "highest place of the nut", "mm", 300.0, _GUESS, low=1, high=3000,
          group=_AXIS),
    Asked("guide_n_per_mm", "how stiffly the guides hold the nut sideways", "N/mm", 50.0, _GUESS,
          low=0.01, high=1e6, group=_AXIS, factor=3),
    Asked("allowed_wobble_mm", "how far the moving part may be pushed to either side", "mm", 0.01,
          _CP, low=0.0001, high=5, group=_AXIS, factor=1),
)  # fmt: skip

ENDS = {"free": Ends.HELD_FREE, "held": Ends.PINNED_PINNED}


def work(given: Given) -> Worked:
    """Bow, orbit of the free end, and the push on the nut at both ends of its travel."""
    length_mm = given.number("length_mm")
    for place in ("lowest_mm", "highest_mm"):
        if not given.number(place) < length_mm:
            raise InputError(
                place=place,
                value=given.number(place),
                allowed=f"below the length of {length_mm:g} mm",
                remedy="Measure from the motor's end to the nut.",
            )
    bow_mm = screw_bow.bow_over_mm(
        bow_mm=screw_bow.bow_from_swing_mm(swing_mm=given.number("swing_mm")),
        over_mm=given.number("blocks_mm"),
        length_mm=length_mm,
    )
    sums = (
        Sum("bow_mm", "bow over its length", "b", "swing / 2 · (L / blocks)²",
            ("swing_mm", "blocks_mm", "length_mm"), bow_mm, "mm", 2, ARC),
        *_place_sums(given, bow_mm, "lowest"),
        *_place_sums(given, bow_mm, "highest"),
    )  # fmt: skip
    value = {one.name: float(one.value) for one in sums}
    wobble = max(value["lowest_wobble_mm"], value["highest_wobble_mm"])
    other = max(_pushed_mm(given, bow_mm, place, _other(given)) for place in ("lowest", "highest"))
    allowed = given.number("allowed_wobble_mm")
    verdicts = (
        Verdict(
            f"It pushes the moving part {rounded(wobble, 2)} mm to either side, once a turn; "
            f"{allowed:g} mm are allowed.",
            wobble <= allowed,
            ("allowed_wobble_mm",),
        ),
        Verdict(f"With its top {_other(given)} it would be {rounded(other, 2)} mm."),
    )
    return Worked(sums, verdicts, _warnings())


def _other(given: Given) -> str:
    return "held" if given.word("top_end") == "free" else "free"


def _place_sums(given: Given, bow_mm: float, place: str) -> tuple[Sum, ...]:
    at, ends = f"{place}_mm", ENDS[given.word("top_end")]
    free = ends is Ends.HELD_FREE
    length_mm, height_mm = given.number("length_mm"), given.number(at)
    stiffness = bending_stiffness_nmm2(core_diameter_mm=given.number("core_mm"))
    return (
        Sum(f"{place}_orbit_mm", f"radius it would run on, nut at its {place}", "y",
            "4 b z² / L²" if free else "4 b z (L - z) / L²", ("bow_mm", at, "length_mm", "top_end"),
            screw_bow.orbit_mm(bow_mm=bow_mm, length_mm=length_mm, height_mm=height_mm,
                               ends=ends), "mm", 2, ARC),
        Sum(f"{place}_n_per_mm", f"its stiffness sideways, nut at its {place}", "k",
            "3 E I / z³" if free else "3 E I L / (z² (L - z)²)",
            ("core_mm", at, "length_mm", "top_end"),
            screw_bow.sideways_n_per_mm(bending_stiffness_nmm2=stiffness, length_mm=length_mm,
                                        height_mm=height_mm, ends=ends), "N/mm", 2,
            ROARK),
        Sum(f"{place}_wobble_mm", f"push of the moving part to either side, nut at its {place}",
            "w", "y k / (k + k_guide)",
            (f"{place}_orbit_mm", f"{place}_n_per_mm", "guide_n_per_mm"),
            _pushed_mm(given, bow_mm, place, given.word("top_end")), "mm", 2, "springs in series"),
    )  # fmt: skip


def _pushed_mm(given: Given, bow_mm: float, place: str, top_end: str) -> float:
    """How far the moving part goes to either side."""
    guide = given.number("guide_n_per_mm")
    force_n = screw_bow.side_force_n(
        bow_mm=bow_mm,
        bending_stiffness_nmm2=bending_stiffness_nmm2(core_diameter_mm=given.number("core_mm")),
        length_mm=given.number("length_mm"),
        height_mm=given.number(f"{place}_mm"),
        ends=ENDS[top_end],
        guide_n_per_mm=guide,
    )
    return screw_bow.wobble_mm(side_force_n=force_n, guide_n_per_mm=guide)


def _warnings() -> tuple[str, ...]:
    return (
        "A free end that whirls does not prove a bent screw: roll it on a flat plate or two blocks "
        "under a gauge. A kink by the coupling is worse than an even bow and is not reckoned here.",
    )


CALCULATOR = Calculator(
    kind="bent-screw",
    title="Bent screw",
    purpose="How a bent screw pushes the moving part sideways, with its top end free or held.",
    asked=ASKED,
    work=work,
    example="--swing-mm 0.1 --lowest-mm 100",
)
