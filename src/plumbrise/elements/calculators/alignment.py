"""Alignment: how far out a screw may stand, what to accept, and in which order to tighten."""

from __future__ import annotations

from plumbrise.cautions import FALLING_GANTRY, PINCH
from plumbrise.elements import alignment
from plumbrise.elements.alignment import FIXINGS, Permitted
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.errors import InputError
from plumbrise.quantity import rounded

FEELERS_MM = (0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50, 0.70, 1.00)
"""Leaves of a usual feeler gauge."""
CALIPER_MM = 0.05
"""What two caliper readings tell apart at best (common practice, no source)."""
PLACES = 26
"""Heights at which the nut is looked at, evenly over the travel."""

_CP, _HB, _GUESS = Trust.COMMON_PRACTICE, Trust.HANDBOOK, Trust.GUESS
_SCREW, _NUT, _BLOCK, _READ = "The screw", "The nut", "The bearing block", "What you measured"

ASKED = (
    Asked("length_mm", "screw above the block that holds it", "mm", 330.0, _GUESS, low=20,
          high=3000, group=_SCREW, field="screw.length_mm"),
    Asked("core_mm", "diameter at the root of its thread", "mm", 5.5, _HB, low=1, high=100,
          group=_SCREW),
    Asked("fixing", "how its ends are held", "", "free-top", _CP, choices=tuple(FIXINGS),
          group=_SCREW),
    Asked("pivot_deg", "how far the coupling bends, where the screw pivots there", "°", 1.0,
          _GUESS, low=0, high=10, group=_SCREW),
    Asked("lowest_mm", "lowest nut above the block", "mm", 50.0, _GUESS, low=1, high=3000,
          group=_NUT),
    Asked("highest_mm", "highest nut above the block", "mm", 300.0, _GUESS, low=1, high=3000,
          group=_NUT),
    Asked("float_mm", "how far the nut's mount slides sideways by itself, either way", "mm", 0.0,
          _CP, low=0, high=10, group=_NUT),
    Asked("side_force_n", "sideways force that the nut may have to bear", "N", 10.0, _CP,
          low=0.1, high=1000, group=_NUT, factor=1.5),
    Asked("block_mm", "width of the block", "mm", 45.0, _CP, low=1, high=500, group=_BLOCK),
    Asked("bar_mm", "width of the bar that it is centred on", "mm", 40.0, _CP, low=1, high=500,
          group=_BLOCK),
    Asked("seat_mm", "length of the block's seat, edge to edge", "mm", 45.0, _CP, low=1,
          high=500, group=_BLOCK),
    Asked("left_mm", "how far the block stands out on the left", "mm", low=-100, high=100,
          optional=True, group=_READ),
    Asked("right_mm", "how far the block stands out on the right", "mm", low=-100, high=100,
          optional=True, group=_READ),
    Asked("feeler_mm", "thickest feeler that goes under an edge of the block", "mm", low=0,
          high=10, optional=True, group=_READ),
    Asked("low_mm", "from screw to guide, by caliper, at the lowest nut", "mm", low=0, high=1000,
          optional=True, group=_READ),
    Asked("high_mm", "from screw to guide, by caliper, at the highest nut", "mm", low=0,
          high=1000, optional=True, group=_READ),
)  # fmt: skip

_HOLD = ("fixing", "lowest_mm", "highest_mm", "length_mm", "core_mm", "side_force_n", "float_mm")


def work(given: Given) -> Worked:
    """What the fixing permits, what was measured against it, and the order of work."""
    _goes_together(given)
    low, high = _permitted(given, "lowest_mm"), _permitted(given, "highest_mm")
    travel_mm = given.number("highest_mm") - given.number("lowest_mm")
    gap_mm = low.lean * given.number("seat_mm")
    hold = (*_HOLD, "pivot_deg") if given.word("fixing") == "pivoting" else _HOLD
    overhang_mm = alignment.overhang_mm(
        block_mm=given.number("block_mm"), bar_mm=given.number("bar_mm")
    )
    sums = [
        Sum("overhang_mm", "how far a centred block stands out on each side", "o", "(w - b) / 2",
            ("block_mm", "bar_mm"), overhang_mm, "mm", 3, "common practice, no source"),
        Sum("offset_mm", "how far the screw may stand beside the nut", "e",
            "float + F / k(z), the least over the travel", hold, low.offset_mm, "mm", 2,
            "screw as a beam: Roark, table 8.1"),
        Sum("caliper_mm", "how much the two overhangs may differ", "Δo", "2 e", ("offset_mm",),
            2 * low.offset_mm, "mm", 2),
        Sum("lean_low_mm", "lean over the travel, tightened with the nut lowest", "x₁",
            "(z₂ - z₁) · min (float + F / k(z)) / (z - z₁)", hold, low.lean * travel_mm, "mm", 2),
        Sum("lean_high_mm", "lean over the travel, tightened with the nut highest", "x₂",
            "(z₂ - z₁) · min (float + F / k(z)) / (z₂ - z)", hold, high.lean * travel_mm, "mm",
            2),
        Sum("gap_mm", "gap under an edge of the block that makes such a lean", "g",
            "w_s x₁ / (z₂ - z₁)", ("seat_mm", "lean_low_mm", "lowest_mm", "highest_mm"), gap_mm,
            "mm", 2),
    ]  # fmt: skip
    measured = _measured(given, low, gap_mm, travel_mm)
    sums += [line for line, _ in measured]
    verdicts = tuple(verdict for _, verdict in measured) or (
        _accept(overhang_mm, low, gap_mm, travel_mm),
    )
    return Worked(
        tuple(sums),
        verdicts,
        _warnings(given, low, high, travel_mm),
        (FALLING_GANTRY, PINCH),
        _order(given, overhang_mm, low, gap_mm, travel_mm),
    )


def _goes_together(given: Given) -> None:
    lowest_mm, length_mm = given.number("lowest_mm"), given.number("length_mm")
    highest_mm = given.number("highest_mm")
    if not lowest_mm < highest_mm <= length_mm:
        raise InputError(
            place="highest_mm",
            value=highest_mm,
            allowed=f"above {lowest_mm:g} and at most {length_mm:g} mm",
            remedy="The nut runs between block and top end.",
        )
    for one, other in (("left_mm", "right_mm"), ("low_mm", "high_mm")):
        for known, missing in ((one, other), (other, one)):
            if given.known(known) is not None and given.known(missing) is None:
                raise InputError(
                    place=missing,
                    value="nothing",
                    allowed="a length",
                    remedy="Measure both: one alone says nothing.",
                )


def _permitted(given: Given, aligned_at: str) -> Permitted:
    lowest, highest = given.number("lowest_mm"), given.number("highest_mm")
    step = (highest - lowest) / (PLACES - 1)
    return alignment.permitted(
        given.word("fixing"),
        aligned_at_mm=given.number(aligned_at),
        heights_mm=[lowest + step * i for i in range(PLACES - 1)] + [highest],
        length_mm=given.number("length_mm"),
        core_diameter_mm=given.number("core_mm"),
        side_force_n=given.number("side_force_n"),
        float_mm=given.number("float_mm"),
        pivot_deg=given.number("pivot_deg"),
    )


def _measured(
    given: Given, low: Permitted, gap_mm: float, travel_mm: float
) -> list[tuple[Sum, Verdict]]:
    """Each thing that was measured, and whether it will do."""
    found = []
    left, right = given.known("left_mm"), given.known("right_mm")
    if left is not None and right is not None:
        off = alignment.off_centre_mm(left_mm=left, right_mm=right)
        line = Sum("off_centre_mm", "how far the block is off the middle", "e_b",
                   "(left - right) / 2", ("left_mm", "right_mm"), off, "mm", 2)  # fmt: skip
        found.append((line, _judged("The block is off the middle by", abs(off), low.offset_mm)))
    feeler = given.known("feeler_mm")
    if feeler is not None:
        out = alignment.seat_lean_mm(
            gap_mm=feeler, seat_mm=given.number("seat_mm"), length_mm=travel_mm
        )
        line = Sum("seat_lean_mm", "lean of the screw over the travel by its seat", "x_s",
                   "(z₂ - z₁) g / w_s", ("feeler_mm", "seat_mm", "lowest_mm", "highest_mm"), out,
                   "mm", 2)  # fmt: skip
        found.append((line, _judged("The gap under the block is", feeler, gap_mm)))
    near, far = given.known("low_mm"), given.known("high_mm")
    if near is not None and far is not None:
        line = Sum("guide_lean_mm", "lean of the screw against the guide", "x_g", "high - low",
                   ("low_mm", "high_mm"), far - near, "mm", 2)  # fmt: skip
        allowed = low.lean * travel_mm
        found.append((line, _judged("Screw and guide part by", abs(far - near), allowed)))
    return found


def _judged(words: str, found_mm: float, allowed_mm: float) -> Verdict:
    return Verdict(
        f"{words} {rounded(found_mm, 2)} mm; {rounded(allowed_mm, 2)} mm are permitted.",
        found_mm <= allowed_mm,
    )


def _accept(overhang_mm: float, low: Permitted, gap_mm: float, travel_mm: float) -> Verdict:
    return Verdict(
        f"Accept: the block stands out {overhang_mm:.2f} mm on each side, alike within "
        f"{rounded(2 * low.offset_mm, 2)} mm; {_feeler(gap_mm)}; from bottom to top the screw "
        f"keeps its distance to the guide within {rounded(low.lean * travel_mm, 2)} mm, if it was "
        "tightened with the nut lowest."
    )


def _feeler(gap_mm: float) -> str:
    """The leaf that must not go in, in words."""
    fitting = [leaf for leaf in FEELERS_MM if leaf <= gap_mm]
    if not fitting:
        return "no light is to be seen under it"
    return f"a feeler of {fitting[-1]:.2f} mm must not go under it"


def _order(
    given: Given, overhang_mm: float, low: Permitted, gap_mm: float, travel_mm: float
) -> tuple[str, ...]:
    """Common practice, no source, with this screw's own figures."""
    held = given.word("fixing") == "held-top"
    last = (
        "Fit the top bearing last, with the nut at its highest, and tighten it there. Then run "
        "the nut down again and feel."
        if held
        else "Leave the top end free. If it whips, guide it loosely rather than hold it."
    )
    return (
        "Frame first: its diagonals alike within 0.5 mm, its uprights as far apart at the top as "
        "at the bottom within 0.1 mm. Set the rollers or rails now, not afterwards.",
        f"Centre the block: {overhang_mm:.2f} mm on each side, by caliper, alike within "
        f"{rounded(2 * low.offset_mm, 2)} mm.",
        f"Seat it flat: {_feeler(gap_mm)}, on any side. The seat of a thrust washer is square to "
        "the screw within 0.1 mm over the washer.",
        f"Leave the screws of block and nut finger-tight and run the nut to its lowest place, "
        f"{given.number('lowest_mm'):.4g} mm above the block, where the screw yields least. "
        "Tighten the block, then the nut, a little at a time and crosswise.",
        f"Run the nut up by hand: the screw keeps its distance to the guide within "
        f"{rounded(low.lean * travel_mm, 2)} mm. The turning grows at most by half from bottom to "
        "top, and at most doubles within a turn.",
        last,
    )


def _warnings(given: Given, low: Permitted, high: Permitted, travel_mm: float) -> tuple[str, ...]:
    told = ["Each figure is for that fault alone: two of them at half of it come to the same."]
    if 2 * low.offset_mm < CALIPER_MM:
        told.append(
            f"A caliper does not tell {rounded(2 * low.offset_mm, 2)} mm: it gets the block near "
            "its place, and the nut at its lowest, with everything finger-tight, finds the place."
        )
    if 3 * high.lean < low.lean:
        told.append(
            "Tightened with the nut at its highest the same screw may lean only "
            f"{rounded(high.lean * travel_mm, 2)} mm: start at the bottom."
        )
    if given.word("fixing") == "held-top":
        told.append(
            "Held at both ends the screw yields nowhere near its bearings. On a short screw the "
            "top bearing is often what binds: try without it."
        )
    return tuple(told)


CALCULATOR = Calculator(
    kind="alignment",
    title="Alignment of a screw",
    purpose="How far out a screw may stand, what to accept by caliper and feeler, in which order.",
    asked=ASKED,
    work=work,
    example="--lowest-mm 50 --highest-mm 300 --left-mm 2.6 --right-mm 2.4 --feeler-mm 0.05",
)
