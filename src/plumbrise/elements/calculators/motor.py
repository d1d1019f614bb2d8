"""Motor: has it the torque at this speed, how exact are its steps, does it hold, what to set."""

from __future__ import annotations

from math import inf

from plumbrise.cautions import FALLING_GANTRY, MAINS
from plumbrise.elements import motor, motor_current, motor_speed
from plumbrise.elements.calculators.carried import standing_verdict
from plumbrise.elements.calculators.motor_driven import Drive, drive_of, setting_sums
from plumbrise.elements.motor_current import CONNECTIONS, SHARINGS
from plumbrise.elements.motor_holding import Holding, holding
from plumbrise.elements.worked import Asked, Calculator, Given, Sum, Trust, Verdict, Worked
from plumbrise.quantity import rounded

_CP, _GUESS = Trust.COMMON_PRACTICE, Trust.GUESS
_MOTOR, _DRIVER, _LOAD = "The motor", "Driver and supply", "What it turns"
ACARNLEY = "P. Acarnley, Stepping Motors"

ASKED = (
    Asked("rotor_teeth", "rotor teeth: 50 for 1.8°, 100 for 0.9°", "", motor.ROTOR_TEETH, _CP,
          low=4, high=400, whole=True, group=_MOTOR),
    Asked("holding_nmm", "holding torque of the data sheet", "N·mm", 400.0, _CP, low=1,
          high=50_000, group=_MOTOR, field="motor.holding_torque_nmm"),
    Asked("rated_a", "rated current of a phase", "A", 1.0, _GUESS, low=0.02, high=20,
          group=_MOTOR, field="motor.rated_current_a"),
    Asked("resistance_ohm", "resistance of a phase", "ohm", 3.0, _CP, low=0.05, high=500,
          group=_MOTOR),
    Asked("inductance_mh", "inductance of a phase", "mH", 4.0, _CP, low=0.05, high=500,
          group=_MOTOR),
    Asked("connection", "how half windings are joined, for the figures of one half; half for "
          "four leads", "", "half", _CP,
          choices=tuple(CONNECTIONS), group=_MOTOR),
    Asked("detent_nmm", "what it holds without current", "N·mm", 10.0, _CP, low=0, high=5000,
          group=_MOTOR),
    Asked("accuracy_percent", "how far a step may be off", "%", 5.0, _CP, low=0, high=100,
          group=_MOTOR),
    Asked("inertia_kgmm2", "inertia of rotor and screw together", "kg·mm²", 6.0, _GUESS, low=0,
          high=10_000, group=_MOTOR),
    Asked("supply_v", "voltage of the supply", "V", 24.0, _CP, low=3, high=100, group=_DRIVER),
    Asked("share", "part of the rated current that it is set to", "", motor_current.RUN_SHARE,
          _CP, low=0.1, high=1, group=_DRIVER),
    Asked("idle_share", "part of that which is left when idle", "", 0.5, _GUESS, low=0, high=1,
          group=_DRIVER),
    Asked("microsteps", "microsteps in a full step", "", 16, _CP, low=1, high=1024, whole=True,
          group=_DRIVER, field="motor.microsteps"),
    Asked("motors", "motors that lift", "", 1, _GUESS, low=1, high=2, whole=True, group=_DRIVER),
    Asked("sharing", "how two of them are wired", "", "separate", _GUESS,
          choices=tuple(SHARINGS), group=_DRIVER),
    Asked("sense_ohm", "sense resistor of the driver, for its trimmer", "ohm", low=0.001, high=5,
          optional=True, group=_DRIVER),
    Asked("gain", "gain of the driver, 5 or 8 are usual", "", 8.0, _GUESS, low=0.5, high=50,
          group=_DRIVER),
    Asked("lead_mm", "travel of the screw in a turn", "mm", 8.0, _GUESS, low=0.5, high=100,
          group=_LOAD, field="screw.lead_mm"),
    Asked("ratio", "turns of a screw for one of the motor", "", 1.0, _CP, low=0.05, high=20,
          group=_LOAD, factor=1.0),
    Asked("lift_nmm", "torque that lifts, all screws together, at the screw", "N·mm", 25.0,
          _GUESS, low=0, high=1e5, group=_LOAD),
    Asked("back_nmm", "torque by which the weight turns the screws back; 0 if the thread holds",
          "N·mm", 8.0, _GUESS, low=0, high=1e5, group=_LOAD),
    Asked("swing_nmm", "by how much that torque changes between up and down", "N·mm", 20.0,
          _GUESS, low=0, high=1e5, group=_LOAD),
    Asked("mass_kg", "mass that is lifted", "kg", 1.2, _CP, low=0, high=200, group=_LOAD,
          field="gantry.mass_kg"),
    Asked("lift_mm_per_s", "speed of lifting", "mm/s", 10.0, _CP, low=0.01, high=500,
          group=_LOAD),
    Asked("acceleration_mm_per_s2", "how fast it gets there", "mm/s²", 100.0, _CP, low=0,
          high=20_000, group=_LOAD),
)  # fmt: skip


def work(given: Given) -> Worked:
    """Setting, torque at speed and need of it, steps, load angle and holding."""
    drive = drive_of(given)
    held = _holding(given, drive)
    sums = (
        *setting_sums(given, drive),
        *_torque_sums(given, drive),
        *_step_sums(given, drive),
        *_lag_sums(given, drive),
        *_holding_sums(held),
    )
    value = {one.name: float(one.value) for one in sums}
    return Worked(
        sums,
        (_strong(value), _exact(value), *_holds(held)),
        warnings=_warnings(drive),
        cautions=(FALLING_GANTRY, MAINS),
    )


def _torque_sums(given: Given, drive: Drive) -> tuple[Sum, ...]:
    winding, speed = drive.winding, given.number("lift_mm_per_s")
    turns_per_s = speed / drive.lead_mm
    knee_per_s = motor_speed.knee_turns_per_s(
        resistance_ohm=winding.resistance_ohm,
        inductance_mh=winding.inductance_mh,
        supply_v=winding.supply_v,
        current_a=winding.current_a,
        rotor_teeth=winding.rotor_teeth,
        torque_nmm_per_a=winding.torque_nmm_per_a,
    )
    there_nmm = motor_speed.torque_at_speed_nmm(winding, turns_per_s=turns_per_s)
    lift_nmm = drive.share_nmm(given.number("lift_nmm"))
    speed_up_nmm = motor_speed.acceleration_torque_nmm(
        inertia_kgmm2=given.number("inertia_kgmm2"),
        mass_kg=given.number("mass_kg") / drive.motors,
        lead_mm=drive.lead_mm,
        acceleration_mm_per_s2=given.number("acceleration_mm_per_s2"),
    )
    margin = motor_speed.torque_margin(available_nmm=there_nmm, needed_nmm=lift_nmm + speed_up_nmm)
    circuit = ("resistance_ohm", "inductance_mh", "connection", "supply_v", "motors", "sharing",
               "rotor_teeth")  # fmt: skip
    return (
        Sum("rest_nmm", "torque at rest", "T_0", "T_hold I_m / (√2 I_rated)",
            ("holding_nmm", "rated_a", "motor_a", "connection"), winding.torque_at_rest_nmm,
            "N·mm", 3, ACARNLEY),
        Sum("turns_per_s", "turns a second at this speed", "n", "v / (lead i)",
            ("lift_mm_per_s", "lead_mm", "ratio"), turns_per_s, "/s", 3),
        Sum("knee_per_s", "turns a second up to which it keeps that torque", "n_k",
            "V² = (R I + K ω)² + (p ω L I)²", ("motor_a", "rest_nmm", *circuit), knee_per_s, "/s",
            3, ACARNLEY),
        Sum("there_nmm", "torque at this speed", "T",
            "K i_q, the most that current and supply allow",
            ("turns_per_s", "motor_a", "rest_nmm", *circuit), there_nmm, "N·mm", 3, ACARNLEY),
        Sum("each_nmm", "torque that lifts, of each motor", "T_l", "T_lift i / motors",
            ("lift_nmm", "ratio", "motors"), lift_nmm, "N·mm", 3),
        Sum("speed_up_nmm", "torque that speeds up, of each motor", "T_a",
            "(J + m (lead i / 2π)²) a 2π / (lead i)",
            ("inertia_kgmm2", "mass_kg", "acceleration_mm_per_s2", "lead_mm", "ratio"),
            speed_up_nmm, "N·mm", 2, "Newton's law"),
        Sum("margin", "torque at hand over torque needed", "S", "T / (T_l + T_a)",
            ("there_nmm", "each_nmm", "speed_up_nmm"), margin, "", 2),
    )  # fmt: skip


def _step_sums(given: Given, drive: Drive) -> tuple[Sum, ...]:
    teeth, lead = given.count("rotor_teeth"), drive.lead_mm
    step_mm = motor.largest_error_mm(lead_mm=lead, rotor_teeth=teeth)
    microsteps = given.count("microsteps")
    off_mm = motor.step_error_mm(
        lead_mm=lead, rotor_teeth=teeth, accuracy=given.number("accuracy_percent") / 100
    )
    micro_nmm = motor.microstep_torque_share(microsteps=microsteps) * (
        drive.winding.torque_at_rest_nmm
    )
    geometry = ("lead_mm", "ratio", "rotor_teeth")
    lines = (
        Sum("step_mm", "height of a full step", "Δz", "lead i / (4 p)", geometry, step_mm, "mm",
            3, "I. L. Kosow, Electric Machinery and Transformers, example 11-3"),
        Sum("cycle_mm", "height after which its error comes again", "Δz_c", "4 Δz", ("step_mm",),
            motor.STEPS_PER_CYCLE * step_mm, "mm", 3),
        Sum("microstep_mm", "height of a microstep, as told", "Δz_m", "Δz / m",
            ("step_mm", "microsteps"), step_mm / microsteps, "mm", 3),
        Sum("microstep_nmm", "torque of one microstep after rest", "ΔT", "T_0 sin(90° / m)",
            ("rest_nmm", "microsteps"), micro_nmm, "N·mm", 2, "sine of the electrical angle"),
        Sum("off_mm", "how far any step may be off, either way", "δ", "a Δz",
            ("step_mm", "accuracy_percent"), off_mm, "mm", 2, "usual data-sheet line"),
        Sum("jump_mm", "most that a screw jumps when current comes on", "Δz_j", "2 Δz",
            ("step_mm",), motor.power_up_jump_mm(lead_mm=lead, rotor_teeth=teeth), "mm", 3),
    )  # fmt: skip
    apart_mm = motor_current.out_of_step_mm(drive.sharing, lead_mm=lead, rotor_teeth=teeth)
    if drive.motors == 1 or apart_mm is None:
        return lines
    return (
        *lines,
        Sum("apart_mm", "screws can differ by whole multiples of", "Δz_2", "4 Δz",
            ("step_mm", "motors", "sharing"), apart_mm, "mm", 3),
    )  # fmt: skip


def _lag_sums(given: Given, drive: Drive) -> tuple[Sum, ...]:
    """What the load angle costs at a reversal; nothing where the motor would slip."""
    rest_nmm = drive.winding.torque_at_rest_nmm
    up_nmm = drive.share_nmm(given.number("lift_nmm"))
    down_nmm = up_nmm - drive.share_nmm(given.number("swing_nmm"))
    if max(abs(up_nmm), abs(down_nmm)) > rest_nmm:
        return ()

    def behind_mm(torque_nmm: float) -> float:
        return motor.load_error_mm(
            torque_nmm=torque_nmm,
            holding_torque_nmm=rest_nmm,
            lead_mm=drive.lead_mm,
            rotor_teeth=drive.winding.rotor_teeth,
        )

    uses = ("rest_nmm", "lift_nmm", "lead_mm", "ratio", "motors", "rotor_teeth")
    return (
        Sum("behind_mm", "how far the load pulls it behind when lifting", "x",
            "lead i / 360° · asin(T_l / T_0) / p", uses, behind_mm(up_nmm), "mm", 2, ACARNLEY),
        Sum("lost_mm", "lost motion by its load angle", "Δx", "x(up) - x(down)",
            (*uses, "swing_nmm"), behind_mm(up_nmm) - behind_mm(down_nmm), "mm", 2, ACARNLEY),
    )  # fmt: skip


def _holding(given: Given, drive: Drive) -> Holding:
    return holding(
        back_torque_nmm=drive.share_nmm(given.number("back_nmm")),
        holding_torque_nmm=drive.winding.torque_at_rest_nmm,
        idle_share=given.number("idle_share"),
        detent_torque_nmm=given.number("detent_nmm"),
        lead_mm=drive.lead_mm,
        rotor_teeth=drive.winding.rotor_teeth,
    )


def _holding_sums(held: Holding) -> tuple[Sum, ...]:
    weight = ("back_nmm", "ratio", "motors")
    idle = Sum("idle_margin", "what it holds idle over what pulls", "S_i", "s T_0 / T_back",
               ("idle_share", "rest_nmm", *weight), held.idle_margin, "", 2, ACARNLEY)  # fmt: skip
    off = Sum("off_margin", "what it holds without current over what pulls", "S_o",
              "T_detent / T_back", ("detent_nmm", *weight), held.off_margin, "", 2)  # fmt: skip
    if held.settles_mm is None:
        return (idle, off)
    settles = Sum(
        "settles_mm", "how far it settles when the current falls to idle", "Δz_i",
        "lead i / 360° · (asin(T / s T_0) - asin(T / T_0)) / p",
        ("idle_share", "rest_nmm", "lead_mm", "rotor_teeth", *weight), held.settles_mm, "mm", 2,
        ACARNLEY,
    )  # fmt: skip
    return (idle, off, settles)


def _strong(value: dict[str, float]) -> Verdict:
    there, needed = value["there_nmm"], value["each_nmm"] + value["speed_up_nmm"]
    return Verdict(
        f"At {rounded(value['turns_per_s'], 2)} turns a second it gives {rounded(there, 3)} N·mm "
        f"and needs {rounded(needed, 3)} N·mm.",
        value["margin"] >= motor_speed.ENOUGH,
    )


def _exact(value: dict[str, float]) -> Verdict:
    """What the motor itself has to do with lost motion, and with a pattern in the steps."""
    if "lost_mm" not in value:
        return Verdict("The load is more than it holds: it slips.", False)
    return Verdict(
        f"Of lost motion it makes {rounded(value['lost_mm'], 2)} mm, and its steps are off by up "
        f"to {rounded(value['off_mm'], 2)} mm either way, the same every "
        f"{rounded(value['cycle_mm'], 3)} mm.",
    )


def _holds(held: Holding) -> tuple[Verdict, ...]:
    if held.off_margin == inf:
        return (
            Verdict(
                "The thread holds by itself, with the motor off too; how surely, the sheet of the "
                "screw tells."
            ),
        )
    settles = "" if held.settles_mm is None else f", {rounded(held.settles_mm, 2)} mm lower"
    return (
        Verdict(
            f"Idle it stays up{settles}." if held.holds_idle else "Idle it runs down.",
            held.holds_idle,
        ),
        standing_verdict(held.standing_off),
    )


def _warnings(drive: Drive) -> tuple[str, ...]:
    told = [
        "Find out whether a driver's setting means the peak or the effective current: the two "
        "differ by 1.41.",
        "Resonance, cold grease and a binding spot take torque that no data sheet tells: keep "
        "twice of what is needed.",
        "Never plug or unplug a motor while the power is on.",
    ]
    if drive.motors == 2:
        told.append(SHARINGS[drive.sharing].words)
    return tuple(told)


CALCULATOR = Calculator(
    kind="motor",
    title="Motor",
    purpose="Has a step motor the torque, how exact are its steps, does it hold, what to set.",
    asked=ASKED,
    work=work,
    example="--rated-a 1.2 --resistance-ohm 2.4 --inductance-mh 3.8 --lead-mm 8",
)
