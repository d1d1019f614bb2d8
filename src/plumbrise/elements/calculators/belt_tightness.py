"""How tight a belt loop may and must be, as lines of its sheet."""

from __future__ import annotations

from math import inf

from plumbrise.elements import belt_stock, belt_tension
from plumbrise.elements.belt_tension import Limit, Window
from plumbrise.elements.calculators.belt_layout import Layout
from plumbrise.elements.screw import STEEL_N_PER_MM2
from plumbrise.elements.worked import Given, Sum, Verdict
from plumbrise.quantity import rounded


def window_of(given: Given, layout: Layout) -> Window:
    """What the tension must be and may be, shafts and screw ends included.

    The belt passes on the torques of all screws that the motor does not sit on.
    """
    bears = [
        Limit(_for_bend_n(given, layout, name), f"the end of screw {name} bends")
        for name in layout.screws
    ]
    if layout.roles[layout.driver] == "motor":
        bears.append(
            Limit(
                belt_tension.tension_for_load_n(
                    load_n=given.number("side_load_n"), wrap_deg=layout.arc(layout.driver).wrap_deg
                ),
                "the motor's shaft",
            )
        )
    return belt_tension.window(
        torque_nmm=len(layout.driven) * given.number("torque_nmm"),
        pitch_diameter_mm=min(2 * layout.arc(name).radius_mm for name in layout.driven),
        width_mm=given.number("width_mm"),
        bears=bears,
    )


def _for_bend_n(given: Given, layout: Layout, name: str) -> float:
    """Tension at which the belt bends the end of a screw as far as is allowed."""
    for_one_newton = _bend_mm(given, layout, name, tension_n=1.0)
    return given.number("allowed_bend_mm") / for_one_newton if for_one_newton > 0 else inf


def _bend_mm(given: Given, layout: Layout, name: str, tension_n: float) -> float:
    return belt_tension.end_deflection_mm(
        load_n=belt_tension.shaft_load_n(tension_n=tension_n, wrap_deg=layout.arc(name).wrap_deg),
        overhang_mm=given.number("overhang_mm"),
        core_diameter_mm=given.number("end_diameter_mm"),
        modulus_n_per_mm2=STEEL_N_PER_MM2,
    )


def tension_sums(given: Given, layout: Layout, window: Window) -> tuple[Sum, ...]:
    """Both ends of the window, the tone there, and what the middle of it does to the shafts."""
    longest = layout.longest
    middle_n = (window.lowest_n + window.highest_n) / 2
    tension = ("lowest_n", "highest_n")

    def tone_hz(tension_n: float) -> float:
        return belt_tension.span_frequency_hz(
            tension_n=tension_n,
            mass_g_per_m=given.number("mass_g_per_m"),
            length_mm=longest.length_mm,
        )

    span = f"the span from {longest.start} to {longest.end}"
    tones = (
        ("lowest_hz", f"tone of {span}, at the least", window.lowest_n, "lowest_n"),
        ("highest_hz", f"tone of {span}, at the most", window.highest_n, "highest_n"),
    )
    loads = tuple(
        Sum(f"load_{name}_n", f"side load on {name}, half way", "F", "2 T sin(θ/2)",
            (*tension, f"wrap_{name}_deg"),
            belt_tension.shaft_load_n(
                tension_n=middle_n, wrap_deg=layout.arc(name).wrap_deg), "N", 2, "statics")
        for name in dict.fromkeys((layout.driver, *layout.screws))
    )  # fmt: skip
    bends = tuple(
        Sum(f"bend_{name}_mm", f"bend of the end of {name}, half way", "δ", "F L³ / (3 E I)",
            (f"load_{name}_n", "overhang_mm", "end_diameter_mm"),
            _bend_mm(given, layout, name, middle_n), "mm", 2,
            "Roark, Formulas for Stress and Strain, table 8.1")
        for name in layout.screws
    )  # fmt: skip
    furthest = _furthest_mm(given, layout, window)
    tightening = belt_stock.tightening_mm(
        layout.found,
        layout.moved,
        tension_n=middle_n,
        axial_stiffness_n=given.number("strand_n"),
    )
    return (
        Sum("lowest_n", f"least tension: {window.needs[0].because}", "T_low",
            "the greater of 2 M / d for both strands and what the width wants",
            ("torque_nmm", "width_mm", *layout.inputs), window.lowest_n, "N", 2),
        Sum("highest_n", f"most tension: {window.bears[0].because}", "T_high",
            "the least of what belt, motor and screw ends bear",
            ("width_mm", "side_load_n", "overhang_mm", "end_diameter_mm", "allowed_bend_mm"),
            window.highest_n, "N", 2),
        *(
            Sum(name, what, "f", "sqrt(T / μ) / (2 l)", (of, "mass_g_per_m"), tone_hz(tension_n),
                "Hz", 2, "vibrating string")
            for name, what, tension_n, of in tones
        ),
        Sum("tightening_mm", f"further out for {layout.moved} to make it tight, half way", "s",
            "T L / (2 E A sin(θ/2))", (*tension, "strand_n", "length_mm", "moved"), tightening,
            "mm", 2, "Hooke's law"),
        *loads,
        *bends,
        Sum("furthest_mm", "furthest from the bearing of a screw to its pulley", "L_most",
            "(3 E I δ / F)^⅓, F at the least tension",
            ("lowest_n", "end_diameter_mm", "allowed_bend_mm"), furthest, "mm", 2,
            "Roark, Formulas for Stress and Strain, table 8.1"),
    )  # fmt: skip


def _furthest_mm(given: Given, layout: Layout, window: Window) -> float:
    """How far a pulley may stand out before the least tension bends its screw too far."""
    return belt_tension.most_overhang_mm(
        load_n=max(
            belt_tension.shaft_load_n(tension_n=window.lowest_n, wrap_deg=layout.arc(name).wrap_deg)
            for name in layout.screws
        ),
        deflection_mm=given.number("allowed_bend_mm"),
        core_diameter_mm=given.number("end_diameter_mm"),
        modulus_n_per_mm2=STEEL_N_PER_MM2,
    )


def held_near(given: Given, furthest_mm: float) -> Verdict:
    """Whether a bearing holds each screw near enough to its pulley."""
    stands = given.number("overhang_mm")
    return Verdict(
        f"A bearing must hold each screw within {rounded(furthest_mm, 2)} mm of its pulley, at the "
        f"top too if the belt runs there: reckoned with {stands:g} mm.",
        stands <= furthest_mm,
        ("overhang_mm",),
    )


def heard(given: Given, layout: Layout, window: Window) -> tuple[Verdict, ...]:
    """Whether the belt is tight enough and not too tight, by the tone that was heard."""
    tone_hz = given.known("heard_hz")
    if tone_hz is None:
        return ()
    tension_n = belt_tension.span_tension_n(
        frequency_hz=tone_hz,
        mass_g_per_m=given.number("mass_g_per_m"),
        length_mm=layout.longest.length_mm,
    )
    right = window.lowest_n <= tension_n <= window.highest_n
    advice = "slacken it" if tension_n > window.highest_n else "tighten it"
    return (
        Verdict(
            f"At {tone_hz:g} Hz it stands at {rounded(tension_n, 2)} N a strand"
            f"{'' if right else f': {advice}'}.",
            right,
            ("heard_hz", "mass_g_per_m"),
        ),
    )
