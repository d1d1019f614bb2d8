"""Thrust seat: washers the right way round, squareness, stiffness, a pulley that must not rub."""

from __future__ import annotations

from plumbrise.elements import bearing_capture, bearing_contact
from plumbrise.elements.springs import series_n_per_mm
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS, _HB = Trust.COMMON_PRACTICE, Trust.GUESS, Trust.HANDBOOK
_WASHERS, _BALLS, _SEAT, _PULLEY = "The washers", "The balls", "The seat", "A pulley on top"

ASKED = (
    Asked("first_bore_mm", "bore of the one washer, measured", "mm", 10.0, _HB, low=1, high=200,
          group=_WASHERS, factor=1),
    Asked("second_bore_mm", "bore of the other washer, measured", "mm", 11.0, _HB, low=1,
          high=200, group=_WASHERS, factor=1),
    Asked("shaft_mm", "diameter of the journal or sleeve", "mm", 9.98, _GUESS, low=1, high=200,
          group=_WASHERS, factor=1),
    Asked("balls", "number of balls", "", 10, _GUESS, low=3, high=100, whole=True,
          group=_BALLS),
    Asked("ball_mm", "diameter of a ball", "mm", 4.762, _GUESS, low=0.5, high=50,
          group=_BALLS, factor=1.2),
    Asked("circle_mm", "diameter of the circle that they run on", "mm", 17.0, _GUESS, low=2,
          high=200, group=_BALLS, factor=1.1),
    Asked("load_n", "load that it carries, with preload", "N", 16.0, _CP, low=0.01, high=1e5,
          group=_SEAT),
    Asked("out_of_square_mm", "how far its seat is out of square to the screw, over the bearing",
          "mm", 0.05, _GUESS, low=0, high=5, group=_SEAT, factor=2),
    Asked("outer_mm", "outer diameter of the bearing", "mm", 24.0, _HB, low=2, high=300,
          group=_SEAT, factor=1),
    Asked("block_n_per_mm", "how stiffly the block holds the seat up", "N/mm", 2000.0, _GUESS,
          low=1, high=1e7, group=_SEAT, factor=3),
    Asked("allowed_mm", "how far the screw may sink before all balls carry", "mm", 0.05, _CP,
          low=0.001, high=2, group=_SEAT, factor=1),
    Asked("width_mm", "height of the bearing", "mm", 9.0, _HB, low=1, high=100,
          group=_PULLEY, factor=1),
    Asked("seat_depth_mm", "how deep it is let into the block", "mm", 7.0, _GUESS, low=0,
          high=100, group=_PULLEY),
    Asked("spacer_mm", "spacer between bearing and pulley, no wider than the turning washer", "mm",
          0.0, _GUESS, low=0, high=50, group=_PULLEY),
    Asked("pulley_mm", "diameter of the pulley over its flange; none if left out", "mm", low=2,
          high=300, optional=True, group=_PULLEY),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Which washer goes where, what the seat's tilt costs, stiffness, and the gap of a pulley."""
    tilt = given.number("out_of_square_mm") / given.number("outer_mm")
    sums = [*_washer_sums(given), *_stiffness_sums(given, tilt)]
    take_up = next(float(one.value) for one in sums if one.name == "take_up_mm")
    allowed = given.number("allowed_mm")
    verdicts = [
        Verdict(
            f"The seat's tilt lets the screw sink {rounded(take_up, 2)} mm before all balls carry; "
            f"{allowed:g} mm are allowed.",
            take_up <= allowed,
            ("allowed_mm",),
        )
    ]
    if given.known("pulley_mm") is not None:
        more, verdict = _pulley(given, tilt, take_up)
        sums += more
        verdicts.append(verdict)
    return Worked(tuple(sums), tuple(verdicts), _warnings())


def _washer_sums(given: Given) -> list[Sum]:
    bores = ("first_bore_mm", "second_bore_mm")
    places = bearing_capture.washer_places(
        first_bore_mm=given.number(bores[0]),
        second_bore_mm=given.number(bores[1]),
        shaft_mm=given.number("shaft_mm"),
    )
    turning, standing = (
        f"the one of {given.number(bores[place]):g} mm bore"
        for place in (places.shaft_washer, places.housing_washer)
    )
    uses = (*bores, "shaft_mm")
    return [
        Sum("turning_washer", "washer that turns with the screw, to the load", "-",
            "smaller bore", uses, turning, "", 3, "ISO 104"),
        Sum("standing_washer", "washer that lies in the block", "-", "larger bore", uses, standing,
            "", 3, "ISO 104"),
        Sum("clear_mm", "how much wider it is than the shaft", "c", "bore - shaft", uses,
            places.runs_clear_mm, "mm", 2),
    ]  # fmt: skip


def _stiffness_sums(given: Given, tilt: float) -> list[Sum]:
    load_n, balls, ball_mm = given.number("load_n"), given.count("balls"), given.number("ball_mm")
    approach_mm, ideal = (
        formula(thrust_n=load_n, balls=balls, ball_diameter_mm=ball_mm)
        for formula in (bearing_contact.thrust_approach_mm, bearing_contact.thrust_n_per_mm)
    )
    uses = ("load_n", "balls", "ball_mm")
    harris = "Harris, Rolling Bearing Analysis, thrust at 90°"
    return [
        Sum("tilt", "seat out of square", "γ", "out of square / outer",
            ("out_of_square_mm", "outer_mm"), tilt, "", 2),
        Sum("take_up_mm", "sinking before all balls carry", "s", "γ · circle",
            ("tilt", "circle_mm"),
            bearing_contact.take_up_mm(
                out_of_square_mm_per_mm=tilt, ball_circle_mm=given.number("circle_mm")
            ), "mm", 2, "geometry"),
        Sum("approach_mm", "how far balls and grooves give, all carrying", "δ",
            "5.24·10⁻⁴ (F / Z)^(2/3) / D^(1/3)", uses,
            approach_mm, "mm", 2, harris),
        Sum("ideal_n_per_mm", "stiffness of the bearing on an ideal seat", "k", "1.5 F / δ",
            ("load_n", "approach_mm"), ideal, "N/mm", 2, harris),
        Sum("seat_n_per_mm", "with the block under it", "k_s", "1 / (1/k + 1/k_block)",
            ("ideal_n_per_mm", "block_n_per_mm"),
            series_n_per_mm((ideal, given.number("block_n_per_mm"))), "N/mm", 2,
            "springs in series"),
    ]  # fmt: skip


def _pulley(given: Given, tilt: float, take_up_mm: float) -> tuple[list[Sum], Verdict]:
    gap = bearing_capture.pulley_gap(
        bearing_width_mm=given.number("width_mm"),
        seat_depth_mm=given.number("seat_depth_mm"),
        spacer_mm=given.number("spacer_mm"),
        pulley_radius_mm=given.number("pulley_mm") / 2,
        tilt_mm_per_mm=tilt,
        settling_mm=take_up_mm,
    )
    sums = [
        Sum("gap_mm", "gap between pulley and block", "g", "width - seat depth + spacer",
            ("width_mm", "seat_depth_mm", "spacer_mm"), gap.gap_mm, "mm", 2, "geometry"),
        Sum("gap_needed_mm", "gap that it needs", "g_min", "γ · pulley / 2 + s + 0.2",
            ("tilt", "pulley_mm", "take_up_mm"), gap.needed_mm, "mm", 2, "geometry"),
    ]  # fmt: skip
    words = f"Between pulley and block there are {rounded(gap.gap_mm, 2)} mm"
    if not gap.rubs:
        return sums, Verdict(f"{words}: it runs clear.", True)
    short = rounded(gap.needed_mm - gap.gap_mm, 2)
    return sums, Verdict(f"{words}: it can rub. Put a spacer of {short} mm more under it.", False)


def _warnings() -> tuple[str, ...]:
    return (
        "The pulley may touch the turning washer and nothing else: one that rests on the block or "
        "on the standing washer brakes, wears and carries the weight by its flange.",
        "The bearing carries pressure only. Something else has to keep the screw down and to hold "
        "it sideways.",
    )


CALCULATOR = Calculator(
    kind="thrust-seat",
    title="Thrust seat",
    purpose="Which washer goes where, what a seat out of square costs, whether a pulley rubs.",
    asked=ASKED,
    work=work,
    example="--out-of-square-mm 0.05 --pulley-mm 28",
)
