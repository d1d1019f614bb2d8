"""One motor as it is driven: its winding with its share of current, supply and load."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.elements import motor_current
from plumbrise.elements.motor_current import CONNECTIONS, SHARINGS, Setting
from plumbrise.elements.motor_speed import Winding
from plumbrise.elements.worked import Given, Sum


@dataclass(frozen=True, slots=True)
class Drive:
    """One motor as it is driven: its winding with its share of current and supply."""

    winding: Winding
    setting: Setting
    motors: int
    sharing: str
    ratio: float
    lead_mm: float
    """Height for a turn of the motor."""

    def share_nmm(self, torque_nmm: float) -> float:
        """Torque of one motor for a torque of all screws together."""
        return torque_nmm * self.ratio / self.motors


def drive_of(given: Given) -> Drive:
    """What each motor gets of the driver's current and the supply.

    Raises:
        InputError: a current that the supply cannot drive.
    """
    phase = motor_current.joined(
        given.word("connection"),
        half_resistance_ohm=given.number("resistance_ohm"),
        half_inductance_mh=given.number("inductance_mh"),
        half_current_a=given.number("rated_a"),
    )
    setting = motor_current.current_setting(
        rated_current_a=phase.current_a,
        resistance_ohm=phase.resistance_ohm,
        share=given.number("share"),
    )
    motors = given.count("motors")
    word = given.word("sharing") if motors == 2 else "separate"
    sharing = SHARINGS[word]
    winding = Winding(
        resistance_ohm=phase.resistance_ohm,
        inductance_mh=phase.inductance_mh,
        rated_current_a=phase.current_a,
        holding_torque_nmm=given.number("holding_nmm")
        * CONNECTIONS[given.word("connection")].torque,
        current_a=setting.peak_a * sharing.current,
        supply_v=given.number("supply_v") * sharing.supply,
        rotor_teeth=given.count("rotor_teeth"),
    )
    ratio = given.number("ratio")
    return Drive(winding, setting, motors, word, ratio, given.number("lead_mm") * ratio)


def setting_sums(given: Given, drive: Drive) -> tuple[Sum, ...]:
    """What the driver is set to, and the heat that it makes."""
    winding, setting = drive.winding, drive.setting
    lines = [
        Sum("rms_a", "setting of the driver, effective", "I_rms", "share · I_rated",
            ("share", "rated_a", "connection"), setting.rms_a, "A", 2),
        Sum("peak_a", "setting of the driver, peak", "I", "√2 I_rms", ("rms_a",), setting.peak_a,
            "A", 2, "equal copper loss"),
    ]  # fmt: skip
    sense_ohm = given.known("sense_ohm")
    if sense_ohm is not None:
        trimmer_v = motor_current.reference_v(
            peak_a=setting.peak_a, sense_ohm=sense_ohm, gain=given.number("gain")
        )
        lines.append(
            Sum("reference_v", "voltage at its trimmer", "V_ref", "g R_s I",
                ("peak_a", "sense_ohm", "gain"), trimmer_v, "V", 2, "usual form of data sheets")
        )  # fmt: skip
    loss_w = motor_current.copper_loss_w(
        peak_a=winding.current_a, resistance_ohm=winding.resistance_ohm
    )
    return (
        *lines,
        Sum("motor_a", "peak in each motor", "I_m", "I, or its half where two share it",
            ("peak_a", "motors", "sharing"), winding.current_a, "A", 2, "Kirchhoff"),
        Sum("loss_w", "heat in the copper of each motor", "P", "R I_m²",
            ("motor_a", "resistance_ohm", "connection"), loss_w, "W", 2, "identity"),
    )  # fmt: skip
