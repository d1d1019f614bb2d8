"""Frame: how far it gives way to a push, what of that the joints take, and what a gauge reads."""

from __future__ import annotations

from dataclasses import replace
from math import inf

from plumbrise.elements import frame
from plumbrise.elements.calculators.frame_described import (
    braces_n_per_mm,
    gusset_nmm_per_rad,
    panel_n_per_mm,
    portal_of,
    reads_mm,
    with_joints,
)
from plumbrise.elements.frame import Portal
from plumbrise.elements.materials import MATERIALS
from plumbrise.elements.sections import EXTRUSIONS
from plumbrise.elements.springs import side_by_side_n_per_mm
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

SPREAD = 3.0
"""Sound joints of one make differ by such a factor either way (common practice, no source)."""
RIGID = 1e6
"""So many times as stiff is as good as rigid."""
CHOPRA = "A. K. Chopra, Dynamics of Structures, 1.3, with joints that turn"

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_BARS, _JOINTS, _BRACE, _PUSH = "Its bars", "Its joints", "What braces it", "The push"

ASKED = (
    Asked("height_mm", "height of the uprights", "mm", 400.0, _GUESS, low=50, high=3000,
          group=_BARS, field="frame.upright_height_mm"),
    Asked("span_mm", "from upright to upright", "mm", 340.0, _GUESS, low=50, high=3000,
          group=_BARS, field="guide.span_mm"),
    Asked("depth_mm", "from front feet to back feet", "mm", 400.0, _GUESS, low=50, high=3000,
          group=_BARS),
    Asked("upright", "profile of the uprights", "", "extrusion-20x40", _CP,
          choices=tuple(EXTRUSIONS), group=_BARS),
    Asked("upright_way", "uprights with their height (tall) or width (flat) along the push", "",
          "flat", _GUESS, choices=("tall", "flat"), group=_BARS),
    Asked("top", "profile of the beam that joins their tops", "", "extrusion-20x20", _CP,
          choices=tuple(EXTRUSIONS), group=_BARS),
    Asked("joint_nmm_per_rad", "how stiffly one joint holds its angle", "N·mm/rad", 3e6, _GUESS,
          low=1e3, high=1e12, group=_JOINTS, factor=SPREAD),
    Asked("gusset_mm", "leg of a gusset added to each joint", "mm", low=5, high=300,
          optional=True, group=_JOINTS),
    Asked("fastener_n_per_mm", "how stiffly a screw holds in its slot", "N/mm", 5000.0, _GUESS,
          low=10, high=1e6, group=_JOINTS, factor=SPREAD),
    Asked("brace_mm", "diameter of a steel rod set as diagonal", "mm", low=0.5, high=50,
          optional=True, group=_BRACE),
    Asked("braces", "how many diagonals carry at a time", "", 1, _CP, low=1, high=4, whole=True,
          group=_BRACE),
    Asked("panel_mm", "thickness of an aluminium panel screwed on all round", "mm", low=0.5,
          high=30, optional=True, group=_BRACE),
    Asked("panel_screws", "screws along its upper edge, and as many below", "", 3, _GUESS, low=1,
          high=50, whole=True, group=_BRACE),
    Asked("push_n", "push at the top of one upright", "N", 10.0, _CP, low=0.1, high=500,
          group=_PUSH, factor=1.0),
    Asked("gauge_mm", "height of the gauge's tip, if not the top", "mm", low=0, high=3000,
          optional=True, group=_PUSH),
    Asked("read_mm", "what the gauge did read", "mm", low=0.0001, high=100, optional=True,
          group=_PUSH),
    Asked("corner_deg", "how far a corner is out of square", "°", 0.1, _CP, low=0, high=10,
          group=_PUSH, factor=1.0),
    Asked("foot_gap_mm", "feeler that goes under the foot that hangs", "mm", 0.0, _GUESS, low=0,
          high=20, group=_PUSH),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Stiffness to either side and front to back, and what a push should read."""
    portal = portal_of(given)
    stiffness = frame.portal_n_per_mm(portal)
    total = side_by_side_n_per_mm((stiffness, braces_n_per_mm(given), panel_n_per_mm(given)))
    read = reads_mm(given)
    low, high = (reads_mm(with_joints(given, by)) for by in (SPREAD, 1 / SPREAD))
    sums = [
        *_bar_sums(given, portal),
        *_side_sums(given, portal, stiffness, total),
        *_read_sums(given, read, low, high),
        *_found_sums(given, portal),
        *_depth_sums(given, portal),
        *_square_sums(given),
    ]
    return Worked(tuple(sums), (_verdict(given, read, low, high),), _warnings(given))


def _bar_sums(given: Given, portal: Portal) -> list[Sum]:
    found = [
        Sum("upright_nmm2", "bending stiffness of an upright", "E I", "E · I of the profile",
            ("upright", "upright_way"), portal.upright_nmm2, "N·mm²", 2),
        Sum("top_nmm2", "bending stiffness of the top beam", "E I_b", "E · I of the profile",
            ("top",), portal.beam_nmm2, "N·mm²", 2),
    ]  # fmt: skip
    if given.known("gusset_mm") is not None:
        found += [
            Sum("gusset_nmm_per_rad", "what a gusset adds to a joint", "c_g", "k a² / 2",
                ("gusset_mm", "fastener_n_per_mm"), gusset_nmm_per_rad(given), "N·mm/rad", 2,
                "statics"),
            Sum("held_nmm_per_rad", "joint and gusset", "c", "c_j + c_g",
                ("joint_nmm_per_rad", "gusset_nmm_per_rad"), portal.foot_nmm_per_rad, "N·mm/rad",
                2),
        ]  # fmt: skip
    return found


def _joint_name(given: Given) -> str:
    return "joint_nmm_per_rad" if given.known("gusset_mm") is None else "held_nmm_per_rad"


def _side_sums(given: Given, portal: Portal, stiffness: float, total: float) -> list[Sum]:
    rigid = frame.portal_n_per_mm(replace(portal, foot_nmm_per_rad=inf, corner_nmm_per_rad=inf))
    bars = ("upright_nmm2", "top_nmm2", "height_mm", "span_mm")
    equation = "24 E I / h³ · (u + w - u w) / (12 - 8 u - 8 w + 5 u w)"
    found = [
        Sum("rigid_n_per_mm", "stiffness sideways, were its joints rigid", "k_r", equation, bars,
            rigid, "N/mm", 2, CHOPRA),
        Sum("portal_n_per_mm", "stiffness sideways with its joints", "k_p", equation,
            (*bars, _joint_name(given)), stiffness, "N/mm", 2, CHOPRA),
        Sum("joints_percent", "share of the give that the joints take", "j", "1 - k_p / k_r",
            ("portal_n_per_mm", "rigid_n_per_mm"), 100 * (1 - stiffness / rigid), "%", 2),
    ]  # fmt: skip
    extras: tuple[str, ...] = ()
    if given.known("brace_mm") is not None:
        extras += ("brace_n_per_mm",)
        found.append(
            Sum("brace_n_per_mm", "what the diagonals add", "k_b", "n cos² θ / (L / E A + 2 / k_e)",
                ("brace_mm", "braces", "span_mm", "height_mm", "fastener_n_per_mm"),
                braces_n_per_mm(given), "N/mm", 2,
                "A. K. Chopra, Dynamics of Structures, example 1.2")
        )  # fmt: skip
    if given.known("panel_mm") is not None:
        extras += ("panel_n_per_mm",)
        found.append(
            Sum("panel_n_per_mm", "what the panel adds, at most", "k_s",
                "1 / (h / (G t b) + 2 / (n k_e))",
                ("panel_mm", "span_mm", "height_mm", "panel_screws", "fastener_n_per_mm"),
                panel_n_per_mm(given), "N/mm", 2, "pure shear of a plate")
        )  # fmt: skip
    if extras:
        found.append(
            Sum("braced_n_per_mm", "stiffness sideways, all together", "k", "sum of these",
                ("portal_n_per_mm", *extras), total, "N/mm", 2, "statics")
        )  # fmt: skip
    return found


def _read_sums(given: Given, read: float, low: float, high: float) -> list[Sum]:
    uses: tuple[str, ...] = ("push_n", "gauge_mm", "portal_n_per_mm")
    if given.known("brace_mm") is not None or given.known("panel_mm") is not None:
        uses += ("braced_n_per_mm",)
    equation = "F / k, less below the top by the bent shape of the upright"
    return [
        Sum("reads_mm", "what the push should read", "x", equation, uses, read, "mm", 2),
        Sum("reads_low_mm", "at least, joints and screws three times as stiff", "x₁", equation,
            (*uses, _joint_name(given)), low, "mm", 2),
        Sum("reads_high_mm", "at most, joints and screws a third as stiff", "x₂", equation,
            (*uses, _joint_name(given)), high, "mm", 2),
    ]  # fmt: skip


def _found_sums(given: Given, portal: Portal) -> list[Sum]:
    """What a reading at the top says of the joints: only where nothing else holds the frame."""
    read, elsewhere = given.known("read_mm"), given.known("gauge_mm")
    if read is None or elsewhere is not None or braces_n_per_mm(given) + panel_n_per_mm(given) > 0:
        return []
    found = frame.joint_nmm_per_rad(portal, push_n=given.number("push_n"), reads_mm=read)
    return [
        Sum("found_nmm_per_rad", "how stiff the joints are by that reading", "c",
            "the c at which F / k is the reading",
            ("read_mm", "push_n", "upright_nmm2", "top_nmm2", "height_mm", "span_mm"), found,
            "N·mm/rad", 2, CHOPRA),
    ]  # fmt: skip


def _depth_sums(given: Given, portal: Portal) -> list[Sum]:
    """Front to back the tops are not joined: the uprights stand on their feet alone."""
    upright = EXTRUSIONS[given.word("upright")]
    tall = given.word("upright_way") == "flat"  # the other way round than sideways
    second = upright.tall_mm4 if tall else upright.flat_mm4
    stiffness = frame.portal_n_per_mm(
        replace(
            portal,
            upright_nmm2=MATERIALS["aluminium"].modulus_n_per_mm2 * second,
            beam_nmm2=0.0,
        )
    )
    return [
        Sum("depth_n_per_mm", "stiffness front to back, both uprights together", "k_d",
            "24 E I / h³ · u / (12 - 8 u)",
            ("upright", "upright_way", "height_mm", _joint_name(given)), stiffness, "N/mm", 2,
            "cantilevers on feet that turn"),
        Sum("depth_reads_mm", "what the same push reads front to back", "x_d", "F / k_d",
            ("push_n", "depth_n_per_mm"), given.number("push_n") / stiffness, "mm", 2),
    ]  # fmt: skip


def _square_sums(given: Given) -> list[Sum]:
    height_mm = given.number("height_mm")
    lean = frame.lean_mm(angle_deg=given.number("corner_deg"), height_mm=height_mm)
    found = [
        Sum("lean_mm", "how far the top is out by that corner", "x_γ", "h tan γ",
            ("corner_deg", "height_mm"), lean, "mm", 2, "geometry"),
    ]  # fmt: skip
    if given.number("foot_gap_mm") > 0:
        twist = frame.foot_twist_mm(
            foot_gap_mm=given.number("foot_gap_mm"),
            depth_mm=given.number("depth_mm"),
            height_mm=height_mm,
        )
        found.append(
            Sum("twist_mm", "how far the tops go apart, front to back, on that foot", "x_t",
                "h g / d", ("foot_gap_mm", "depth_mm", "height_mm"), twist, "mm", 2, "geometry")
        )  # fmt: skip
    return found


def _verdict(given: Given, expected: float, low: float, high: float) -> Verdict:
    read = given.known("read_mm")
    words = (
        f"A push of {given.number('push_n'):.4g} N should read about "
        f"{rounded(expected, 2)} mm: {rounded(low, 2)} to {rounded(high, 2)} mm, as joints differ."
    )
    if read is None:
        return Verdict(words)
    if read > high:
        return Verdict(
            f"{words} It reads {read:g} mm: a joint is loose, or something outside the frame "
            "gives way. Tighten the joints one by one and push again after each.",
            False,
            ("read_mm",),
        )
    if read < low:
        return _below(given, f"{words} It reads {read:g} mm, below that.")
    return Verdict(f"{words} It reads {read:g} mm: its joints are sound.", True, ("read_mm",))


def _below(given: Given, words: str) -> Verdict:
    """What a reading says that is less than such joints leave, or less than any would."""
    rigid = reads_mm(with_joints(given, RIGID))
    if given.number("read_mm") >= rigid:
        return Verdict(
            f"{words} With rigid joints it would be {rounded(rigid, 2)} mm: they are sound, if the "
            "gauge stood on what does not move.",
            True,
            ("read_mm",),
        )
    return Verdict(
        f"{words} No joints make so little: were they rigid it would be {rounded(rigid, 2)} mm. "
        "So this tells nothing of them. Does the gauge stand on what moves along, was the push "
        "smaller, or are the uprights shorter or stiffer than said here?",
        None,
        ("read_mm",),
    )


def _warnings(given: Given) -> tuple[str, ...]:
    told = [
        "The stiffness of joints spreads over more than a factor of ten between makes. Push and "
        "read before you buy: what the gauge says counts for more than this sheet.",
        "The gauge stands on what does not move: not on the base of the same frame.",
    ]
    if given.known("brace_mm") is not None:
        told.append(
            "A slim rod carries in tension only and only if it is tight: of a crossed pair one "
            "works at a time."
        )
    if given.known("panel_mm") is not None:
        told.append("Screws in slots slip before a panel reaches this: take it as a most.")
    return tuple(told)


CALCULATOR = Calculator(
    kind="frame",
    title="Frame",
    purpose="How far a frame gives way to a push, what its joints take of that, and braces.",
    asked=ASKED,
    work=work,
    example="--height-mm 400 --span-mm 340 --gusset-mm 40 --push-n 10",
)
