"""The pictures of the redesign sheet: new parts on the axis, what money buys, before and after."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.drawing import before_after, changed, load_path, trade_off
from plumbrise.machine import Machine
from plumbrise.redesign import LOST_MOTION, Choice, Proposal
from plumbrise.web.picture import Picture, picture

WIDE_PX, AXIS_PX = 430, 400
BARS_PX = 840


@dataclass(frozen=True, slots=True)
class Pictures:
    """`axis` is None where nothing is to be put in, `bars` where lost motion cannot be told."""

    axis: Picture | None
    money: Picture
    bars: Picture | None


def pictures_of(proposal: Proposal, axis: Picture | None) -> Pictures:
    """All pictures of a proposal, beside the axis with its new parts."""
    chosen = proposal.chosen
    target = next((t for t in proposal.targets if t.figure is LOST_MOTION), None)
    told = chosen is not None and any(p.figure is LOST_MOTION for p in chosen.predictions)
    return Pictures(
        axis=axis,
        money=picture(
            "money",
            lambda prefix, width: trade_off(proposal, width_px=width, prefix=prefix),
            wide_px=WIDE_PX,
        ),
        bars=picture(
            "bars",
            lambda prefix, width: before_after(chosen, target, width_px=width, prefix=prefix),
            wide_px=BARS_PX,
        )
        if chosen is not None and told
        else None,
    )


def axis_with(machine: Machine, chosen: Choice) -> Picture:
    """The axis after a set of changes, new parts dashed and numbered as in its parts list."""
    after, marking = changed(machine, chosen)

    def drawn(prefix: str, width: int) -> str:
        return load_path(
            after, marking, theme="light", width_px=width, height_px=width, prefix=prefix
        )

    return picture("new", drawn, wide_px=AXIS_PX)
