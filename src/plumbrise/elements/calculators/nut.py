"""Nut: which flank carries, whether play opens, what a spring must do, how its mount is kept."""

from __future__ import annotations

from plumbrise.cautions import FALLING_GANTRY, Hazard
from plumbrise.elements import nut, nut_mount, nut_wear
from plumbrise.elements.calculators.carried import (
    ASKED_DRAG,
    ASKED_THREAD,
    ASKED_WEIGHT,
    THREAD,
    THREAD_USES,
    all_drag_n,
    drag_sum,
    thread_of,
    weight_n,
    weight_sum,
)
from plumbrise.elements.nut import Orientation, SolidHalf
from plumbrise.elements.nut_mount import MOUNTS
from plumbrise.elements.screw_thread import TrapezoidalThread
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.errors import InputError
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_SPLIT, _MOUNT = "A split nut", "Its mount"
STATICS = "statics"

ASKED = (
    Asked("kind", "kind of nut", "", "plain", _CP, choices=("plain", "split", "floating"),
          group=THREAD, field="nut.kind"),
    *ASKED_THREAD,
    Asked("nut_length_mm", "length of thread in the nut", "mm", 15.0, _CP, low=1, high=200,
          group=THREAD),
    Asked("play_mm", "play, if it was measured", "mm", low=0, high=10, optional=True,
          group=THREAD, field="nut.play_mm"),
    Asked("pair", "what runs on what", "", "brass, greased", _GUESS,
          choices=tuple(nut_wear.WEAR_RATE_MM3_PER_NMM), group=THREAD),
    Asked("thread_friction", "friction of the thread", "", 0.15, _CP, low=0.01, high=0.6,
          group=THREAD, factor=1.5),
    *ASKED_WEIGHT,
    *ASKED_DRAG,
    Asked("spring_n", "force of its spring", "N", 10.0, _GUESS, low=0, high=1000, group=_SPLIT),
    Asked("solid_half", "what the half does that is screwed to the moving part", "",
          "carries-weight", _GUESS, choices=("carries-weight", "upside-down"), group=_SPLIT),
    Asked("mount", "how its flange lies to the plate", "", "standing", _GUESS,
          choices=("standing", "hanging"), group=_MOUNT, field="nut.mount"),
    Asked("flange_screws", "screws of the flange", "", 4, _CP, low=1, high=12, whole=True,
          group=_MOUNT),
    Asked("floats_by", "what lets a floating nut go sideways", "", "two-axis-slide", _GUESS,
          choices=tuple(MOUNTS), group=_MOUNT),
    Asked("aside_mm", "radius that the screw runs on at the nut", "mm", 0.1, _GUESS, low=0,
          high=10, group=_MOUNT, factor=2),
    Asked("offset_mm", "nut off the line of the screw", "mm", 0.1, _GUESS, low=0, high=10,
          group=_MOUNT, factor=2),
    Asked("apart_mm", "how far screw and guides run apart over the travel", "mm", 0.3, _GUESS,
          low=0, high=20, group=_MOUNT, factor=2),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Contact on the way up and down, play, wear; then spring or float where there is one."""
    thread = thread_of(given)
    weight, drag = weight_n(given), all_drag_n(given)
    sums = [*_contact_sums(given, weight, drag), *_play_sums(given, thread)]
    sums += _wear_sums(given, thread, weight + drag)
    verdicts = [_play_verdict(given, weight, drag)]
    cautions: tuple[Hazard, ...] = ()
    if given.word("kind") == "split":
        more, verdict = _spring(given, thread, weight, drag)
        sums += more
        verdicts.append(verdict)
    if given.word("kind") == "floating":
        more, told = _float(given, weight, drag)
        sums += more
        verdicts += told
        cautions = () if all(one.holds for one in told) else (FALLING_GANTRY,)
    return Worked(tuple(sums), tuple(verdicts), _warnings(given), cautions)


def _contact_sums(given: Given, weight: float, drag: float) -> list[Sum]:
    up, down = (nut.contact(weight_n=weight, drag_n=drag, going_up=way) for way in (True, False))
    pull = nut.flange_screw_pull_n(
        orientation=Orientation(given.word("mount")),
        weight_n=weight,
        drag_n=drag,
        screws=given.count("flange_screws"),
    )
    return [
        weight_sum(given),
        drag_sum(given),
        Sum("up_n", "force of the screw on the nut, going up", "F_up", "W + D",
            ("weight_n", "all_drag_n"), up.force_n, "N", 3, STATICS),
        Sum("down_n", "the same, going down", "F_down", "W - D", ("weight_n", "all_drag_n"),
            down.force_n, "N", 3, STATICS),
        Sum("flank_down", "flank of the screw that carries, going down", "flank",
            "upper where F_down > 0", ("down_n",), down.flank.value),
        Sum("screw_pull_n", "pull of the load at each screw of the flange", "F_s",
            "(W + D) / n hanging, max(0, D - W) / n standing",
            ("weight_n", "all_drag_n", "mount", "flange_screws"), pull, "N", 2, STATICS),
    ]  # fmt: skip


def _play_sums(given: Given, thread: TrapezoidalThread) -> list[Sum]:
    """Play as measured, or of a new pair where tolerances are kept for its size."""
    known = given.known("play_mm")
    if known is not None:
        return [Sum("own_play_mm", "play", "s", "as measured", ("play_mm",), known, "mm", 2)]
    try:
        least, most = nut.play_limits_mm(nominal_mm=thread.nominal_mm, pitch_mm=thread.pitch_mm)
    except InputError:  # a size without tolerances here: then nothing is said of its play
        return []
    source = "ISO 2903, 7H on 7e, tolerances of one start"
    return [
        Sum("least_play_mm", "play of a new pair, least", "s_min", "Δd2 tan 15°",
            THREAD_USES, least, "mm", 2, source),
        Sum("most_play_mm", "play of a new pair, most", "s_max", "Δd2 tan 15°",
            THREAD_USES, most, "mm", 2, source),
    ]  # fmt: skip


def _wear_sums(given: Given, thread: TrapezoidalThread, load_n: float) -> list[Sum]:
    pressure = nut.thread_pressure_n_per_mm2(
        axial_load_n=load_n,
        pitch_diameter_mm=thread.pitch_diameter_mm,
        flank_height_mm=thread.pitch_mm / 2,
        turns=given.number("nut_length_mm") / thread.pitch_mm,
    )
    rates = nut_wear.WEAR_RATE_MM3_PER_NMM[given.word("pair")]
    slow, fast = (
        nut_wear.travel_until_worn_mm(
            play_now_mm=given.known("play_mm") or 0.0,
            pitch_mm=thread.pitch_mm,
            lead_mm=thread.lead_mm,
            pitch_diameter_mm=thread.pitch_diameter_mm,
            pressure_n_per_mm2=pressure,
            wear_rate_mm3_per_nmm=rate,
        )
        for rate in rates
    )
    uses = ("pressure_n_per_mm2", "pair", "play_mm", *THREAD_USES)
    source = "Archard, J. Appl. Phys. 24 (1953) 981; rates are a guess"
    return [
        Sum("pressure_n_per_mm2", "pressure on its flanks", "p", "F / (π d2 H1 n)",
            ("up_n", "nut_length_mm", *THREAD_USES), pressure, "N/mm²", 2,
            "Shigley's Mechanical Engineering Design, eq. 8-10"),
        Sum("worn_early_m", "travel until it is worn out, at the earliest", "L_min",
            "(P / 4 - s) cos α / (k p) per sliding", uses, fast / 1000, "m", 1, source),
        Sum("worn_late_m", "the same, at the latest", "L_max",
            "(P / 4 - s) cos α / (k p) per sliding", uses, slow / 1000, "m", 1, source),
    ]  # fmt: skip


def _play_verdict(given: Given, weight: float, drag: float) -> Verdict:
    if not nut.play_opens(weight_n=weight, drag_n=drag):
        return Verdict("Gravity keeps the nut on one flank: its play is not lost.", True)
    more = rounded(nut.weight_that_closes_n(weight_n=weight, drag_n=drag), 2)
    split = given.word("kind") == "split"
    return Verdict(
        "The drag is more than the weight: without a spring its play is lost at every reversal. "
        f"{more} N more on the nut, or so much less drag, would close it.",
        None if split else False,
        ("kind",),
    )


def _spring(
    given: Given, thread: TrapezoidalThread, weight: float, drag: float
) -> tuple[list[Sum], Verdict]:
    """What the spring of a split nut has to exceed, and what it costs in torque."""
    right, wrong = (
        nut.spring_needed_n(weight_n=weight, drag_n=drag, solid_half=half)
        for half in (SolidHalf.CARRIES_WEIGHT, SolidHalf.UPSIDE_DOWN)
    )
    spring_n = given.number("spring_n")
    costs = nut.spring_drag_nmm(
        spring_n=spring_n,
        lead_mm=thread.lead_mm,
        pitch_diameter_mm=thread.pitch_diameter_mm,
        thread_friction=given.number("thread_friction"),
    )
    needed = right if given.word("solid_half") == "carries-weight" else wrong
    loads = ("weight_n", "all_drag_n")
    sums = [
        Sum("spring_right_n", "spring needed, solid half carrying the weight", "S", "D - W", loads,
            right, "N", 2, STATICS),
        Sum("spring_wrong_n", "spring needed, upside down", "S", "D + W", loads, wrong, "N", 2,
            STATICS),
        Sum("spring_nmm", "torque that the spring costs, both ways", "T_S",
            "T_up(S) + T_down(S)",
            ("spring_n", "thread_friction", *THREAD_USES), costs, "N·mm", 2,
            STATICS),
    ]  # fmt: skip
    words = f"Its spring has {rounded(spring_n, 3)} N and must have over {rounded(needed, 2)} N."
    if given.word("solid_half") == "upside-down":
        words += f" Turned over, {rounded(right, 2)} N would do."
    return sums, Verdict(words, spring_n > needed, ("solid_half",))


def _float(given: Given, weight: float, drag: float) -> tuple[list[Sum], list[Verdict]]:
    """Freedom that a floating nut needs and has, and what keeps it seated."""
    mount = nut_mount.mount(given.word("floats_by"))
    needed = nut_mount.freedom_needed_mm(
        orbit_mm=given.number("aside_mm"),
        offset_mm=given.number("offset_mm"),
        out_of_parallel_mm_per_mm=given.number("apart_mm"),
        travel_mm=1.0,
    )
    seat = nut_mount.seat_force_n(hanging_weight_n=weight, drag_n=drag)
    stays = nut_mount.stays_together(mount=mount, hanging_weight_n=weight, drag_n=drag)
    practice = "common practice, no source"
    sums = [
        Sum("freedom_needed_mm", "sideways freedom needed, to either side", "a",
            "aside + offset + apart / 2", ("aside_mm", "offset_mm", "apart_mm"), needed, "mm", 2,
            "worst case"),
        Sum("freedom_mm", "sideways freedom of the mount", "a_m", "table of mounts",
            ("floats_by",), mount.lateral_freedom_mm, "mm", 2, practice),
        Sum("seat_n", "force that keeps the joint together, going down", "N", "W - D",
            ("weight_n", "all_drag_n"), seat, "N", 2, STATICS),
    ]  # fmt: skip
    held = "is held from above and below" if mount.captive else "lies on its weight alone"
    verdicts = [
        Verdict(
            f"It can go {rounded(mount.lateral_freedom_mm, 2)} mm to either side and needs "
            f"{rounded(needed, 2)} mm.",
            mount.lateral_freedom_mm >= needed,
        ),
        Verdict(
            f"The mount {held}: nut and load {'stay together' if stays else 'can part'}.", stays
        ),
    ]
    return sums, verdicts


def _warnings(given: Given) -> tuple[str, ...]:
    told = ["A tight spot adds drag where it sits: reckon with the drag at the worst height."]
    if given.word("kind") == "floating" and not MOUNTS[given.word("floats_by")].captive:
        told.append(
            "A moving part that runs on to something leaves the nut, and drops when it is let go. "
            "With two screws use a mount that is held both ways."
        )
    if given.word("mount") == "hanging":
        told.append("Hanging in plastic, the flange's screws creep loose: look after them.")
    return tuple(told)


CALCULATOR = Calculator(
    kind="nut",
    title="Nut",
    purpose="Whether a nut's play is lost, what a split nut's spring must do, what keeps a float.",
    asked=ASKED,
    work=work,
    example="--lead-mm 8 --kind split --drag-n 4 --spring-n 15",
)
