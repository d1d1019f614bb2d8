"""What a step motor holds while the axis stands: with less current when idle, and with none."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.elements.motor import ROTOR_TEETH, load_error_mm
from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.elements.screw_holding import SPREAD, Standing


@dataclass(frozen=True, slots=True)
class Holding:
    """What a motor holds when the axis stands still.

    Margins are torque at hand over torque to hold, endless where nothing pulls. `settles_mm` is
    how far the height gives when the current falls to its idle share, None where it slips.
    """

    idle_margin: float
    off_margin: float
    settles_mm: float | None

    @property
    def holds_idle(self) -> bool:
        """Whether the height stays with the idle current on."""
        return self.idle_margin > 1

    @property
    def standing_off(self) -> Standing:
        """What it does with the motor off, the detent being known within `SPREAD` only."""
        if self.off_margin * (1 - SPREAD) > 1:
            return Standing.HOLDS
        return Standing.CLOSE if self.off_margin * (1 + SPREAD) > 1 else Standing.FALLS


def holding(
    *,
    back_torque_nmm: float,
    holding_torque_nmm: float,
    idle_share: float,
    detent_torque_nmm: float,
    lead_mm: float,
    rotor_teeth: int = ROTOR_TEETH,
) -> Holding:
    """Whether a resting motor holds the axis, with less current and with none.

        idle: s T_hold / T        off: T_detent / T
        settles: lead / 360° · (asin(T / s T_hold) - asin(T / T_hold)) / p

    Args:
        back_torque_nmm: T, by which weight turns the screw back past friction; 0 or less where the
            thread holds by itself.
        holding_torque_nmm: T_hold at the running current.
        idle_share: s, of the current that is left when the driver saves heat.
        detent_torque_nmm: of the motor without current.
        lead_mm: of the screw.
        rotor_teeth: p.

    Raises:
        InputError: a back torque that is no number, idle share outside 0 to 1, another quantity
            out of range.

    Source:
        P. Acarnley, Stepping Motors, static torque curve; torque in proportion to current.

    Example:
        >>> found = holding(back_torque_nmm=8.3, holding_torque_nmm=400, idle_share=0.5,
        ...                 detent_torque_nmm=12, lead_mm=8)
        >>> found.holds_idle, found.standing_off.value, round(found.off_margin, 2)
        (True, 'too close to tell', 1.45)
    """
    between(-1e6, 1e6, "Work it out for the screw, or leave 0.", back_torque_nmm=back_torque_nmm)
    above_zero("Read it off the motor's data sheet.", holding_torque_nmm=holding_torque_nmm)
    between(0, 1, "Give it as a share: 0.5 for half.", idle_share=idle_share)
    not_below_zero(detent_torque_nmm=detent_torque_nmm)
    above_zero(lead_mm=lead_mm)
    pulls = max(back_torque_nmm, 0.0)
    if pulls == 0:
        return Holding(float("inf"), float("inf"), 0.0)
    idle = idle_share * holding_torque_nmm

    def behind_mm(torque_nmm: float) -> float:
        return load_error_mm(
            torque_nmm=pulls,
            holding_torque_nmm=torque_nmm,
            lead_mm=lead_mm,
            rotor_teeth=rotor_teeth,
        )

    settles = behind_mm(idle) - behind_mm(holding_torque_nmm) if pulls < idle else None
    return Holding(idle / pulls, detent_torque_nmm / pulls, settles)
